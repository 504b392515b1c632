/* report: the whole result of one consultation as plain data, with provenance; the clock is passed in. One writer per
 * format: json_out (and its reader: the book keeps the JSON, text and HTML are made from it), text, html, figure. Never
 * includes book. */
#ifndef WM_REPORT_REPORT_H
#define WM_REPORT_REPORT_H

#include "colour/colour.h"
#include "core/file.h"
#include "core/status.h"
#include "match/decision.h"
#include "match/rank.h"
#include "measure/calibrate.h"
#include "measure/gray.h"
#include "measure/hair.h"
#include "measure/measured.h"
#include "measure/zone.h"
#include "plan/plan.h"

enum { WM_REPORT_FORMAT = 2, WM_LABEL_SIZE = 96 };

typedef struct wm_report_photo {
    char file[256]; /**< base name */
    char sha256[65];
    int width, height, orientation;
    char profile[128];
    bool profile_assumed;
    char camera[96]; /**< "" unknown */
    char taken[24];  /**< "" unknown */
} wm_report_photo;

/** An aid that was used: where it stood after stage 1, where it should stand. */
typedef struct wm_report_aid {
    char name[WM_LABEL_SIZE];
    wm_lab measured, reference;
} wm_report_aid;

typedef struct wm_report_calibration {
    wm_aid_set aid;
    wm_stage1 stage1;
    bool has_agreement;
    double agreement; /**< s2 of C17; null in JSON without one */
    wm_report_aid *used;
    size_t used_count;
    wm_dropped *dropped;
    size_t dropped_count;
} wm_report_calibration;

/** A colour with what we know about it. */
typedef struct wm_report_colour {
    bool known;
    wm_lab lab;
} wm_report_colour;

/** H3, H6: is it hair, and what of the zone was cut out. */
typedef struct wm_report_hair {
    wm_hair_verdict verdict;
    double cut_share;
    bool skin, background;
} wm_report_hair;

typedef struct wm_report_zone {
    wm_zone_kind kind;
    char name[WM_LABEL_SIZE];
    wm_place place; /**< as said; by kind without a word */
    bool refused;   /**< of body only pixels and kept are known; the colour's members are null in JSON */
    char why[160];  /**< of a refusal; not written */
    wm_report_hair hair;
    wm_measured body; /**< the mean of all kept pixels */
    wm_lab sd;        /**< of these */
    wm_gray_status gray_status;
    bool has_share;
    double share, u_share;
    bool base_known, gray_known;
    wm_measured base, gray; /**< the two populations; only their Lab is written */
    bool base_never_seen;   /**< show the share's interval only (G9) */
    bool line_known;
    double line_rad, line_variance; /**< which way its colour goes from fibre to fibre (G12) */
} wm_report_zone;

/** One line of a ranking; the colours are copied so that the report stands without a catalogue. */
typedef struct wm_report_match {
    char code[WM_CODE_SIZE];
    char name[WM_NAME_SIZE];
    wm_lab lab;
    double de00, d_lightness, d_chroma, d_hue, u_de00;
    char words[WM_WORDS_SIZE];
    wm_verdict verdict;
    bool tied_with_best, in_stock;
} wm_report_match;

typedef struct wm_report_ranking {
    char target[WM_LABEL_SIZE]; /**< "base", "gray_fibres", "bead", or a client zone's name */
    bool of_zone;   /**< of the client zone of that name, told where the report is read: she may call one "base" */
    char said[200]; /**< e.g. "gray zone's body colour: its gray fibres were not resolved" (M7), "" if nothing to say */
    bool has_lab;
    wm_lab lab; /**< the colour that was matched (base: mean of the targets) */
    wm_claim claim;
    wm_report_match *items;
    size_t count;
} wm_report_ranking;

/** A shade of a proposal, or of a role. */
typedef struct wm_report_shade {
    char code[WM_CODE_SIZE];
    char name[WM_NAME_SIZE];
    wm_lab lab;
    wm_role role;
    double de00; /**< expected, to what it stands for; negative: not known */
    bool in_stock;
} wm_report_shade;

/** What hangs in a layer of a segment. */
typedef struct wm_report_layer {
    wm_layer layer;
    double piece_cm; /**< of one piece of the second shade; 0 without */
} wm_report_layer;

/** A part of a row, and how it looks beside her hair there. */
typedef struct wm_report_segment {
    wm_place place;
    char end[WM_LABEL_SIZE]; /**< the gray zone it lies beside; "" */
    double length_cm;        /**< of one; negative: not known */
    int sides;
    wm_lab target, target_base, target_gray; /**< her hair there, and its two populations */
    double target_share;
    wm_seen seen;
    double far, near; /**< expected dE00 of the means, and of the populations; negative: not known */
    wm_report_layer layers[WM_MAX_LAYERS];
    size_t layer_count;
} wm_report_segment;

typedef struct wm_report_row {
    wm_place place;
    double arc_cm, row_cm; /**< negative: not given */
    wm_report_segment segments[WM_ROW_SEGMENTS];
    size_t count;
} wm_report_row;

/** What to sew and how it will look (M25 to M32). Unknown numbers are negative. */
typedef struct wm_report_proposal {
    wm_report_shade shades[2];
    size_t shade_count;
    int layers, pieces;
    wm_report_row rows[WM_MAX_ROWS];
    size_t row_count;
    double gap, far, near; /**< expected; far of the worst place */
    double u_de00;         /**< of far, in reports of format 1; else 0 */
    wm_verdict verdict;
    double p[3];    /**< part of the draws in which it is a match, close, visible */
    int best_in_10; /**< draws of ten in which it is the best or as good */
    char why[WM_DECISION_TEXT_SIZE];
} wm_report_proposal;

/** M33: what to sew when her gray has grown. */
typedef struct wm_report_scenario {
    double rise, share;
    char change[WM_DECISION_TEXT_SIZE]; /**< "" when nothing does */
    wm_report_proposal proposal;
} wm_report_scenario;

typedef struct wm_report_role {
    wm_report_shade shades[WM_ROLE_PLACES]; /**< nearest first */
    size_t count;
} wm_report_role;

/** What stands before the colours, and what had to be assumed (M24, M25). Unknown numbers are negative. */
typedef struct wm_report_decision {
    char assumed[WM_DECISION_ASSUMED][WM_DECISION_ASSUMED_SIZE];
    size_t assumed_count;
    double own_g, added_g, short_g;
    int layers, layers_needed, layers_load; /**< layers 0: too heavy, nothing is to be sewn */
    double mg_per_hair, mg_limit;
    wm_report_role roles[WM_ROLES];      /**< base, gray, blend */
    char missing[WM_DECISION_TEXT_SIZE]; /**< what the catalogue lacks; "" */
    char heavy[WM_DECISION_TEXT_SIZE];   /**< why nothing is to be sewn, and what would do; "" */
    char worn[WM_DECISION_TEXT_SIZE];    /**< of what she wears: why it stays or is left; "" */
    double inside_costs;                 /**< what the closed sandwich adds to the gap; negative: not asked */
    wm_claim claim;                      /**< the worst among the zones that weigh */
} wm_report_decision;

/** M17: change of one zone since another visit or photo. */
typedef struct wm_report_change {
    char zone[WM_LABEL_SIZE];
    char then[WM_LABEL_SIZE]; /**< what the zone was called then; not written */
    double de00, u_de00;
    char words[160]; /**< "no measurable change" when de00 < 2 u */
    bool has_share;
    double d_share, u_share;
} wm_report_change;

typedef struct wm_report_filter {
    char name[32];
    size_t removed;
} wm_report_filter;

/** Does the answer hold with the zones moved and resized a little? */
typedef struct wm_report_stability {
    int tries, held;          /**< tries 0: not asked */
    char mend[WM_LABEL_SIZE]; /**< the zone to mark anew, "" when all held */
} wm_report_stability;

typedef struct wm_report {
    char made_at[32]; /**< RFC 3339, from the clock passed in */
    char version[24], lcms[24], sqlite[24];
    wm_report_photo photo;
    wm_report_calibration calibration;
    wm_report_zone *zones;
    size_t zone_count;
    bool measured_only;        /**< `measure`: the JSON ends after zones and warnings */
    char client[WM_NAME_SIZE]; /**< "" without one */
    char salon[WM_NAME_SIZE];
    wm_worn worn;
    bool no_shade_named; /**< claim `rough`: "not enough to order from" */
    wm_report_filter filters[WM_FILTERS];
    size_t filter_count;
    wm_report_ranking *rankings;
    size_t ranking_count;
    wm_report_stability stability;
    wm_report_decision decision;
    wm_report_proposal *proposals; /**< the choice, then the runner-up */
    size_t proposal_count;
    char note[WM_DECISION_TEXT_SIZE]; /**< what an older report says besides; "" */
    bool has_plan;
    wm_plan plan;
    wm_report_scenario *scenarios;
    size_t scenario_count;
    char since_date[12]; /**< date of the visit that changes[] compare with, "" if none */
    wm_report_change *changes;
    size_t change_count;
    wm_warnings unpaired; /**< zones measured at one of both visits alone; code is not written, text is */
    wm_warnings warnings;
    wm_warnings cautions;    /**< code is not written, text is */
    size_t general_cautions; /**< the last so many hold for every row */
} wm_report;

void wm_report_free(wm_report *report);

/** The reduced pictures that go with a report: JPEG, PNG, and the zones' shapes in upright photo pixels. */
typedef struct wm_report_pictures {
    wm_bytes photo_jpeg;   /**< at most 1200 px; empty if there is none */
    wm_bytes gray_map_png; /**< same size as the photo picture, transparent outside the zones; empty if none */
    wm_bytes zones_json;   /**< the zones file as used */
} wm_report_pictures;
void wm_report_pictures_free(wm_report_pictures *pictures);

/** The layers at the first place of a proposal, front first. */
void wm_report_stack(wm_stack *out, const wm_report_proposal *proposal);
/** What was sewn on is what the report proposes: told in codes alone, layer by layer, its pieces are not. */
bool wm_report_as_proposed(const wm_report *report, const wm_stack *installed);
/** A shade as the report knows it, from its rankings, proposals and roles; false when it names none of that code. */
bool wm_report_find_shade(const char **name, wm_lab *lab, const wm_report *report, const char *code);
/** The design of a proposal, as the plan takes it. */
void wm_report_design(wm_design *out, const wm_report_proposal *proposal);

/** What the answer may be called (M32): `sew` asks for a claim that names the shade, and for a proposal that is close
 * and surely so. */
typedef enum wm_answer {
    WM_ANSWER_SEW,    /**< order and sew it */
    WM_ANSWER_TRY,    /**< hold it up first: a short list, or not sure to be as close as it seems */
    WM_ANSWER_SIMPLE, /**< the simplest row shows, the runner-up, of more pieces, is surely close */
    WM_ANSWER_SHOWS,  /**< the nearest there is, a visible difference */
    WM_ANSWER_FAR,    /**< the nearest there is, far off */
    WM_ANSWER_ROUGH,  /**< the photo names no shade */
    WM_ANSWER_NOTHING /**< nothing to sew: too heavy, or no shade is left */
} wm_answer;
extern const char *const WM_ANSWER_WORDS[];
wm_answer wm_report_answer(const wm_report *report);
/** M32: what the proposal's verdict says holds, whatever the photo can't tell. */
bool wm_report_sure(const wm_report_proposal *proposal);

/** Exit status that the contract gives: 0 when a shade is named or short-listed and the best proposal is at least
 * `close`, else 1. */
int wm_report_exit(const wm_report *report);

/** Convert a cautions or claims value into the sentence people read; shared by text and html. Lent, static. */
const char *wm_claim_sentence(wm_claim claim);
const char *wm_verdict_sentence(wm_verdict verdict, bool sure);

#endif

#define _GNU_SOURCE /* memmem */
/* The report as JSON and back, by one table of fields a struct (json_fields). */
#include "report/json_out.h"

#include <stdlib.h>
#include <string.h>

#include "report/format1.h"
#include "report/json_fields.h"

static const wm_field PLAN_TEXT[] = { { .kind = FIELD_TEXT, .size = WM_PLAN_TEXT_SIZE }, { 0 } };
static const char *const ROLE_WORDS[] = { "base", "gray", "blend", "single", NULL };
static const char *const PLACE_WORDS[] = { "", "side", "back", "crown", "nape", NULL };
static const wm_field DATE_1[] = { { .kind = FIELD_DATE }, { 0 } };

static const wm_field PHOTO[] = { TXT(wm_report_photo, file),
                                  TXT(wm_report_photo, sha256),
                                  INT(wm_report_photo, width),
                                  INT(wm_report_photo, height),
                                  INT(wm_report_photo, orientation),
                                  TXT(wm_report_photo, profile),
                                  BOOL(wm_report_photo, profile_assumed),
                                  TXTN(wm_report_photo, camera),
                                  TXTN(wm_report_photo, taken),
                                  { 0 } };

static const wm_field STAGE1[] = { WORDS(wm_stage1, kind, WM_STAGE1_WORDS), RANGE(wm_stage1, gain, 3, 6),
                                   RANGE(wm_stage1, curve_a, 3, 6),         RANGE(wm_stage1, curve_b, 3, 6),
                                   RANGE(wm_stage1, curve_g, 3, 6),         { 0 } };
static const wm_field DROPPED[] = { TXT(wm_dropped, zone), TXT(wm_dropped, why), { 0 } };
static const wm_field USED_AID[] = {
    TXT(wm_report_aid, name), LABF(wm_report_aid, measured), LABF(wm_report_aid, reference), { 0 }
};
#define CAL wm_report_calibration
static const wm_field CALIBRATION[] = {
    WORDS(CAL, aid, WM_AID_SET_WORDS),
    { .key = "stage1", .kind = FIELD_OBJECT, F(CAL, stage1), .sub = STAGE1 },
    { .key = "agreement", .kind = FIELD_NUMBER, F(CAL, agreement), .detail = 4, HAS(CAL, has_agreement) },
    { .key = "used",
      .kind = FIELD_LIST,
      F(CAL, used),
      COUNT(CAL, used_count),
      .size = sizeof(wm_report_aid),
      .sub = USED_AID },
    { .key = "dropped",
      .kind = FIELD_LIST,
      F(CAL, dropped),
      COUNT(CAL, dropped_count),
      .size = sizeof(wm_dropped),
      .sub = DROPPED },
    { 0 }
};

#define ZONE wm_report_zone
#define UNLESS_REFUSED HAS(ZONE, refused), .has_inverted = true
static const wm_field ZONE_GRAY[] = {
    { .key = "status", .kind = FIELD_WORD, F(ZONE, gray_status), .words = WM_GRAY_STATUS_WORDS },
    { .key = "share", .kind = FIELD_NUMBER, F(ZONE, share), .detail = 4, HAS(ZONE, has_share) },
    { .key = "u_share", .kind = FIELD_NUMBER, F(ZONE, u_share), .detail = 4, HAS(ZONE, has_share) },
    { .key = "base_lab", .kind = FIELD_LAB, F(ZONE, base.lab), HAS(ZONE, base_known) },
    { .key = "gray_lab", .kind = FIELD_LAB, F(ZONE, gray.lab), HAS(ZONE, gray_known) },
    BOOL(ZONE, base_never_seen),
    { .key = "line_rad", .kind = FIELD_NUMBER, F(ZONE, line_rad), .detail = 4, HAS(ZONE, line_known) },
    { .key = "line_variance", .kind = FIELD_NUMBER, F(ZONE, line_variance), .detail = 5, HAS(ZONE, line_known) },
    { 0 }
};
static const wm_field ZONE_HAIR[] = { WORDS(wm_report_hair, verdict, WM_HAIR_VERDICT_WORDS),
                                      NUM(wm_report_hair, cut_share, 4),
                                      BOOL(wm_report_hair, skin),
                                      BOOL(wm_report_hair, background),
                                      { 0 } };
static const wm_field ZONE_FIELDS[] = {
    WORDS(ZONE, kind, WM_ZONE_KIND_WORDS),
    TXT(ZONE, name),
    { .key = "place", .kind = FIELD_WORD, F(ZONE, place), .words = PLACE_WORDS },
    { .key = "pixels", .kind = FIELD_SIZE, F(ZONE, body.pixels) },
    { .key = "kept", .kind = FIELD_SIZE, F(ZONE, body.kept) },
    { .key = "hair", .kind = FIELD_OBJECT, F(ZONE, hair), .sub = ZONE_HAIR },
    { .key = "lab", .kind = FIELD_LAB, F(ZONE, body.lab), UNLESS_REFUSED },
    { .key = "sd", .kind = FIELD_LAB, F(ZONE, sd), UNLESS_REFUSED },
    { .key = "sigma", .kind = FIELD_LAB, F(ZONE, body.sigma), UNLESS_REFUSED },
    { .key = "u_de00", .kind = FIELD_NUMBER, F(ZONE, body.u_de00), .detail = 4, UNLESS_REFUSED },
    { .key = "claim", .kind = FIELD_WORD, F(ZONE, body.claim), .words = WM_CLAIM_WORDS, UNLESS_REFUSED },
    { .key = "gray", .kind = FIELD_OBJECT, .sub = ZONE_GRAY },
    { 0 }
};

#define MATCH wm_report_match
static const wm_field MATCH_FIELDS[] = { TXT(MATCH, code),
                                         TXT(MATCH, name),
                                         LABF(MATCH, lab),
                                         NUM(MATCH, de00, 4),
                                         NUM(MATCH, d_lightness, 4),
                                         NUM(MATCH, d_chroma, 4),
                                         NUM(MATCH, d_hue, 4),
                                         TXT(MATCH, words),
                                         NUM(MATCH, u_de00, 4),
                                         WORDS(MATCH, verdict, WM_VERDICT_WORDS),
                                         BOOL(MATCH, tied_with_best),
                                         BOOL(MATCH, in_stock),
                                         { 0 } };
#define RANKING wm_report_ranking
static const wm_field RANKING_FIELDS[] = { TXT(RANKING, target),
                                           { .key = "lab", .kind = FIELD_LAB, F(RANKING, lab), HAS(RANKING, has_lab) },
                                           WORDS(RANKING, claim, WM_CLAIM_WORDS),
                                           TXTN(RANKING, said),
                                           { .key = "swatches",
                                             .kind = FIELD_LIST,
                                             F(RANKING, items),
                                             COUNT(RANKING, count),
                                             .size = sizeof(MATCH),
                                             .sub = MATCH_FIELDS },
                                           { 0 } };

#define SHADE wm_report_shade
static const wm_field SHADE_FIELDS[] = { TXT(SHADE, code),
                                         TXTN(SHADE, name),
                                         LABF(SHADE, lab),
                                         WORDS(SHADE, role, ROLE_WORDS),
                                         UNKNOWN(SHADE, de00, 4),
                                         BOOL(SHADE, in_stock),
                                         { 0 } };
static const wm_field LAYER_FIELDS[] = {
    { .key = "code", .kind = FIELD_TEXT, F(wm_report_layer, layer.code), .size = WM_CODE_SIZE },
    { .key = "second", .kind = FIELD_TEXT_NULL, F(wm_report_layer, layer.second), .size = WM_CODE_SIZE },
    { .key = "second_share", .kind = FIELD_NUMBER, F(wm_report_layer, layer.second_share), .detail = 4 },
    { .key = "pieces", .kind = FIELD_WHOLE, F(wm_report_layer, layer.pieces) },
    NUM(wm_report_layer, piece_cm, 2),
    { 0 }
};
#define SEGMENT wm_report_segment
static const wm_field SEEN[] = { LABF(wm_seen, down), LABF(wm_seen, up), { 0 } };
static const wm_field SEGMENT_FIELDS[] = { WORDS(SEGMENT, place, PLACE_WORDS),
                                           TXTN(SEGMENT, end),
                                           UNKNOWN(SEGMENT, length_cm, 2),
                                           INT(SEGMENT, sides),
                                           LABF(SEGMENT, target),
                                           LABF(SEGMENT, target_base),
                                           LABF(SEGMENT, target_gray),
                                           NUM(SEGMENT, target_share, 4),
                                           { .key = "seen", .kind = FIELD_OBJECT, F(SEGMENT, seen), .sub = SEEN },
                                           UNKNOWN(SEGMENT, far, 4),
                                           UNKNOWN(SEGMENT, near, 4),
                                           { .key = "layers",
                                             .kind = FIELD_FIXED,
                                             F(SEGMENT, layers),
                                             .length = WM_MAX_LAYERS,
                                             COUNT(SEGMENT, layer_count),
                                             .size = sizeof(wm_report_layer),
                                             .sub = LAYER_FIELDS },
                                           { 0 } };
static const wm_field DESIGN_ROW[] = { WORDS(wm_report_row, place, PLACE_WORDS),
                                       UNKNOWN(wm_report_row, arc_cm, 2),
                                       UNKNOWN(wm_report_row, row_cm, 2),
                                       { .key = "segments",
                                         .kind = FIELD_FIXED,
                                         F(wm_report_row, segments),
                                         .length = WM_ROW_SEGMENTS,
                                         COUNT(wm_report_row, count),
                                         .size = sizeof(SEGMENT),
                                         .sub = SEGMENT_FIELDS },
                                       { 0 } };
#define PROPOSAL wm_report_proposal
static const wm_field WITHIN[] = { { .key = "match", .kind = FIELD_NUMBER_NULL, F(PROPOSAL, p[0]), .detail = 4 },
                                   { .key = "close", .kind = FIELD_NUMBER_NULL, F(PROPOSAL, p[1]), .detail = 4 },
                                   { .key = "visible", .kind = FIELD_NUMBER_NULL, F(PROPOSAL, p[2]), .detail = 4 },
                                   { 0 } };
#define PROPOSED_DESIGN                                                                                                \
    { .key = "shades",                                                                                                 \
      .kind = FIELD_FIXED,                                                                                             \
      F(PROPOSAL, shades),                                                                                             \
      .length = 2,                                                                                                     \
      COUNT(PROPOSAL, shade_count),                                                                                    \
      .size = sizeof(SHADE),                                                                                           \
      .sub = SHADE_FIELDS },                                                                                           \
        INT(PROPOSAL, layers), INT(PROPOSAL, pieces),                                                                  \
    {                                                                                                                  \
        .key = "rows", .kind = FIELD_FIXED, F(PROPOSAL, rows), .length = WM_MAX_ROWS, COUNT(PROPOSAL, row_count),      \
        .size = sizeof(wm_report_row), .sub = DESIGN_ROW                                                               \
    }
static const wm_field DESIGN_FIELDS[] = { PROPOSED_DESIGN, { 0 } };
static const wm_field PROPOSAL_FIELDS[] = { PROPOSED_DESIGN,
                                            UNKNOWN(PROPOSAL, gap, 4),
                                            UNKNOWN(PROPOSAL, far, 4),
                                            UNKNOWN(PROPOSAL, near, 4),
                                            WORDS(PROPOSAL, verdict, WM_VERDICT_WORDS),
                                            { .key = "p", .kind = FIELD_OBJECT, .sub = WITHIN },
                                            INT(PROPOSAL, best_in_10),
                                            TXT(PROPOSAL, why),
                                            { 0 } };
#define DECISION wm_report_decision
static const wm_field ASSUMED[] = { { .kind = FIELD_TEXT, .size = WM_DECISION_ASSUMED_SIZE }, { 0 } };
static const wm_field ROLE_SHADE[] = { TXT(SHADE, code),        TXTN(SHADE, name),     LABF(SHADE, lab),
                                       UNKNOWN(SHADE, de00, 4), BOOL(SHADE, in_stock), { 0 } };
#define ROLE(word, n)                                                                                                  \
    {                                                                                                                  \
        .key = word, .kind = FIELD_FIXED, F(DECISION, roles[n].shades), .length = WM_ROLE_PLACES,                      \
        COUNT(DECISION, roles[n].count), .size = sizeof(SHADE), .sub = ROLE_SHADE                                      \
    }
static const wm_field ROLES[] = {
    ROLE("base", WM_ROLE_BASE), ROLE("gray", WM_ROLE_GRAY), ROLE("blend", WM_ROLE_BLEND), { 0 }
};
static const wm_field DECISION_FIELDS[] = { { .key = "assumed",
                                              .kind = FIELD_FIXED,
                                              F(DECISION, assumed),
                                              .length = WM_DECISION_ASSUMED,
                                              COUNT(DECISION, assumed_count),
                                              .size = WM_DECISION_ASSUMED_SIZE,
                                              .sub = ASSUMED },
                                            UNKNOWN(DECISION, own_g, 1),
                                            UNKNOWN(DECISION, added_g, 1),
                                            UNKNOWN(DECISION, short_g, 1),
                                            INT(DECISION, layers),
                                            INT(DECISION, layers_needed),
                                            INT(DECISION, layers_load),
                                            UNKNOWN(DECISION, mg_per_hair, 4),
                                            UNKNOWN(DECISION, mg_limit, 1),
                                            { .key = "roles", .kind = FIELD_OBJECT, .sub = ROLES },
                                            TXTN(DECISION, missing),
                                            TXTN(DECISION, heavy),
                                            TXTN(DECISION, worn),
                                            UNKNOWN(DECISION, inside_costs, 4),
                                            WORDS(DECISION, claim, WM_CLAIM_WORDS),
                                            { 0 } };

static const wm_field ROW_FIELDS[] = { NUM(wm_row, arc_cm, 2),
                                       NUM(wm_row, row_cm, 2),
                                       NUM(wm_row, weft_cm, 2),
                                       INT(wm_row, sections),
                                       INT(wm_row, beads),
                                       RANGE(wm_row, thread_cut_cm, 2, 1),
                                       RANGE(wm_row, thread_working_cm, 2, 1),
                                       UNKNOWN(wm_row, grams, 1),
                                       UNKNOWN(wm_row, mg_per_hair, 4),
                                       { 0 } };
static const wm_field WEFT_FIELDS[] = {
    TXT(wm_weft, code),
    TXT(wm_weft, name),
    NUM(wm_weft, needed_cm, 2),
    UNKNOWN(wm_weft, length_cm, 2),
    { .key = "trim_cm", .kind = FIELD_NUMBER, F(wm_weft, trim_cm), .detail = 2, HAS(wm_weft, has_trim) },
    BOOL(wm_weft, cuttable),
    UNKNOWN(wm_weft, piece_width_cm, 2),
    INT(wm_weft, pieces),
    INT(wm_weft, pieces_per_pack),
    INT(wm_weft, packs),
    INT(wm_weft, packs_to_order),
    INT(wm_weft, joins),
    UNKNOWN(wm_weft, folded_cm, 2),
    INT(wm_weft, fold_layers),
    UNKNOWN(wm_weft, rest_cm, 2),
    INT(wm_weft, rest_pieces),
    { .key = "pack_price_milli", .kind = FIELD_INT64, F(wm_weft, pack_price_milli) },
    UNKNOWN(wm_weft, grams_per_cm, 4),
    UNKNOWN(wm_weft, tau, 4),
    { 0 }
};
static const wm_field HEAD_FIELDS[] = { WORDS(wm_head, hair, WM_HAIR_WORDS),
                                        WORDS(wm_head, amount, WM_AMOUNT_WORDS),
                                        BOOL(wm_head, shedding),
                                        UNKNOWN(wm_head, natural_length_cm, 2),
                                        { 0 } };
static const wm_field FULLNESS_FIELDS[] = { UNKNOWN(wm_fullness, natural_grams, 1),
                                            UNKNOWN(wm_fullness, added_grams, 1),
                                            UNKNOWN(wm_fullness, added_percent, 1),
                                            { 0 } };
static const wm_field QUOTE_LINE[] = { TXT(wm_quote_line, label),
                                       { .key = "quantity", .kind = FIELD_INT64, F(wm_quote_line, quantity) },
                                       { .key = "each_milli", .kind = FIELD_INT64, F(wm_quote_line, each_milli) },
                                       { .key = "total_minor", .kind = FIELD_INT64, F(wm_quote_line, total_minor) },
                                       { 0 } };
static const wm_field QUOTE_FIELDS[] = {
    TXT(wm_quote, currency),
    { .key = "lines",
      .kind = FIELD_FIXED,
      F(wm_quote, lines),
      .length = WM_QUOTE_LINES,
      COUNT(wm_quote, line_count),
      .size = sizeof(wm_quote_line),
      .sub = QUOTE_LINE },
    { .key = "net_minor", .kind = FIELD_INT64, F(wm_quote, net_minor) },
    { .key = "tax_milli_percent", .kind = FIELD_INT64, F(wm_quote, tax_milli_percent) },
    { .key = "tax_minor", .kind = FIELD_INT64, F(wm_quote, tax_minor) },
    { .key = "total_minor", .kind = FIELD_INT64, F(wm_quote, total_minor) },
    TXTN(wm_quote, number),
    { .key = "valid_until", .kind = FIELD_DATE, F(wm_quote, until) },
    { .key = "deposit_minor", .kind = FIELD_INT64, F(wm_quote, deposit_minor) },
    BOOL(wm_quote, complete),
    { 0 }
};
static const wm_field MOVEUP_FIELDS[] = { { .key = "dates",
                                            .kind = FIELD_FIXED,
                                            F(wm_moveups, dates),
                                            .length = WM_MOVEUPS,
                                            .size = sizeof(wm_date),
                                            .sub = DATE_1 },
                                          INT(wm_moveups, days),
                                          RANGE(wm_moveups, growth_cm, 2, 2),
                                          { 0 } };
static const wm_field GROWOUT_FIELDS[] = { NUM(wm_growout, line_cm, 2),
                                           UNKNOWN(wm_growout, cover_cm, 2),
                                           RANGE(wm_growout, at_moveup_cm, 2, 2),
                                           { .key = "passes",
                                             .kind = FIELD_FIXED,
                                             F(wm_growout, passes),
                                             .length = 2,
                                             .size = sizeof(wm_date),
                                             .sub = DATE_1 },
                                           BOOL(wm_growout, past),
                                           { 0 } };
static const wm_field STRIP_FIELDS[] = { INT(wm_strip, row),          INT(wm_strip, layer),
                                         TXT(wm_strip, code),         NUM(wm_strip, start_cm, 2),
                                         NUM(wm_strip, length_cm, 2), INT(wm_strip, piece),
                                         BOOL(wm_strip, joined),      { 0 } };
static const wm_field PLAN_FIELDS[] = {
    WORDS(wm_plan, units, WM_UNITS_WORDS),
    { .key = "rows",
      .kind = FIELD_FIXED,
      F(wm_plan, rows),
      .length = WM_MAX_ROWS,
      COUNT(wm_plan, row_count),
      .size = sizeof(wm_row),
      .sub = ROW_FIELDS },
    TXT(wm_plan, sewn),
    { .key = "strips",
      .kind = FIELD_FIXED,
      F(wm_plan, strips.items),
      .length = WM_MAX_STRIPS,
      COUNT(wm_plan, strips.count),
      .size = sizeof(wm_strip),
      .sub = STRIP_FIELDS },
    UNKNOWN(wm_plan, wanted_cm, 2),
    { .key = "wefts",
      .kind = FIELD_FIXED,
      F(wm_plan, wefts),
      .length = WM_PLAN_WEFTS,
      COUNT(wm_plan, weft_count),
      .size = sizeof(wm_weft),
      .sub = WEFT_FIELDS },
    INT(wm_plan, beads),
    INT(wm_plan, bead_reserve),
    TXTN(wm_plan, bead_code),
    { .key = "head", .kind = FIELD_OBJECT, F(wm_plan, head), .sub = HEAD_FIELDS },
    { .key = "fullness", .kind = FIELD_OBJECT, F(wm_plan, fullness), .sub = FULLNESS_FIELDS },
    UNKNOWN(wm_plan, limit_mg, 1),
    UNKNOWN(wm_plan, short_g, 1),
    { .key = "steps",
      .kind = FIELD_FIXED,
      F(wm_plan, steps),
      .length = WM_PLAN_STEPS,
      COUNT(wm_plan, step_count),
      .size = WM_PLAN_TEXT_SIZE,
      .sub = PLAN_TEXT },
    { .key = "quote", .kind = FIELD_OBJECT, F(wm_plan, quote), .sub = QUOTE_FIELDS },
    { .key = "moveups", .kind = FIELD_OBJECT, F(wm_plan, moveups), .sub = MOVEUP_FIELDS },
    { .key = "growout", .kind = FIELD_OBJECT, F(wm_plan, growout), .sub = GROWOUT_FIELDS, HAS(wm_plan, growout.known) },
    { .key = "cautions",
      .kind = FIELD_FIXED,
      F(wm_plan, cautions),
      .length = WM_PLAN_CAUTIONS,
      COUNT(wm_plan, caution_count),
      .size = WM_PLAN_TEXT_SIZE,
      .sub = PLAN_TEXT },
    { 0 }
};

static const wm_field SCENARIO_FIELDS[] = {
    NUM(wm_report_scenario, rise, 4),
    NUM(wm_report_scenario, share, 4),
    TXTN(wm_report_scenario, change),
    { .key = "verdict", .kind = FIELD_WORD, F(wm_report_scenario, proposal.verdict), .words = WM_VERDICT_WORDS },
    { .key = "p", .kind = FIELD_OBJECT, F(wm_report_scenario, proposal), .sub = WITHIN },
    { .key = "proposal", .kind = FIELD_OBJECT, F(wm_report_scenario, proposal), .sub = DESIGN_FIELDS },
    { 0 }
};
#define CHANGE wm_report_change
static const wm_field CHANGE_FIELDS[] = {
    TXT(CHANGE, zone),
    NUM(CHANGE, de00, 4),
    NUM(CHANGE, u_de00, 4),
    TXT(CHANGE, words),
    { .key = "d_share", .kind = FIELD_NUMBER, F(CHANGE, d_share), .detail = 4, HAS(CHANGE, has_share) },
    { .key = "u_share", .kind = FIELD_NUMBER, F(CHANGE, u_share), .detail = 4, HAS(CHANGE, has_share) },
    { 0 }
};
static const wm_field SINCE[] = {
    { .key = "date", .kind = FIELD_TEXT_NULL, F(wm_report, since_date), .size = sizeof(((wm_report *)0)->since_date) },
    { .key = "changes",
      .kind = FIELD_LIST,
      F(wm_report, changes),
      COUNT(wm_report, change_count),
      .size = sizeof(CHANGE),
      .sub = CHANGE_FIELDS },
    { .key = "unpaired", .kind = FIELD_SENTENCES, F(wm_report, unpaired) },
    { 0 }
};
static const wm_field FILTER_FIELDS[] = { TXT(wm_report_filter, name),
                                          { .key = "removed", .kind = FIELD_SIZE, F(wm_report_filter, removed) },
                                          { 0 } };
static const wm_field CONTEXT[] = { TXTN(wm_report, client),
                                    TXTN(wm_report, salon),
                                    WORDS(wm_report, worn, WM_WORN_WORDS),
                                    BOOL(wm_report, no_shade_named),
                                    { .key = "filters",
                                      .kind = FIELD_FIXED,
                                      F(wm_report, filters),
                                      .length = WM_FILTERS,
                                      COUNT(wm_report, filter_count),
                                      .size = sizeof(wm_report_filter),
                                      .sub = FILTER_FIELDS },
                                    { .key = "general_cautions", .kind = FIELD_SIZE, F(wm_report, general_cautions) },
                                    { 0 } };

static const wm_field STABILITY[] = {
    INT(wm_report_stability, tries), INT(wm_report_stability, held), TXTN(wm_report_stability, mend), { 0 }
};
static const wm_field PROGRAM[] = { TXT(wm_report, version), TXT(wm_report, lcms), TXT(wm_report, sqlite), { 0 } };
static const wm_field MADE[] = {
    { .key = "at", .kind = FIELD_TEXT, F(wm_report, made_at), .size = sizeof(((wm_report *)0)->made_at) }, { 0 }
};

#define SECTION(s, f, t)                                                                                               \
    {                                                                                                                  \
        .key = s, .kind = FIELD_OBJECT, F(wm_report, f), .sub = t                                                      \
    }
#define REPORT_LIST(f, c, t, sub_)                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_LIST, F(wm_report, f), COUNT(wm_report, c), .size = sizeof(t), .sub = sub_            \
    }
/* In the order of the document; `measure` writes up to the zones, then the warnings. */
static const wm_field MEASURED[] = { { .key = "made", .kind = FIELD_OBJECT, .sub = MADE },
                                     SECTION("photo", photo, PHOTO),
                                     SECTION("calibration", calibration, CALIBRATION),
                                     REPORT_LIST(zones, zone_count, ZONE, ZONE_FIELDS),
                                     { 0 } };
static const wm_field RANKINGS[] = { REPORT_LIST(rankings, ranking_count, RANKING, RANKING_FIELDS), { 0 } };
static const wm_field MATCHED[] = {
    REPORT_LIST(rankings, ranking_count, RANKING, RANKING_FIELDS),
    SECTION("decision", decision, DECISION_FIELDS),
    REPORT_LIST(proposals, proposal_count, PROPOSAL, PROPOSAL_FIELDS),
    REPORT_LIST(scenarios, scenario_count, wm_report_scenario, SCENARIO_FIELDS),
    SECTION("stability", stability, STABILITY),
    { .key = "plan", .kind = FIELD_OBJECT, F(wm_report, plan), .sub = PLAN_FIELDS, HAS(wm_report, has_plan) },
    { 0 }
};
static const wm_field WARNINGS[] = { { .key = "warnings", .kind = FIELD_WARNINGS, F(wm_report, warnings) }, { 0 } };
static const wm_field REST[] = { { .key = "cautions", .kind = FIELD_SENTENCES, F(wm_report, cautions) },
                                 { .key = "since_last_visit", .kind = FIELD_OBJECT, .sub = SINCE },
                                 { .key = "context", .kind = FIELD_OBJECT, .sub = CONTEXT },
                                 { 0 } };

wm_status wm_report_to_json(wm_buf *out, const wm_report *report, wm_error *err)
{
    const char *base = (const char *)report;
    wm_buf_format(out, "{\"format\":%d,\n\"program\":{\"name\":\"weftmatch\"", WM_REPORT_FORMAT);
    wm_fields_write_members(out, PROGRAM, base, ",");
    wm_buf_text(out, "}");
    wm_fields_write_members(out, MEASURED, base, ",\n");
    if (!report->measured_only)
        wm_fields_write_members(out, MATCHED, base, ",\n");
    if (!report->measured_only)
        wm_buf_format(out, ",\n\"answer\":\"%s\"", WM_ANSWER_WORDS[wm_report_answer(report)]);
    wm_fields_write_members(out, WARNINGS, base, ",\n");
    if (!report->measured_only)
        wm_fields_write_members(out, REST, base, ",\n");
    wm_buf_text(out, "}\n");
    return wm_buf_status(out, err);
}

wm_status wm_plan_to_json(wm_buf *out, const wm_plan *plan, wm_error *err)
{
    wm_buf_format(out, "{\"format\":%d,\n\"plan\":", WM_REPORT_FORMAT);
    wm_fields_write(out, PLAN_FIELDS, (const char *)plan);
    wm_buf_text(out, "}\n");
    return wm_buf_status(out, err);
}

/* Numbers that are counted or drawn with are possible; a book may be damaged. */
static bool possible(const wm_report_proposal *p)
{
    bool good = p->layers >= 0 && p->layers <= WM_MAX_LAYERS && p->shade_count >= 1 && p->row_count >= 1;
    for (size_t r = 0; r < p->row_count; r++) {
        good = good && p->rows[r].row_cm <= WM_ARC_MAX_CM && p->rows[r].count >= 1;
        for (size_t s = 0; s < p->rows[r].count; s++) {
            const wm_report_segment *g = &p->rows[r].segments[s];
            good = good && g->sides >= 1 && g->sides <= 2 && g->length_cm <= WM_ARC_MAX_CM && g->layer_count >= 1;
            for (size_t i = 0; i < g->layer_count; i++)
                good = good && g->layers[i].layer.second_share >= 0 && g->layers[i].layer.second_share <= 1;
        }
    }
    return good;
}

static bool all_possible(const wm_report *report, wm_fields_trouble *bad)
{
    bool good = true;
    for (size_t i = 0; i < report->proposal_count; i++)
        good = good && possible(&report->proposals[i]);
    for (size_t i = 0; i < report->scenario_count; i++)
        good = good && possible(&report->scenarios[i].proposal);
    bad->key = good || bad->key ? bad->key : "proposals";
    return good;
}

/* A zone may be called as a role is: the zones' rankings are the last. */
static void tell_apart(wm_report *report)
{
    for (size_t i = 0; i < report->ranking_count; i++) {
        wm_report_ranking *k = &report->rankings[i];
        for (size_t z = 0; z < report->zone_count && !k->of_zone; z++)
            k->of_zone = !report->zones[z].refused && strcmp(report->zones[z].name, k->target) == 0;
        for (size_t later = i + 1; later < report->ranking_count && k->of_zone; later++)
            k->of_zone = strcmp(report->rankings[later].target, k->target) != 0;
    }
}

/* What format 1 said otherwise is read apart. */
static bool read_document(wm_report *report, const wm_json *root, wm_fields_trouble *bad)
{
    char *base = (char *)report;
    double format = 0;
    bool first = wm_json_number(wm_json_get(root, "format"), &format) && format < 2;
    report->measured_only = !wm_json_get(root, "rankings");
    const wm_json *program = wm_json_get(root, "program");
    return (!program || wm_fields_read(PROGRAM, base, program, bad)) && wm_fields_read(MEASURED, base, root, bad) &&
           (first ? wm_format1_read(report, root, PLAN_FIELDS, bad) && wm_fields_read(RANKINGS, base, root, bad)
                  : wm_fields_read(MATCHED, base, root, bad)) &&
           all_possible(report, bad) && wm_fields_read(WARNINGS, base, root, bad) &&
           wm_fields_read(REST, base, root, bad);
}

wm_status wm_report_from_json(wm_report *out, const char *json, size_t size, const char *file, wm_error *err)
{
    wm_json_document *document = NULL;
    wm_report *report = calloc(1, sizeof *report);
    wm_fields_trouble bad = { NULL, WM_E_BOOK };
    double format = 0;
    wm_status status = report ? wm_json_parse(&document, json, size, file, WM_E_BOOK, err) : wm_fail_memory(err);
    if (status)
        goto done;
    if (!wm_json_number(wm_json_get(wm_json_root(document), "format"), &format) || format < 1)
        status = wm_fail_at(err, WM_E_BOOK, file, 0, 0, "the saved visit is not a report: it has no format");
    else if (format > WM_REPORT_FORMAT)
        status = wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                            "the saved report was written by a newer weftmatch; update weftmatch");
    else if (!read_document(report, wm_json_root(document), &bad))
        status = bad.status == WM_E_MEMORY ? wm_fail_memory(err)
                                           : wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                                                        "the saved report is damaged at '%s'", bad.key ? bad.key : "?");
    else if (report->warnings.failed || report->cautions.failed)
        status = wm_fail_memory(err);
    else
        tell_apart(report);
    if (status)
        wm_report_free(report);
    else
        *out = *report;
done:
    wm_json_free(document);
    free(report);
    return status;
}

/* The first swatch of that code within the rankings, as it stands there. */
static void write_swatch(wm_buf *out, const char *rankings, size_t size, const char *code)
{
    wm_buf sought = { 0 };
    wm_buf_text(&sought, "{\"code\":");
    wm_buf_json_string(&sought, code);
    const char *at = sought.failed ? NULL : memmem(rankings, size, sought.data, sought.size);
    if (at) {
        const size_t start = (size_t)(at - rankings);
        wm_buf_text(out, out->data[out->size - 1] == '}' ? "," : "");
        wm_buf_bytes(out, at, wm_json_value_ends(rankings, size, start) - start);
    }
    out->failed = out->failed || sought.failed;
    wm_buf_free(&sought);
}

/* One ranking, as the first begins, of the shades that are asked for. */
static void write_rankings(wm_buf *out, const char *rankings, size_t size, const wm_report_part *part)
{
    static const char SWATCHES[] = "\"swatches\":[";
    const char *list = part->shade_count ? memmem(rankings, size, SWATCHES, sizeof SWATCHES - 1) : NULL;
    if (!list) {
        wm_buf_text(out, "[]");
        return;
    }
    wm_buf_bytes(out, rankings, (size_t)(list - rankings) + sizeof SWATCHES - 1);
    for (size_t i = 0; i < part->shade_count; i++)
        write_swatch(out, rankings, size, part->shades[i]);
    wm_buf_text(out, "]}]");
}

/* Behind the first so many values of the list whose values begin at `start`; 0: there are no more. */
static size_t behind_nearest(const char *json, size_t end, size_t start, size_t nearest)
{
    size_t at = start;
    for (size_t i = 0; i < nearest && at < end; i++) {
        at = wm_json_value_ends(json, end, i ? at + 1 : at);
        if (at < end && json[at] != ',')
            return 0;
    }
    return at < end ? at : 0;
}

/* Each ranking with its nearest swatches. */
static void write_nearest(wm_buf *out, const char *rankings, size_t size, size_t nearest)
{
    static const char SWATCHES[] = "\"swatches\":[";
    size_t done = 0;
    for (const char *list = rankings;
         (list = memmem(list, size - (size_t)(list - rankings), SWATCHES, sizeof SWATCHES - 1));) {
        const size_t start = (size_t)(list - rankings) + sizeof SWATCHES - 1,
                     cut = behind_nearest(rankings, size, start, nearest),
                     end = wm_json_value_ends(rankings, size, start - 1);
        if (cut) {
            wm_buf_bytes(out, rankings + done, cut - done);
            done = end - 1; /* its bracket */
        }
        list = rankings + end;
    }
    wm_buf_bytes(out, rankings + done, size - done);
}

/* `json` becomes what `rest` holds then. */
static wm_status leave_out(wm_buf *rest, const char **json, size_t *size, const char *list, const wm_report_part *part,
                           wm_error *err)
{
    size_t start = 0, end = 0;
    wm_buf cut = { 0 };
    if (!wm_json_member_lies(&start, &end, *json, *size, list))
        return WM_OK;
    wm_buf_bytes(&cut, *json, start);
    if (strcmp(list, "rankings") == 0 && part->nearest)
        write_nearest(&cut, *json + start, end - start, part->nearest);
    else if (strcmp(list, "rankings") == 0)
        write_rankings(&cut, *json + start, end - start, part);
    else
        wm_buf_text(&cut, (*json)[start] == '[' ? "[]" : "null");
    wm_buf_bytes(&cut, *json + end, *size - end);
    wm_buf_free(rest);
    *rest = cut;
    *json = rest->data;
    *size = rest->size;
    return wm_buf_status(rest, err);
}

/* Format 1 keeps the colours of its shades in the rankings alone. */
static bool is_format_1(const char *json, size_t size)
{
    size_t start = 0, end = 0;
    return wm_json_member_lies(&start, &end, json, size, "format") && end - start == 1 && json[start] == '1';
}

/* A document that another program wrote, with spaces where we have none, may not be cut well: it is read as a whole. */
wm_status wm_report_from_json_part(wm_report *out, const char *json, size_t size, const wm_report_part *part,
                                   const char *file, wm_error *err)
{
    wm_buf rest = { 0 };
    wm_error none;
    const char *text = json;
    size_t length = size;
    wm_status status = WM_OK;
    for (const char *const *list = part->without; *list && !status && !is_format_1(json, size); list++)
        status = leave_out(&rest, &text, &length, *list, part, err);
    if (!status && wm_report_from_json(out, text, length, file, &none))
        status = wm_report_from_json(out, json, size, file, err);
    wm_buf_free(&rest);
    return status;
}

/* The report as JSON and back. One table of fields a struct serves both ways, so that the reader can't disagree with
 * the writer. */
#include "report/json_out.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/json.h"

typedef enum kind {
    NUMBER,      /* double, `detail` decimals */
    NUMBER_NULL, /* the same, null when negative (unknown) */
    NUMBERS,     /* double[`length`] */
    WHOLE,       /* int; null when negative */
    SIZE,        /* size_t */
    INT64,
    BOOLEAN,
    TEXT,       /* char[`size`] */
    TEXT_NULL,  /* the same, null when empty */
    LAB,        /* wm_lab as [L, a, b] */
    WORD,       /* enum, through `words` */
    DATE,       /* wm_date as YYYY-MM-DD, null for none */
    OBJECT,     /* nested object over the same base + offset, fields `sub` */
    FIXED,      /* array of `length` elements in place (count at `count` if it is not 0), of `sub` */
    LIST,       /* pointer to elements, count at `count`, of `sub` */
    NOTES,      /* wm_notes as [{code, text}] */
    SENTENCES,  /* wm_notes as [text] */
    ARRANGEMENT /* "one" or "layers" from the number of layers; not read */
} kind;

typedef struct field {
    const char *key;
    kind kind;
    size_t offset;
    int detail;
    size_t size, length, count;
    const char *const *words;
    const struct field *sub;
    size_t has; /* offset + 1 of a bool: null when false */
    bool has_inverted;
} field;

#define F(s, f) .offset = offsetof(s, f)
#define NUM(s, f, d)                                                                                                   \
    {                                                                                                                  \
        .key = #f, .kind = NUMBER, F(s, f), .detail = d                                                                \
    }
#define UNKNOWN(s, f, d)                                                                                               \
    {                                                                                                                  \
        .key = #f, .kind = NUMBER_NULL, F(s, f), .detail = d                                                           \
    }
#define RANGE(s, f, n, d)                                                                                              \
    {                                                                                                                  \
        .key = #f, .kind = NUMBERS, F(s, f), .detail = d, .length = n                                                  \
    }
#define INT(s, f)                                                                                                      \
    {                                                                                                                  \
        .key = #f, .kind = WHOLE, F(s, f)                                                                              \
    }
#define BOOL(s, f)                                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = BOOLEAN, F(s, f)                                                                            \
    }
#define TXT(s, f)                                                                                                      \
    {                                                                                                                  \
        .key = #f, .kind = TEXT, F(s, f), .size = sizeof(((s *)0)->f)                                                  \
    }
#define TXTN(s, f)                                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = TEXT_NULL, F(s, f), .size = sizeof(((s *)0)->f)                                             \
    }
#define LABF(s, f)                                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = LAB, F(s, f)                                                                                \
    }
#define HAS(s, f) .has = offsetof(s, f) + 1
#define COUNT(s, f) .count = offsetof(s, f) + 1
#define WORDS(s, f, w)                                                                                                 \
    {                                                                                                                  \
        .key = #f, .kind = WORD, F(s, f), .words = w                                                                   \
    }

static const field LAYER_CODE[] = { { .kind = TEXT, F(wm_layer, code), .size = WM_CODE_SIZE }, { 0 } };
static const field PLAN_TEXT[] = { { .kind = TEXT, .size = WM_PLAN_TEXT_SIZE }, { 0 } };
static const field INT_1[] = { { .kind = WHOLE }, { 0 } };
static const field DATE_1[] = { { .kind = DATE }, { 0 } };

static const field PHOTO[] = { TXT(wm_report_photo, file),
                               TXT(wm_report_photo, sha256),
                               INT(wm_report_photo, width),
                               INT(wm_report_photo, height),
                               INT(wm_report_photo, orientation),
                               TXT(wm_report_photo, profile),
                               BOOL(wm_report_photo, profile_assumed),
                               TXTN(wm_report_photo, camera),
                               TXTN(wm_report_photo, taken),
                               { 0 } };

static const field STAGE1[] = { WORDS(wm_stage1, kind, WM_STAGE1_WORDS), RANGE(wm_stage1, gain, 3, 6),
                                RANGE(wm_stage1, curve_a, 3, 6),         RANGE(wm_stage1, curve_b, 3, 6),
                                RANGE(wm_stage1, curve_g, 3, 6),         { 0 } };
static const field DROPPED[] = { TXT(wm_dropped, zone), TXT(wm_dropped, why), { 0 } };
static const field USED_AID[] = {
    TXT(wm_report_aid, name), LABF(wm_report_aid, measured), LABF(wm_report_aid, reference), { 0 }
};
#define CAL wm_report_calibration
static const field CALIBRATION[] = {
    WORDS(CAL, aid, WM_AID_SET_WORDS),
    { .key = "stage1", .kind = OBJECT, F(CAL, stage1), .sub = STAGE1 },
    { .key = "agreement", .kind = NUMBER, F(CAL, agreement), .detail = 4, HAS(CAL, has_agreement) },
    { .key = "used",
      .kind = LIST,
      F(CAL, used),
      COUNT(CAL, used_count),
      .size = sizeof(wm_report_aid),
      .sub = USED_AID },
    { .key = "dropped",
      .kind = LIST,
      F(CAL, dropped),
      COUNT(CAL, dropped_count),
      .size = sizeof(wm_dropped),
      .sub = DROPPED },
    { 0 }
};

#define ZONE wm_report_zone
#define UNLESS_REFUSED HAS(ZONE, refused), .has_inverted = true
static const field ZONE_GRAY[] = {
    { .key = "status", .kind = WORD, F(ZONE, gray_status), .words = WM_GRAY_STATUS_WORDS },
    { .key = "share", .kind = NUMBER, F(ZONE, share), .detail = 4, HAS(ZONE, has_share) },
    { .key = "u_share", .kind = NUMBER, F(ZONE, u_share), .detail = 4, HAS(ZONE, has_share) },
    { .key = "base_lab", .kind = LAB, F(ZONE, base.lab), HAS(ZONE, base_known) },
    { .key = "gray_lab", .kind = LAB, F(ZONE, gray.lab), HAS(ZONE, gray_known) },
    BOOL(ZONE, base_never_seen),
    { 0 }
};
static const field ZONE_HAIR[] = { WORDS(wm_report_hair, verdict, WM_HAIR_VERDICT_WORDS),
                                   NUM(wm_report_hair, cut_share, 4),
                                   BOOL(wm_report_hair, skin),
                                   BOOL(wm_report_hair, background),
                                   { 0 } };
static const field ZONE_FIELDS[] = {
    WORDS(ZONE, kind, WM_ZONE_KIND_WORDS),
    TXT(ZONE, name),
    { .key = "pixels", .kind = SIZE, F(ZONE, body.pixels) },
    { .key = "kept", .kind = SIZE, F(ZONE, body.kept) },
    { .key = "hair", .kind = OBJECT, F(ZONE, hair), .sub = ZONE_HAIR },
    { .key = "lab", .kind = LAB, F(ZONE, body.lab), UNLESS_REFUSED },
    { .key = "sd", .kind = LAB, F(ZONE, sd), UNLESS_REFUSED },
    { .key = "sigma", .kind = LAB, F(ZONE, body.sigma), UNLESS_REFUSED },
    { .key = "u_de00", .kind = NUMBER, F(ZONE, body.u_de00), .detail = 4, UNLESS_REFUSED },
    { .key = "claim", .kind = WORD, F(ZONE, body.claim), .words = WM_CLAIM_WORDS, UNLESS_REFUSED },
    { .key = "gray", .kind = OBJECT, .sub = ZONE_GRAY },
    { 0 }
};

#define MATCH wm_report_match
static const field MATCH_FIELDS[] = { TXT(MATCH, code),
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
static const field RANKING_FIELDS[] = { TXT(RANKING, target),
                                        { .key = "lab", .kind = LAB, F(RANKING, lab), HAS(RANKING, has_lab) },
                                        WORDS(RANKING, claim, WM_CLAIM_WORDS),
                                        TXTN(RANKING, said),
                                        { .key = "swatches",
                                          .kind = LIST,
                                          F(RANKING, items),
                                          COUNT(RANKING, count),
                                          .size = sizeof(MATCH),
                                          .sub = MATCH_FIELDS },
                                        { 0 } };

#define SHADE wm_report_shade
static const field SHADE_FIELDS[] = {
    TXT(SHADE, code), TXT(SHADE, name), LABF(SHADE, lab), NUM(SHADE, share, 4), { 0 }
};
#define PROPOSAL wm_report_proposal
static const field VIEW_DOWN[] = { { .key = "lab", .kind = LAB, F(PROPOSAL, views.down) },
                                   { .key = "de00", .kind = NUMBER, F(PROPOSAL, down_de00), .detail = 4 },
                                   { 0 } };
static const field VIEW_UP[] = { { .key = "lab", .kind = LAB, F(PROPOSAL, views.up) },
                                 { .key = "de00", .kind = NUMBER, F(PROPOSAL, up_de00), .detail = 4 },
                                 { 0 } };
static const field VIEWS[] = { { .key = "down", .kind = OBJECT, .sub = VIEW_DOWN },
                               { .key = "up", .kind = OBJECT, .sub = VIEW_UP },
                               { 0 } };
static const field COLOURS[] = { { .key = "intact", .kind = LAB, F(PROPOSAL, views.intact) },
                                 { .key = "moved", .kind = LAB, F(PROPOSAL, views.moved) },
                                 { .key = "edge", .kind = LAB, F(PROPOSAL, views.edge) },
                                 { 0 } };
static const field PROPOSAL_FIELDS[] = { { .key = "arrangement", .kind = ARRANGEMENT, F(PROPOSAL, stack.count) },
                                         { .key = "layers",
                                           .kind = FIXED,
                                           F(PROPOSAL, stack.layers),
                                           .length = WM_MAX_LAYERS,
                                           COUNT(PROPOSAL, stack.count),
                                           .size = sizeof(wm_layer),
                                           .sub = LAYER_CODE },
                                         { .key = "ratio",
                                           .kind = FIXED,
                                           F(PROPOSAL, shades[0].layers),
                                           .length = WM_MAX_LAYERS,
                                           COUNT(PROPOSAL, shade_count),
                                           .size = sizeof(SHADE),
                                           .sub = INT_1 },
                                         { .key = "shades",
                                           .kind = FIXED,
                                           F(PROPOSAL, shades),
                                           .length = WM_MAX_LAYERS,
                                           COUNT(PROPOSAL, shade_count),
                                           .size = sizeof(SHADE),
                                           .sub = SHADE_FIELDS },
                                         NUM(PROPOSAL, worst_de00, 4),
                                         NUM(PROPOSAL, u_de00, 4),
                                         WORDS(PROPOSAL, verdict, WM_VERDICT_WORDS),
                                         WORDS(PROPOSAL, claim, WM_CLAIM_WORDS),
                                         { .key = "views", .kind = OBJECT, .sub = VIEWS },
                                         { .key = "colours", .kind = OBJECT, .sub = COLOURS },
                                         TXT(PROPOSAL, why),
                                         { 0 } };

static const field IDEAL[] = {
    { .key = "shades", .kind = FIXED, F(wm_report, ideal), .length = 2, .size = sizeof(SHADE), .sub = SHADE_FIELDS },
    { .key = "de00", .kind = NUMBER, F(wm_report, ideal_de00), .detail = 4 },
    { 0 }
};

static const field ROW_FIELDS[] = { NUM(wm_row, arc_cm, 2),
                                    NUM(wm_row, row_cm, 2),
                                    NUM(wm_row, weft_cm, 2),
                                    INT(wm_row, sections),
                                    INT(wm_row, beads),
                                    RANGE(wm_row, thread_cut_cm, 2, 1),
                                    RANGE(wm_row, thread_working_cm, 2, 1),
                                    UNKNOWN(wm_row, grams, 1),
                                    UNKNOWN(wm_row, mg_per_hair, 4),
                                    { 0 } };
static const field WEFT_FIELDS[] = {
    TXT(wm_weft, code),
    TXT(wm_weft, name),
    NUM(wm_weft, needed_cm, 2),
    UNKNOWN(wm_weft, length_cm, 2),
    { .key = "trim_cm", .kind = NUMBER, F(wm_weft, trim_cm), .detail = 2, HAS(wm_weft, has_trim) },
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
    { .key = "pack_price_milli", .kind = INT64, F(wm_weft, pack_price_milli) },
    UNKNOWN(wm_weft, grams_per_cm, 4),
    UNKNOWN(wm_weft, tau, 4),
    { 0 }
};
static const field HEAD_FIELDS[] = { WORDS(wm_head, hair, WM_HAIR_WORDS),
                                     WORDS(wm_head, amount, WM_AMOUNT_WORDS),
                                     BOOL(wm_head, shedding),
                                     UNKNOWN(wm_head, natural_length_cm, 2),
                                     { 0 } };
static const field FULLNESS_FIELDS[] = { UNKNOWN(wm_fullness, natural_grams, 1),
                                         UNKNOWN(wm_fullness, added_grams, 1),
                                         UNKNOWN(wm_fullness, added_percent, 1),
                                         { 0 } };
static const field QUOTE_LINE[] = { TXT(wm_quote_line, label),
                                    { .key = "quantity", .kind = INT64, F(wm_quote_line, quantity) },
                                    { .key = "each_milli", .kind = INT64, F(wm_quote_line, each_milli) },
                                    { .key = "total_minor", .kind = INT64, F(wm_quote_line, total_minor) },
                                    { 0 } };
static const field QUOTE_FIELDS[] = { TXT(wm_quote, currency),
                                      { .key = "lines",
                                        .kind = FIXED,
                                        F(wm_quote, lines),
                                        .length = WM_QUOTE_LINES,
                                        COUNT(wm_quote, line_count),
                                        .size = sizeof(wm_quote_line),
                                        .sub = QUOTE_LINE },
                                      { .key = "net_minor", .kind = INT64, F(wm_quote, net_minor) },
                                      { .key = "tax_milli_percent", .kind = INT64, F(wm_quote, tax_milli_percent) },
                                      { .key = "tax_minor", .kind = INT64, F(wm_quote, tax_minor) },
                                      { .key = "total_minor", .kind = INT64, F(wm_quote, total_minor) },
                                      BOOL(wm_quote, complete),
                                      { 0 } };
static const field MOVEUP_FIELDS[] = { { .key = "dates",
                                         .kind = FIXED,
                                         F(wm_moveups, dates),
                                         .length = WM_MOVEUPS,
                                         .size = sizeof(wm_date),
                                         .sub = DATE_1 },
                                       INT(wm_moveups, days),
                                       RANGE(wm_moveups, growth_cm, 2, 2),
                                       { 0 } };
static const field GROWOUT_FIELDS[] = {
    NUM(wm_growout, line_cm, 2),
    UNKNOWN(wm_growout, cover_cm, 2),
    RANGE(wm_growout, at_moveup_cm, 2, 2),
    { .key = "passes", .kind = FIXED, F(wm_growout, passes), .length = 2, .size = sizeof(wm_date), .sub = DATE_1 },
    BOOL(wm_growout, past),
    { 0 }
};
static const field STRIP_FIELDS[] = { INT(wm_strip, row),          INT(wm_strip, layer),
                                      TXT(wm_strip, code),         NUM(wm_strip, start_cm, 2),
                                      NUM(wm_strip, length_cm, 2), INT(wm_strip, piece),
                                      BOOL(wm_strip, joined),      { 0 } };
static const field PLAN_FIELDS[] = {
    WORDS(wm_plan, units, WM_UNITS_WORDS),
    { .key = "rows",
      .kind = FIXED,
      F(wm_plan, rows),
      .length = WM_MAX_ROWS,
      COUNT(wm_plan, row_count),
      .size = sizeof(wm_row),
      .sub = ROW_FIELDS },
    TXT(wm_plan, sewn),
    { .key = "strips",
      .kind = FIXED,
      F(wm_plan, strips.items),
      .length = WM_MAX_STRIPS,
      COUNT(wm_plan, strips.count),
      .size = sizeof(wm_strip),
      .sub = STRIP_FIELDS },
    UNKNOWN(wm_plan, wanted_cm, 2),
    { .key = "wefts",
      .kind = FIXED,
      F(wm_plan, wefts),
      .length = WM_PLAN_WEFTS,
      COUNT(wm_plan, weft_count),
      .size = sizeof(wm_weft),
      .sub = WEFT_FIELDS },
    INT(wm_plan, beads),
    INT(wm_plan, bead_reserve),
    TXTN(wm_plan, bead_code),
    { .key = "head", .kind = OBJECT, F(wm_plan, head), .sub = HEAD_FIELDS },
    { .key = "fullness", .kind = OBJECT, F(wm_plan, fullness), .sub = FULLNESS_FIELDS },
    UNKNOWN(wm_plan, limit_mg, 1),
    UNKNOWN(wm_plan, short_g, 1),
    { .key = "steps",
      .kind = FIXED,
      F(wm_plan, steps),
      .length = WM_PLAN_STEPS,
      COUNT(wm_plan, step_count),
      .size = WM_PLAN_TEXT_SIZE,
      .sub = PLAN_TEXT },
    { .key = "quote", .kind = OBJECT, F(wm_plan, quote), .sub = QUOTE_FIELDS },
    { .key = "moveups", .kind = OBJECT, F(wm_plan, moveups), .sub = MOVEUP_FIELDS },
    { .key = "growout", .kind = OBJECT, F(wm_plan, growout), .sub = GROWOUT_FIELDS, HAS(wm_plan, growout.known) },
    { .key = "cautions",
      .kind = FIXED,
      F(wm_plan, cautions),
      .length = WM_PLAN_CAUTIONS,
      COUNT(wm_plan, caution_count),
      .size = WM_PLAN_TEXT_SIZE,
      .sub = PLAN_TEXT },
    { 0 }
};

static const field SCENARIO_FIELDS[] = {
    NUM(wm_report_scenario, share, 4),
    LABF(wm_report_scenario, target),
    { .key = "best", .kind = OBJECT, F(wm_report_scenario, best), .sub = PROPOSAL_FIELDS },
    { 0 }
};
#define CHANGE wm_report_change
static const field CHANGE_FIELDS[] = {
    TXT(CHANGE, zone),
    NUM(CHANGE, de00, 4),
    NUM(CHANGE, u_de00, 4),
    TXT(CHANGE, words),
    { .key = "d_share", .kind = NUMBER, F(CHANGE, d_share), .detail = 4, HAS(CHANGE, has_share) },
    { .key = "u_share", .kind = NUMBER, F(CHANGE, u_share), .detail = 4, HAS(CHANGE, has_share) },
    { 0 }
};
static const field SINCE[] = {
    { .key = "date", .kind = TEXT_NULL, F(wm_report, since_date), .size = sizeof(((wm_report *)0)->since_date) },
    { .key = "changes",
      .kind = LIST,
      F(wm_report, changes),
      COUNT(wm_report, change_count),
      .size = sizeof(CHANGE),
      .sub = CHANGE_FIELDS },
    { 0 }
};
static const field FILTER_FIELDS[] = { TXT(wm_report_filter, name),
                                       { .key = "removed", .kind = SIZE, F(wm_report_filter, removed) },
                                       { 0 } };
static const field CONTEXT[] = {
    TXTN(wm_report, client),
    TXTN(wm_report, salon),
    TXTN(wm_report, target_zone),
    { .key = "target_lab", .kind = LAB, F(wm_report, target.lab), HAS(wm_report, target.known) },
    { .key = "pile_lab", .kind = LAB, F(wm_report, pile.lab), HAS(wm_report, pile.known) },
    WORDS(wm_report, worn, WM_WORN_WORDS),
    BOOL(wm_report, no_shade_named),
    { .key = "filters",
      .kind = FIXED,
      F(wm_report, filters),
      .length = 3,
      COUNT(wm_report, filter_count),
      .size = sizeof(wm_report_filter),
      .sub = FILTER_FIELDS },
    TXTN(wm_report, missing),
    { 0 }
};

static const field STABILITY[] = {
    INT(wm_report_stability, tries), INT(wm_report_stability, held), TXTN(wm_report_stability, mend), { 0 }
};
static const field PROGRAM[] = { TXT(wm_report, version), TXT(wm_report, lcms), TXT(wm_report, sqlite), { 0 } };
static const field MADE[] = {
    { .key = "at", .kind = TEXT, F(wm_report, made_at), .size = sizeof(((wm_report *)0)->made_at) }, { 0 }
};

#define SECTION(s, f, t)                                                                                               \
    {                                                                                                                  \
        .key = s, .kind = OBJECT, F(wm_report, f), .sub = t                                                            \
    }
#define REPORT_LIST(f, c, t, sub_)                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = LIST, F(wm_report, f), COUNT(wm_report, c), .size = sizeof(t), .sub = sub_                  \
    }
/* In the order of the document; `measure` writes up to the zones, then the warnings. */
static const field MEASURED[] = { { .key = "made", .kind = OBJECT, .sub = MADE },
                                  SECTION("photo", photo, PHOTO),
                                  SECTION("calibration", calibration, CALIBRATION),
                                  REPORT_LIST(zones, zone_count, ZONE, ZONE_FIELDS),
                                  { 0 } };
static const field MATCHED[] = {
    REPORT_LIST(rankings, ranking_count, RANKING, RANKING_FIELDS),
    REPORT_LIST(proposals, proposal_count, PROPOSAL, PROPOSAL_FIELDS),
    { .key = "ideal_mix", .kind = OBJECT, .sub = IDEAL, HAS(wm_report, has_ideal_mix) },
    SECTION("stability", stability, STABILITY),
    { .key = "plan", .kind = OBJECT, F(wm_report, plan), .sub = PLAN_FIELDS, HAS(wm_report, has_plan) },
    { 0 }
};
static const field WARNINGS[] = { { .key = "warnings", .kind = NOTES, F(wm_report, warnings) }, { 0 } };
static const field REST[] = { { .key = "cautions", .kind = SENTENCES, F(wm_report, cautions) },
                              REPORT_LIST(scenarios, scenario_count, wm_report_scenario, SCENARIO_FIELDS),
                              { .key = "since_last_visit", .kind = OBJECT, .sub = SINCE },
                              { .key = "context", .kind = OBJECT, .sub = CONTEXT },
                              { 0 } };

/* --- writing
 * --------------------------------------------------------------------------------------------------------------------
 */

static void write_fields(wm_buf *out, const field *fields, const char *base);

static void write_lab(wm_buf *out, const wm_lab *lab)
{
    const double v[3] = { lab->L, lab->a, lab->b };
    for (int i = 0; i < 3; i++) {
        wm_buf_text(out, i ? "," : "[");
        wm_buf_number(out, v[i], 4);
    }
    wm_buf_text(out, "]");
}

static void write_number(wm_buf *out, double value, int decimals, bool null_when_negative)
{
    if (null_when_negative && value < 0)
        wm_buf_text(out, "null");
    else
        wm_buf_number(out, value, decimals);
}

static void write_numbers(wm_buf *out, const double *values, size_t count, int decimals)
{
    for (size_t i = 0; i < count; i++) {
        wm_buf_text(out, i ? "," : "[");
        wm_buf_number(out, values[i], decimals);
    }
    wm_buf_text(out, "]");
}

static void write_text_or_null(wm_buf *out, const char *text)
{
    if (*text)
        wm_buf_json_string(out, text);
    else
        wm_buf_text(out, "null");
}

static void write_date(wm_buf *out, const wm_date *date)
{
    char text[WM_DATE_SIZE];
    write_text_or_null(out, wm_date_text(text, *date));
}

static void write_notes(wm_buf *out, const wm_notes *notes, bool with_code)
{
    wm_buf_text(out, "[");
    for (size_t i = 0; i < notes->count; i++) {
        wm_buf_text(out, i ? ",\n  " : "\n  ");
        if (with_code) {
            wm_buf_text(out, "{\"code\":");
            wm_buf_json_string(out, notes->items[i].code);
            wm_buf_text(out, ",\"text\":");
        }
        wm_buf_json_string(out, notes->items[i].text);
        if (with_code)
            wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]");
}

/* Number of elements of an array field. */
static size_t count_of(const field *f, const char *base)
{
    size_t n = f->length;
    if (f->count)
        memcpy(&n, base + f->count - 1, sizeof n);
    return n;
}

static void write_value(wm_buf *out, const field *f, const char *base);

static void write_array(wm_buf *out, const field *f, const char *base)
{
    const char *items = base + f->offset;
    if (f->kind == LIST)
        memcpy(&items, base + f->offset, sizeof items);
    size_t count = count_of(f, base);
    wm_buf_text(out, "[");
    for (size_t i = 0; i < count; i++) {
        bool plain = f->sub[0].key == NULL;
        wm_buf_text(out, i ? "," : "");
        wm_buf_text(out, plain ? "" : "\n  ");
        if (plain)
            write_value(out, f->sub, items + i * f->size);
        else
            write_fields(out, f->sub, items + i * f->size);
    }
    wm_buf_text(out, "]");
}

static void write_value(wm_buf *out, const field *f, const char *base)
{
    const char *at = base + f->offset;
    switch (f->kind) {
    case NUMBER:
    case NUMBER_NULL: write_number(out, *(const double *)(const void *)at, f->detail, f->kind == NUMBER_NULL); break;
    case NUMBERS: write_numbers(out, (const double *)(const void *)at, f->length, f->detail); break;
    case WHOLE: write_number(out, *(const int *)(const void *)at, 0, true); break;
    case SIZE: wm_buf_format(out, "%zu", *(const size_t *)(const void *)at); break;
    case INT64: wm_buf_format(out, "%lld", (long long)*(const int64_t *)(const void *)at); break;
    case BOOLEAN: wm_buf_text(out, *(const bool *)at ? "true" : "false"); break;
    case TEXT: wm_buf_json_string(out, at); break;
    case TEXT_NULL: write_text_or_null(out, at); break;
    case LAB: write_lab(out, (const wm_lab *)(const void *)at); break;
    case WORD: wm_buf_json_string(out, wm_word_of(f->words, *(const unsigned *)(const void *)at)); break;
    case DATE: write_date(out, (const wm_date *)(const void *)at); break;
    case OBJECT: write_fields(out, f->sub, at); break;
    case FIXED:
    case LIST: write_array(out, f, base); break;
    case NOTES:
    case SENTENCES: write_notes(out, (const wm_notes *)(const void *)at, f->kind == NOTES); break;
    case ARRANGEMENT: wm_buf_json_string(out, *(const size_t *)(const void *)at == 1 ? "one" : "layers"); break;
    }
}

static bool is_null(const field *f, const char *base)
{
    return f->has && *(const bool *)(base + f->has - 1) == f->has_inverted;
}

static void write_members(wm_buf *out, const field *fields, const char *base, const char *between)
{
    for (const field *f = fields; f->key; f++) {
        if (out->size && out->data[out->size - 1] != '{')
            wm_buf_text(out, between);
        wm_buf_json_string(out, f->key);
        wm_buf_text(out, ":");
        if (is_null(f, base))
            wm_buf_text(out, "null");
        else
            write_value(out, f, base);
    }
}

static void write_fields(wm_buf *out, const field *fields, const char *base)
{
    wm_buf_text(out, "{");
    write_members(out, fields, base, ",");
    wm_buf_text(out, "}");
}

wm_status wm_report_to_json(wm_buf *out, const wm_report *report, wm_error *err)
{
    const char *base = (const char *)report;
    wm_buf_format(out, "{\"format\":%d,\n\"program\":{\"name\":\"weftmatch\"", WM_REPORT_FORMAT);
    write_members(out, PROGRAM, base, ",");
    wm_buf_text(out, "}");
    write_members(out, MEASURED, base, ",\n");
    if (!report->measured_only)
        write_members(out, MATCHED, base, ",\n");
    write_members(out, WARNINGS, base, ",\n");
    if (!report->measured_only)
        write_members(out, REST, base, ",\n");
    wm_buf_text(out, "}\n");
    return wm_buf_status(out, err);
}

wm_status wm_plan_to_json(wm_buf *out, const wm_plan *plan, wm_error *err)
{
    wm_buf_format(out, "{\"format\":%d,\n\"plan\":", WM_REPORT_FORMAT);
    write_fields(out, PLAN_FIELDS, (const char *)plan);
    wm_buf_text(out, "}\n");
    return wm_buf_status(out, err);
}

/* --- reading
 * --------------------------------------------------------------------------------------------------------------------
 */

/* Where a document is wrong, for the one message. */
typedef struct trouble {
    const char *key;
    wm_status status;
} trouble;

static bool read_fields(const field *fields, char *base, const wm_json *object, trouble *bad);

static bool read_double(const wm_json *value, double *out)
{
    return wm_json_number(value, out);
}

/* A colour may lie somewhat outside of what hair can be, a measured aid does; never so far that arithmetic on it fails.
 */
static bool read_lab(const wm_json *value, wm_lab *out)
{
    const double far = 1000;
    double v[3];
    if (wm_json_count(value) != 3)
        return false;
    for (size_t i = 0; i < 3; i++)
        if (!read_double(wm_json_at(value, i), &v[i]) || fabs(v[i]) > far)
            return false;
    *out = (wm_lab){ v[0], v[1], v[2] };
    return true;
}

static bool read_numbers(const wm_json *value, double *out, size_t count)
{
    if (wm_json_count(value) != count)
        return false;
    for (size_t i = 0; i < count; i++)
        if (!read_double(wm_json_at(value, i), &out[i]))
            return false;
    return true;
}

static bool read_whole(const wm_json *value, double low, double high, double *out)
{
    return read_double(value, out) && *out >= low && *out <= high && fabs(*out - floor(*out)) <= 0;
}

/* Cuts at the size, never within a character. */
static bool read_text(const wm_json *value, char *out, size_t size)
{
    const char *text = wm_json_text(value);
    if (!text)
        return false;
    size_t n = strlen(text);
    if (n >= size)
        for (n = size - 1; n > 0 && ((unsigned char)text[n] & 0xc0) == 0x80; n--)
            ;
    memcpy(out, text, n);
    out[n] = '\0';
    return true;
}

static bool read_word(const wm_json *value, const char *const *words, char *at)
{
    unsigned place = 0;
    bool found = wm_word_find(words, wm_json_text(value), &place);
    if (found)
        memcpy(at, &place, sizeof place);
    return found;
}

static bool read_date(const wm_json *value, wm_date *out)
{
    if (wm_json_kind_of(value) == WM_JSON_NULL)
        return true;
    return wm_json_text(value) && wm_date_parse(out, wm_json_text(value));
}

static bool read_notes(const wm_json *value, wm_notes *out, bool with_code)
{
    if (wm_json_kind_of(value) != WM_JSON_ARRAY)
        return false;
    for (size_t i = 0; i < wm_json_count(value); i++) {
        const wm_json *item = wm_json_at(value, i);
        const char *code = with_code ? wm_json_text(wm_json_get(item, "code")) : "caution";
        const char *text = wm_json_text(with_code ? wm_json_get(item, "text") : item);
        if (!code || !text)
            return false;
        wm_notes_add(out, code, "%s", text);
    }
    return true;
}

static bool read_value(const field *f, char *base, const wm_json *value, trouble *bad);

static bool read_array(const field *f, char *base, const wm_json *value, trouble *bad)
{
    size_t count = wm_json_count(value);
    char *items = base + f->offset;
    if (wm_json_kind_of(value) != WM_JSON_ARRAY || (f->kind == FIXED && count > f->length))
        return false;
    if (f->kind == LIST) {
        items = count ? calloc(count, f->size) : NULL;
        if (count && !items) {
            bad->status = WM_E_MEMORY;
            return false;
        }
        memcpy(base + f->offset, &items, sizeof items);
    }
    if (f->count)
        memcpy(base + f->count - 1, &count, sizeof count);
    for (size_t i = 0; i < count; i++) {
        char *item = items + i * f->size;
        const wm_json *element = wm_json_at(value, i);
        if (f->sub[0].key ? !read_fields(f->sub, item, element, bad) : !read_value(f->sub, item, element, bad))
            return false;
    }
    return true;
}

static bool read_value(const field *f, char *base, const wm_json *value, trouble *bad)
{
    char *at = base + f->offset;
    double number = -1;
    bool null = wm_json_kind_of(value) == WM_JSON_NULL, good = true;
    switch (f->kind) {
    case NUMBER: return read_double(value, (double *)(void *)at);
    case NUMBER_NULL:
        good = null || read_double(value, &number);
        memcpy(at, &number, sizeof number);
        return good;
    case NUMBERS: return read_numbers(value, (double *)(void *)at, f->length);
    case WHOLE: {
        good = null || read_whole(value, INT32_MIN, INT32_MAX, &number);
        int n = good ? (int)number : 0;
        memcpy(at, &n, sizeof n);
        return good;
    }
    case SIZE: {
        good = read_whole(value, 0, 9007199254740992.0, &number);
        size_t n = good ? (size_t)number : 0;
        memcpy(at, &n, sizeof n);
        return good;
    }
    case INT64: {
        good = read_whole(value, -9007199254740992.0, 9007199254740992.0, &number);
        int64_t n = good ? (int64_t)number : 0;
        memcpy(at, &n, sizeof n);
        return good;
    }
    case BOOLEAN:
        *(bool *)at = wm_json_kind_of(value) == WM_JSON_TRUE;
        return *(bool *)at || wm_json_kind_of(value) == WM_JSON_FALSE;
    case TEXT: return read_text(value, at, f->size);
    case TEXT_NULL: return null || read_text(value, at, f->size);
    case LAB: return read_lab(value, (wm_lab *)(void *)at);
    case WORD: return read_word(value, f->words, at);
    case DATE: return read_date(value, (wm_date *)(void *)at);
    case OBJECT: return read_fields(f->sub, at, value, bad);
    case FIXED:
    case LIST: return read_array(f, base, value, bad);
    case NOTES:
    case SENTENCES: return read_notes(value, (wm_notes *)(void *)at, f->kind == NOTES);
    case ARRANGEMENT: return true;
    }
    return false;
}

/* A key that is absent keeps zero: older writers' documents stay readable. */
static bool read_fields(const field *fields, char *base, const wm_json *object, trouble *bad)
{
    if (wm_json_kind_of(object) != WM_JSON_OBJECT)
        return false;
    for (const field *f = fields; f->key; f++) {
        const wm_json *value = wm_json_get(object, f->key);
        if (!value)
            continue;
        bool null = f->has && wm_json_kind_of(value) == WM_JSON_NULL;
        if (f->has)
            *(bool *)(base + f->has - 1) = null == f->has_inverted;
        if (!null && !read_value(f, base, value, bad)) {
            bad->key = bad->key ? bad->key : f->key;
            return false;
        }
    }
    return true;
}

static bool read_document(wm_report *report, const wm_json *root, trouble *bad)
{
    char *base = (char *)report;
    report->measured_only = !wm_json_get(root, "rankings");
    const wm_json *program = wm_json_get(root, "program");
    return (!program || read_fields(PROGRAM, base, program, bad)) && read_fields(MEASURED, base, root, bad) &&
           read_fields(MATCHED, base, root, bad) && read_fields(WARNINGS, base, root, bad) &&
           read_fields(REST, base, root, bad);
}

wm_status wm_report_from_json(wm_report *out, const char *json, size_t size, const char *file, wm_error *err)
{
    wm_json_document *document = NULL;
    wm_report *report = calloc(1, sizeof *report);
    trouble bad = { NULL, WM_E_BOOK };
    double format = 0;
    wm_status status = report ? wm_json_parse(&document, json, size, file, WM_E_BOOK, err) : wm_fail_memory(err);
    if (status)
        goto done;
    if (!wm_json_number(wm_json_get(wm_json_root(document), "format"), &format) || format < 1)
        status = wm_fail_at(err, WM_E_BOOK, file, 0, 0, "the saved report is no report: it has no format");
    else if (format > WM_REPORT_FORMAT)
        status = wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                            "the saved report was written by a newer weftmatch; update weftmatch");
    else if (!read_document(report, wm_json_root(document), &bad))
        status = bad.status == WM_E_MEMORY ? wm_fail_memory(err)
                                           : wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                                                        "the saved report is damaged at '%s'", bad.key ? bad.key : "?");
    else if (report->warnings.failed || report->cautions.failed)
        status = wm_fail_memory(err);
    if (status)
        wm_report_free(report);
    else
        *out = *report;
done:
    wm_json_free(document);
    free(report);
    return status;
}

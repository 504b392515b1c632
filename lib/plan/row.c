#include "plan/row.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "plan/length.h"

#define SECTION_CM 10.0  /* "about 10 cm" */
#define PIECE_MIN_CM 0.1 /* a narrower piece is a slip of the pen and counts as unknown */
#define UNKNOWN (-1.0)

/* 24.0 / 0.1 must count 240 steps though the quotient falls short of it by rounding, and 29.0 - 2 x 2.5 is 24. */
#define ROUNDING 1e-9

static double whole_down(double x)
{
    return floor(x + ROUNDING);
}

static double whole_up(double x)
{
    return ceil(x - ROUNDING);
}

static bool within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NaN */
}

wm_status wm_row_settings_check(const wm_row_settings *settings, wm_error *err)
{
    if (!within(settings->bead_spacing_cm, 0.2, 10.0))
        return wm_fail(err, WM_E_USAGE,
                       "bead_spacing_cm is not between 0.2 and 10; set it with `salon set bead_spacing_cm=1.0`");
    if (!within(settings->bead_reserve_percent, 0.0, 100.0))
        return wm_fail(
            err, WM_E_USAGE,
            "bead_reserve_percent is not between 0 and 100; set it with `salon set bead_reserve_percent=10`");
    if (!within(settings->hairline_margin_cm, 0.0, 20.0))
        return wm_fail(err, WM_E_USAGE,
                       "hairline_margin_cm is not between 0 and 20; set it with `salon set hairline_margin_cm=2.5`");
    if (!within(settings->thread_widths[0], 0.0, 50.0) ||
        !within(settings->thread_widths[1], settings->thread_widths[0], 50.0))
        return wm_fail(err, WM_E_USAGE,
                       "thread_widths are not two numbers from 0 to 50, the smaller first; set them with "
                       "`salon set thread_widths=8,10`");
    return WM_OK;
}

/* A message must not know the salon's units: it says both. */
static const char *both_units(char out[2 * WM_LENGTH_SIZE], double cm)
{
    char metric[WM_LENGTH_SIZE], imperial[WM_LENGTH_SIZE];
    snprintf(out, 2 * WM_LENGTH_SIZE, "%s (%s)", wm_length_text(metric, cm, WM_UNITS_CM, 1),
             wm_length_text(imperial, cm, WM_UNITS_IN, 1));
    return out;
}

wm_status wm_row_of(wm_row *out, double arc_cm, int layers, const wm_row_settings *settings, wm_error *err)
{
    char arc[2 * WM_LENGTH_SIZE], other[2 * WM_LENGTH_SIZE];
    wm_status status = wm_row_settings_check(settings, err);
    if (status != WM_OK)
        return status;
    if (layers < 1 || layers > WM_MAX_LAYERS)
        return wm_fail(err, WM_E_USAGE, "a row of %d layers is not possible; give 1 to %d", layers, WM_MAX_LAYERS);
    both_units(arc, arc_cm);
    if (!within(arc_cm, 0.0, WM_ARC_MAX_CM))
        return wm_fail(err, WM_E_USAGE, "an arc of %s is not possible; measure it along the head, above 0 and up to %s",
                       arc, both_units(other, WM_ARC_MAX_CM));
    double margins = 2.0 * settings->hairline_margin_cm, width = arc_cm - margins;
    if (width < settings->bead_spacing_cm)
        return wm_fail(err, WM_E_USAGE,
                       "an arc of %s leaves no row between the margins at the hairline, %s in all; measure it again or "
                       "set a smaller hairline_margin_cm",
                       arc, both_units(other, margins));
    wm_row row = { .arc_cm = arc_cm,
                   .row_cm = width,
                   .weft_cm = width * layers,
                   .grams = UNKNOWN,
                   .bead_grams = UNKNOWN,
                   .bead_load_percent = UNKNOWN };
    row.sections = width < SECTION_CM ? 1 : (int)floor(width / SECTION_CM + 0.5);
    row.beads = (int)whole_down(width / settings->bead_spacing_cm) + 1;
    for (int i = 0; i < 2; i++) {
        row.thread_cut_cm[i] = width * (1.0 + settings->thread_widths[i]);
        row.thread_working_cm[i] = row.thread_cut_cm[i] / 2.0;
    }
    *out = row;
    return WM_OK;
}

int wm_bead_reserve(int beads, double percent)
{
    return (int)whole_up(beads * percent / 100.0);
}

/* 0 is best: in stock and long enough; long enough but to be ordered; of unknown length; too short. */
static int suitability(const wm_swatch *swatch, double wanted_cm)
{
    if (swatch->length_cm < 0.0)
        return 2;
    if (swatch->length_cm < wanted_cm - ROUNDING)
        return 3;
    return wm_swatch_in_stock(swatch) ? 0 : 1;
}

static bool better(const wm_swatch *a, const wm_swatch *b, double wanted_cm)
{
    int class_a = suitability(a, wanted_cm), class_b = suitability(b, wanted_cm);
    if (class_a != class_b)
        return class_a < class_b;
    return class_a == 3 ? a->length_cm > b->length_cm : a->length_cm < b->length_cm;
}

static wm_status choose(const wm_swatch **out, const wm_weft_request *request, wm_error *err)
{
    const wm_swatch *best = NULL;
    for (size_t i = 0; i < request->catalogue->count; i++) {
        const wm_swatch *swatch = &request->catalogue->items[i];
        if (swatch->kind == WM_SWATCH_HAIR && strcmp(swatch->code, request->code) == 0 &&
            (!best || better(swatch, best, request->wanted_cm)))
            best = swatch;
    }
    if (!best) {
        const char *near = wm_catalogue_near_miss(request->catalogue, request->code);
        return near && strcmp(near, request->code) != 0
                   ? wm_fail(err, WM_E_INPUT, "the catalogue has no hair '%s'; did you mean '%s'?", request->code, near)
                   : wm_fail(err, WM_E_INPUT, "the catalogue has no hair '%s'; `swatch list` shows its codes",
                             request->code);
    }
    *out = best;
    return WM_OK;
}

/* The width of weft that a row takes: a shade that is not cut takes whole pieces. */
static double taken_width(const wm_weft *weft, double row_cm)
{
    double width = row_cm * weft->layers;
    return weft->cuttable || weft->piece_width_cm <= 0.0
               ? width
               : whole_up(width / weft->piece_width_cm) * weft->piece_width_cm;
}

static void count_pieces(wm_weft *weft, const wm_row *rows, size_t row_count, double stock_packs)
{
    double taken = 0.0;
    for (size_t i = 0; i < row_count; i++) {
        double width = taken_width(weft, rows[i].row_cm), over = width - rows[i].row_cm * weft->layers;
        taken += width;
        weft->fold_layers = (int)fmax(weft->fold_layers, 1.0 + whole_up(over / rows[i].row_cm));
    }
    double left, pieces = whole_up(taken / weft->piece_width_cm);
    weft->pieces = (int)pieces;
    left = fmax(0.0, pieces * weft->piece_width_cm - weft->needed_cm);
    left = left < ROUNDING * weft->piece_width_cm * pieces ? 0.0 : left;
    weft->folded_cm = weft->cuttable ? 0.0 : left;
    weft->rest_cm = weft->cuttable ? left : 0.0;
    if (weft->pieces_per_pack <= 0)
        return;
    weft->packs = (weft->pieces + weft->pieces_per_pack - 1) / weft->pieces_per_pack;
    weft->rest_pieces = weft->packs * weft->pieces_per_pack - weft->pieces;
    if (stock_packs >= 0.0)
        weft->packs_to_order = stock_packs >= weft->packs ? 0 : weft->packs - (int)floor(stock_packs);
}

/* What is cut off weighs its part of the length: a weft is taken as equally full down to its ends. */
static double grams_per_cm(const wm_weft *weft, double pack_weight_g)
{
    if (pack_weight_g <= 0.0 || weft->pieces_per_pack <= 0 || weft->piece_width_cm <= 0.0)
        return UNKNOWN;
    double kept = weft->has_trim && weft->trim_cm > 0.0 ? 1.0 - weft->trim_cm / weft->length_cm : 1.0;
    return pack_weight_g / (weft->pieces_per_pack * weft->piece_width_cm) * kept;
}

wm_status wm_weft_of(wm_weft *out, const wm_weft_request *request, const wm_row *rows, size_t row_count, wm_error *err)
{
    const wm_swatch *swatch = NULL;
    wm_status status = choose(&swatch, request, err);
    if (status != WM_OK)
        return status;
    wm_weft weft = { .layers = request->layers,
                     .length_cm = swatch->length_cm,
                     .cuttable = swatch->cuttable,
                     .piece_width_cm = swatch->piece_width_cm >= PIECE_MIN_CM ? swatch->piece_width_cm : UNKNOWN,
                     .pieces = -1,
                     .pieces_per_pack = swatch->pieces_per_pack,
                     .packs = -1,
                     .packs_to_order = -1,
                     .folded_cm = UNKNOWN,
                     .fold_layers = 1,
                     .rest_cm = UNKNOWN,
                     .rest_pieces = -1,
                     .pack_price_milli = swatch->pack_price_milli,
                     .tau = wm_swatch_tau(swatch) };
    memcpy(weft.code, swatch->code, sizeof weft.code);
    memcpy(weft.name, swatch->name, sizeof weft.name);
    for (size_t i = 0; i < row_count; i++)
        weft.needed_cm += rows[i].row_cm * request->layers;
    weft.has_trim = request->wanted_cm > 0.0 && swatch->length_cm > 0.0;
    if (weft.has_trim)
        weft.trim_cm =
            fabs(swatch->length_cm - request->wanted_cm) < ROUNDING ? 0.0 : swatch->length_cm - request->wanted_cm;
    if (weft.piece_width_cm > 0.0)
        count_pieces(&weft, rows, row_count, swatch->stock_packs);
    weft.grams_per_cm = grams_per_cm(&weft, swatch->pack_weight_g);
    *out = weft;
    return WM_OK;
}

void wm_fullness_of(wm_fullness *out, const wm_head *head, double bead_spacing_cm)
{
    double hairs = wm_held_hairs_per_cm(head->amount) * bead_spacing_cm;
    *out = (wm_fullness){ wm_head_grams(head), UNKNOWN, UNKNOWN, hairs, UNKNOWN };
    if (out->natural_grams > 0.0)
        out->bead_natural_grams = hairs * wm_head_grams_a_hair(head);
}

static double grams_of_row(const wm_row *row, const wm_weft *wefts, size_t weft_count)
{
    double grams = 0.0;
    for (size_t i = 0; i < weft_count; i++) {
        if (wefts[i].grams_per_cm < 0.0)
            return UNKNOWN;
        grams += wefts[i].grams_per_cm * taken_width(&wefts[i], row->row_cm);
    }
    return grams;
}

void wm_fullness_add(wm_fullness *fullness, wm_row *rows, size_t row_count, const wm_weft *wefts, size_t weft_count)
{
    double added = 0.0;
    for (size_t i = 0; i < row_count; i++) {
        double grams = grams_of_row(&rows[i], wefts, weft_count);
        if (grams < 0.0)
            return; /* the same wefts hang in every row: none is known */
        rows[i].grams = grams;
        rows[i].bead_grams = grams / rows[i].beads;
        if (fullness->bead_natural_grams > 0.0)
            rows[i].bead_load_percent = 100.0 * rows[i].bead_grams / fullness->bead_natural_grams;
        added += grams;
    }
    fullness->added_grams = added;
    if (fullness->natural_grams > 0.0)
        fullness->added_percent = 100.0 * added / fullness->natural_grams;
}

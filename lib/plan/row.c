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
    if (status)
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
    wm_row row = {
        .arc_cm = arc_cm, .row_cm = width, .weft_cm = width * layers, .grams = UNKNOWN, .mg_per_hair = UNKNOWN
    };
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

static wm_status choose(const wm_swatch **out, const wm_weft_request *request, wm_error *err)
{
    const wm_swatch *best = wm_catalogue_pack(request->catalogue, request->code, &request->filter);
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

static double strips_cm(const wm_strips *strips, const char *code, int row)
{
    double length = 0.0;
    for (size_t i = 0; i < strips->count; i++)
        if (strcmp(strips->items[i].code, code) == 0 && (row < 0 || strips->items[i].row == row))
            length += strips->items[i].length_cm;
    return length;
}

/* The width of weft that hangs on a row: a shade that is not cut hangs there in whole pieces. */
static double taken_cm(const wm_weft *weft, const wm_strips *strips, int row)
{
    double width = strips_cm(strips, weft->code, row);
    return weft->cuttable || weft->piece_width_cm <= 0.0
               ? width
               : whole_up(width / weft->piece_width_cm) * weft->piece_width_cm;
}

/* What is folded back lies over the shade's own strips, spread evenly. */
static void count_folded(wm_weft *weft, const wm_strips *strips)
{
    double taken = 0.0;
    for (int row = 0; row < WM_MAX_ROWS; row++) {
        double needed = strips_cm(strips, weft->code, row), over = taken_cm(weft, strips, row) - needed;
        if (needed <= 0.0)
            continue;
        taken += needed + over;
        weft->fold_layers = (int)fmax(weft->fold_layers, 1.0 + whole_up(over / needed));
    }
    weft->pieces = (int)whole_up(taken / weft->piece_width_cm);
    weft->folded_cm = taken - weft->needed_cm < ROUNDING * taken ? 0.0 : taken - weft->needed_cm;
    weft->rest_cm = 0.0;
}

static wm_status count_pieces(wm_weft *weft, wm_strips *strips, wm_error *err)
{
    wm_cut_stock stock = { weft->code, weft->piece_width_cm, weft->pieces_per_pack };
    wm_cut cut = { 0 };
    if (!weft->cuttable) {
        count_folded(weft, strips);
        return WM_OK;
    }
    wm_status status = wm_cut_strips(&cut, strips, &stock, err);
    weft->pieces = cut.pieces;
    weft->joins = cut.joins;
    weft->rest_cm = cut.rest_cm;
    weft->folded_cm = 0.0;
    return status;
}

static void count_packs(wm_weft *weft, double stock_packs)
{
    if (weft->pieces < 0 || weft->pieces_per_pack <= 0)
        return;
    weft->packs = (weft->pieces + weft->pieces_per_pack - 1) / weft->pieces_per_pack;
    weft->rest_pieces = weft->packs * weft->pieces_per_pack - weft->pieces;
    if (stock_packs >= 0.0)
        weft->packs_to_order = stock_packs >= weft->packs ? 0 : weft->packs - (int)floor(stock_packs);
}

wm_status wm_weft_of(wm_weft *out, wm_strips *strips, const wm_weft_request *request, wm_error *err)
{
    const wm_swatch *swatch = NULL;
    const double wanted_cm = request->filter.wanted_cm;
    wm_status status = choose(&swatch, request, err);
    if (status)
        return status;
    wm_weft weft = { .length_cm = swatch->length_cm,
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
    weft.needed_cm = strips_cm(strips, weft.code, -1);
    weft.has_trim = wanted_cm > 0.0 && swatch->length_cm > 0.0;
    if (weft.has_trim)
        weft.trim_cm = fabs(swatch->length_cm - wanted_cm) < ROUNDING ? 0.0 : swatch->length_cm - wanted_cm;
    if (weft.piece_width_cm > 0.0)
        status = count_pieces(&weft, strips, err);
    if (status)
        return status;
    count_packs(&weft, swatch->stock_packs);
    weft.grams_per_cm = weft.piece_width_cm > 0.0 ? wm_swatch_weft_g_per_cm(swatch, wanted_cm) : UNKNOWN;
    *out = weft;
    return WM_OK;
}

static double grams_of_row(const wm_hung *hanging, int row)
{
    double grams = 0.0;
    for (size_t i = 0; i < hanging->weft_count; i++) {
        double width = taken_cm(&hanging->wefts[i], hanging->strips, row);
        if (width > 0.0 && hanging->wefts[i].grams_per_cm < 0.0)
            return UNKNOWN;
        grams += hanging->wefts[i].grams_per_cm * width;
    }
    return grams;
}

void wm_fullness_of(wm_fullness *out, wm_row *rows, size_t row_count, const wm_hung *hanging, const wm_head *head)
{
    double added = 0.0;
    *out = (wm_fullness){ wm_head_grams(head), UNKNOWN, UNKNOWN };
    for (size_t i = 0; i < row_count; i++) {
        double grams = grams_of_row(hanging, (int)i);
        if (grams < 0.0)
            added = UNKNOWN;
        else
            rows[i].mg_per_hair = wm_load_mg(grams, rows[i].row_cm, head->amount);
        rows[i].grams = grams;
        added = added < 0.0 ? added : added + grams;
    }
    out->added_grams = added;
    if (added >= 0.0 && out->natural_grams > 0.0)
        out->added_percent = 100.0 * added / out->natural_grams;
}

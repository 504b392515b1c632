#include "match/shades.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "colour/stats.h"

/* ---- codes ---- */

const wm_swatch *wm_catalogue_find(const wm_catalogue *catalogue, const char *code)
{
    for (size_t i = 0; i < catalogue->count; i++)
        if (strcmp(catalogue->items[i].code, code) == 0)
            return &catalogue->items[i];
    return NULL;
}

const char *wm_catalogue_frame(const wm_catalogue *catalogue)
{
    const char *best = "";
    size_t most = 0;
    for (size_t i = 0; i < catalogue->count; i++) {
        size_t alike = 0;
        if (catalogue->items[i].kind != WM_SWATCH_HAIR || (most && strcmp(best, catalogue->items[i].frame) == 0))
            continue;
        for (size_t k = 0; k < catalogue->count; k++)
            alike += catalogue->items[k].kind == WM_SWATCH_HAIR &&
                     strcmp(catalogue->items[k].frame, catalogue->items[i].frame) == 0;
        if (alike > most)
            most = alike, best = catalogue->items[i].frame;
    }
    return best;
}

static int compare_words(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

const char *wm_catalogue_near_miss(const wm_catalogue *catalogue, const char *code)
{
    const char **codes = malloc((catalogue->count + 1) * sizeof *codes);
    if (!codes)
        return NULL; /* a hint is not worth a failure */
    for (size_t i = 0; i < catalogue->count; i++)
        codes[i] = catalogue->items[i].code;
    qsort(codes, catalogue->count, sizeof *codes, compare_words);
    const char *near = wm_near_miss(code, codes, catalogue->count);
    free(codes);
    return near;
}

wm_status wm_catalogue_shade(const wm_swatch **out, const wm_catalogue *catalogue, const char *code, wm_error *err)
{
    const wm_swatch *found = wm_catalogue_find(catalogue, code);
    const char *near = found ? NULL : wm_catalogue_near_miss(catalogue, code);
    if (!found && near)
        return wm_fail(err, WM_E_INPUT, "the catalogue has no shade '%s'; did you mean '%s'?", code, near);
    if (!found)
        return wm_fail(err, WM_E_INPUT, "the catalogue has no shade '%s'; see weftmatch swatch list", code);
    *out = found;
    return WM_OK;
}

bool wm_same_length(double a_cm, double b_cm)
{
    return a_cm < 0 || b_cm < 0 ? (a_cm < 0) == (b_cm < 0) : fabs(a_cm - b_cm) < WM_SAME_LENGTH_CM;
}

wm_status wm_catalogue_row(const wm_swatch **out, const wm_catalogue *catalogue, const char *code, double length_cm,
                           wm_error *err)
{
    const wm_swatch *found = NULL;
    size_t rows = 0;
    wm_status status = wm_catalogue_shade(&found, catalogue, code, err);
    for (size_t i = 0; !status && i < catalogue->count; i++) {
        const wm_swatch *row = &catalogue->items[i];
        if (strcmp(row->code, code) != 0 || (length_cm > 0 && !wm_same_length(row->length_cm, length_cm)))
            continue;
        found = row;
        rows++;
    }
    if (!status && rows == 0)
        status = wm_fail(err, WM_E_INPUT, "the catalogue has no '%s' of that length; see weftmatch swatch list", code);
    else if (!status && rows > 1)
        status = wm_fail(err, WM_E_USAGE, "the catalogue has '%s' in %zu lengths; say which (--length)", code, rows);
    if (!status)
        *out = found;
    return status;
}

/* ---- order and filters ---- */

static int compare_numbers(double a, double b)
{
    return a < b ? -1 : a > b;
}

int wm_swatch_order(const wm_swatch *a, const wm_swatch *b)
{
    int by_stock = wm_swatch_in_stock(b) - wm_swatch_in_stock(a);
    if (by_stock)
        return by_stock;
    bool a_priced = a->pack_price_milli >= 0, b_priced = b->pack_price_milli >= 0;
    if (a_priced != b_priced)
        return b_priced - a_priced;
    if (a_priced && a->pack_price_milli != b->pack_price_milli)
        return a->pack_price_milli < b->pack_price_milli ? -1 : 1;
    int by_code = strcmp(a->code, b->code);
    return by_code ? by_code : compare_numbers(a->length_cm, b->length_cm);
}

#define LENGTH_ROUNDING 1e-9 /* of an inch told in cm */

enum { IN_STOCK, PRICE, LENGTH, AVOIDED, SHEET, FILTERS };
_Static_assert((int)FILTERS == (int)WM_FILTERS, "one count for each filter");

/* A code of a list such as "ember,rust". */
static bool listed(const char *list, const char *code)
{
    const size_t length = strlen(code);
    for (const char *p = list ? list : ""; *p; p += strcspn(p, ","), p += *p == ',')
        if (strcspn(p, ",") == length && strncmp(p, code, length) == 0)
            return true;
    return false;
}

static bool passes(const wm_swatch *swatch, const wm_filter *filter, int which)
{
    switch (which) {
    case IN_STOCK: return !filter->in_stock || wm_swatch_in_stock(swatch);
    case AVOIDED: return !listed(filter->avoided, swatch->code);
    case SHEET: return !filter->frame || strcmp(filter->frame, swatch->frame) == 0;
    case PRICE: return filter->max_price_milli <= 0 || swatch->pack_price_milli <= filter->max_price_milli;
    default: return !(filter->min_length_cm > 0) || swatch->length_cm < 0 || swatch->length_cm >= filter->min_length_cm;
    }
}

/* 0 is best: in stock and long enough; long enough but to be ordered; of unknown length; too short. */
static int suitability(const wm_swatch *swatch, double wanted_cm)
{
    if (swatch->length_cm < 0.0)
        return 2;
    if (swatch->length_cm < wanted_cm - LENGTH_ROUNDING)
        return 3;
    return wm_swatch_in_stock(swatch) ? 0 : 1;
}

/* Of two rows of one code the one to sew from. */
static bool suits_better(const wm_swatch *a, const wm_swatch *b, double wanted_cm)
{
    int class_a = suitability(a, wanted_cm), class_b = suitability(b, wanted_cm);
    if (class_a != class_b)
        return class_a < class_b;
    return class_a == 3 ? a->length_cm > b->length_cm : a->length_cm < b->length_cm;
}

static bool passes_all(const wm_swatch *swatch, const wm_filter *filter)
{
    bool all = true;
    for (int which = 0; which < FILTERS; which++)
        all = all && passes(swatch, filter, which);
    return all;
}

const wm_swatch *wm_catalogue_pack(const wm_catalogue *catalogue, const char *code, const wm_filter *filter)
{
    const wm_swatch *of_all = NULL, *of_passing = NULL;
    for (size_t i = 0; i < catalogue->count; i++) {
        const wm_swatch *row = &catalogue->items[i];
        if (row->kind != WM_SWATCH_HAIR || strcmp(row->code, code) != 0)
            continue;
        if (!of_all || suits_better(row, of_all, filter->wanted_cm))
            of_all = row;
        if (passes_all(row, filter) && (!of_passing || suits_better(row, of_passing, filter->wanted_cm)))
            of_passing = row;
    }
    return of_passing ? of_passing : of_all;
}

static int compare_codes(const void *a, const void *b)
{
    const wm_swatch *x = *(const wm_swatch *const *)a, *y = *(const wm_swatch *const *)b;
    int by_code = strcmp(x->code, y->code);
    return by_code ? by_code : wm_swatch_order(x, y);
}

/* The rows of one code: counts what each filter alone would leave nothing of; of those that pass all, the one to sew
 * from. */
static const wm_swatch *pick_row(wm_shades *shades, const wm_swatch *const *rows, size_t count, const wm_filter *filter)
{
    const wm_swatch *picked = NULL;
    bool any[FILTERS] = { false };
    for (size_t i = 0; i < count; i++) {
        for (int which = 0; which < FILTERS; which++)
            any[which] |= passes(rows[i], filter, which);
        if (passes_all(rows[i], filter) && (!picked || suits_better(rows[i], picked, filter->wanted_cm)))
            picked = rows[i];
    }
    for (int which = 0; which < FILTERS; which++)
        shades->removed[which].removed += !any[which];
    return picked;
}

wm_status wm_shades_of(wm_shades *out, const wm_catalogue *catalogue, wm_swatch_kind kind, const wm_filter *filter,
                       wm_error *err)
{
    wm_shades shades = { .removed = {
                             { "in stock", 0 }, { "price", 0 }, { "length", 0 }, { "avoided", 0 }, { "sheet", 0 } } };
    const wm_swatch **rows = malloc((catalogue->count + 1) * sizeof *rows);
    if (!rows)
        return wm_fail_memory(err);
    size_t count = 0;
    for (size_t i = 0; i < catalogue->count; i++)
        if (catalogue->items[i].kind == kind)
            rows[count++] = &catalogue->items[i];
    qsort(rows, count, sizeof *rows, compare_codes);
    for (size_t start = 0, end; start < count; start = end) {
        for (end = start + 1; end < count && strcmp(rows[end]->code, rows[start]->code) == 0;)
            end++;
        const wm_swatch *picked = pick_row(&shades, rows + start, end - start, filter);
        if (picked)
            rows[shades.count++] = picked; /* never ahead of start: every code before it gave at most one */
    }
    shades.items = rows;
    *out = shades;
    return WM_OK;
}

void wm_shades_free(wm_shades *shades)
{
    if (!shades)
        return;
    free(shades->items);
    *shades = (wm_shades){ 0 };
}

/* ---- twins ---- */

enum { MAX_TWINS = 1000 };

static int compare_lightness(const void *a, const void *b)
{
    const wm_swatch *x = *(const wm_swatch *const *)a, *y = *(const wm_swatch *const *)b;
    int by_lightness = compare_numbers(x->lab.L, y->lab.L);
    return by_lightness ? by_lightness : strcmp(x->code, y->code);
}

static int compare_twins(const void *a, const void *b)
{
    const wm_twin *x = a, *y = b;
    int by_distance = compare_numbers(x->de00, y->de00);
    if (!by_distance)
        by_distance = strcmp(x->a->code, y->a->code);
    return by_distance ? by_distance : strcmp(x->b->code, y->b->code);
}

/* dE00 is never below |dL| / S_L (the other terms are a positive quadratic form), and S_L is never above 1.75: the
 * sorted sweep ends there. */
static void find_twins(wm_twins *twins, const wm_shades *shades, double limit)
{
    for (size_t i = 0; i < shades->count; i++) {
        for (size_t j = i + 1; j < shades->count && shades->items[j]->lab.L - shades->items[i]->lab.L < 1.75 * limit;
             j++) {
            double de00 = wm_de00(shades->items[i]->lab, shades->items[j]->lab);
            if (!(de00 < limit))
                continue;
            twins->more = twins->count == MAX_TWINS;
            if (twins->more)
                return;
            bool ordered = strcmp(shades->items[i]->code, shades->items[j]->code) < 0;
            twins->items[twins->count++] =
                (wm_twin){ shades->items[ordered ? i : j], shades->items[ordered ? j : i], de00 };
        }
    }
}

wm_status wm_catalogue_twins(wm_twins *out, const wm_catalogue *catalogue, double limit_de00, wm_error *err)
{
    wm_twins twins = { .items = malloc(MAX_TWINS * sizeof *twins.items) };
    if (!twins.items)
        return wm_fail_memory(err);
    for (wm_swatch_kind kind = WM_SWATCH_HAIR; kind <= WM_SWATCH_BEAD && !twins.more; kind++) {
        wm_shades shades;
        wm_status status = wm_shades_of(&shades, catalogue, kind, &(wm_filter){ 0 }, err);
        if (status) {
            wm_twins_free(&twins);
            return status;
        }
        qsort(shades.items, shades.count, sizeof *shades.items, compare_lightness);
        find_twins(&twins, &shades, limit_de00);
        wm_shades_free(&shades);
    }
    qsort(twins.items, twins.count, sizeof *twins.items, compare_twins);
    *out = twins;
    return WM_OK;
}

void wm_twins_free(wm_twins *twins)
{
    if (!twins)
        return;
    free(twins->items);
    *twins = (wm_twins){ 0 };
}

/* ---- prices ---- */

enum { PRICE_NEIGHBOURS = 4 };

/* A pack's price, or that of a gram; negative: not known. */
static double price_of(const wm_swatch *row, bool by_weight)
{
    if (row->pack_price_milli < 0 || (by_weight && row->pack_weight_g <= 0))
        return -1;
    return (double)row->pack_price_milli / (by_weight ? row->pack_weight_g : 1);
}

/* The median price of the others of its kind; negative: too few. room: one number a row of the catalogue. */
static double neighbours_price(const wm_catalogue *catalogue, const wm_swatch *row, bool by_weight, double *room)
{
    size_t count = 0;
    for (size_t i = 0; i < catalogue->count; i++) {
        const wm_swatch *other = &catalogue->items[i];
        const double price = price_of(other, by_weight);
        if (other != row && other->kind == row->kind && price > 0)
            room[count++] = price;
    }
    return count < PRICE_NEIGHBOURS ? -1 : wm_quantile(room, count, 0.5);
}

wm_status wm_catalogue_price_doubts(wm_price_doubt **out, size_t *count, const wm_catalogue *catalogue, wm_error *err)
{
    double *room = calloc(catalogue->count + 1, sizeof *room);
    wm_price_doubt *doubts = calloc(catalogue->count + 1, sizeof *doubts);
    size_t n = 0;
    if (!room || !doubts) {
        free(room);
        free(doubts);
        return wm_fail_memory(err);
    }
    for (size_t i = 0; i < catalogue->count; i++) {
        const wm_swatch *row = &catalogue->items[i];
        bool by_weight = price_of(row, true) >= 0;
        double usual = by_weight ? neighbours_price(catalogue, row, true, room) : -1;
        if (usual < 0) {
            by_weight = false;
            usual = neighbours_price(catalogue, row, false, room);
        }
        const double price = price_of(row, by_weight);
        if (price >= 0 && usual > 0 && (price > WM_PRICE_FACTOR * usual || price * WM_PRICE_FACTOR < usual))
            doubts[n++] = (wm_price_doubt){ row, price / usual };
    }
    free(room);
    *out = doubts;
    *count = n;
    return WM_OK;
}

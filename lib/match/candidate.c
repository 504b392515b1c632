#include "match/candidate.h"

static int compare_whole(int64_t a, int64_t b)
{
    return a < b ? -1 : a > b;
}

static bool in_stock(const wm_swatch *const *shades, const wm_candidate *c)
{
    return wm_swatch_in_stock(shades[c->a]) && wm_swatch_in_stock(shades[c->b]);
}

/* Of a pack of each shade; what is unknown is dearer than anything. */
static int64_t price(const wm_swatch *const *shades, const wm_candidate *c)
{
    int64_t a = shades[c->a]->pack_price_milli, b = c->b == c->a ? 0 : shades[c->b]->pack_price_milli;
    return a < 0 || b < 0 ? INT64_MAX : a + b;
}

/* M5 between two different sets of shades. */
static int compare_shades(const wm_swatch *const *shades, const wm_candidate *x, const wm_candidate *y)
{
    int by_stock = in_stock(shades, y) - in_stock(shades, x),
        by_price = compare_whole(price(shades, x), price(shades, y));
    if (by_stock || by_price)
        return by_stock ? by_stock : by_price;
    return x->a != y->a ? (x->a < y->a ? -1 : 1) : x->b < y->b ? -1 : 1;
}

int wm_candidate_order(const wm_swatch *const *shades, const wm_candidate *x, const wm_candidate *y)
{
    const int64_t keys[][2] = {
        { x->tenths, y->tenths }, { x->layers, y->layers }, { x->rms, y->rms }, { x->a != x->b, y->a != y->b }
    };
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (keys[i][0] != keys[i][1])
            return compare_whole(keys[i][0], keys[i][1]);
    if (x->a != y->a || x->b != y->b)
        return compare_shades(shades, x, y);
    return x->down != y->down ? compare_whole(x->down, y->down) : x->order - y->order;
}

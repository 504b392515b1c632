#include "catalogue.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* eu, ph, red, violet, blue, yellow, scatter */
#define CLEAN_GRAY                                                                                                     \
    {                                                                                                                  \
        0.05, 0.0, 0, 0, 0, 0.05, 0.50                                                                                 \
    }
#define NO_GRAY                                                                                                        \
    {                                                                                                                  \
        0, 0, 0, 0, 0, 0, 0                                                                                            \
    }

typedef struct recipe {
    const char *code, *name;
    pigment base, gray;
    double share;
} recipe;

/* All invented: no product has these codes, names or colours on purpose. */
static const recipe hair[] = {
    { "ink", "blackest", { 34, 0.2, 0, 0, 0, .05, .72 }, NO_GRAY, 0 },
    { "soot", "soft black", { 22, 1.0, 0, 0, 0, .05, .72 }, NO_GRAY, 0 },
    { "peat", "very dark brown", { 15.5, 2.2, 0, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "umber", "dark brown", { 11.0, 1.9, 0, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "loam", "dark ash brown", { 9.2, 0.5, 0, 0, .9, .05, .74 }, NO_GRAY, 0 },
    { "bark", "warm brown", { 6.9, 2.7, 0, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "teak", "medium brown", { 6.2, 1.4, 0, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "acorn", "light brown", { 4.1, 1.3, 0, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "moth", "light ash brown", { 4.0, 0.3, 0, .1, .5, .05, .72 }, NO_GRAY, 0 },
    { "hull", "dark blond", { 2.7, 0.9, 0, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "reed", "beige blond", { 1.9, 0.35, 0, .03, .10, .05, .73 }, NO_GRAY, 0 },
    { "barley", "golden blond", { 1.5, 1.0, 0, 0, 0, .06, .75 }, NO_GRAY, 0 },
    { "oat", "medium blond", { 1.3, 0.45, 0, 0, 0, .05, .75 }, NO_GRAY, 0 },
    { "chaff", "ash blond", { 0.95, 0.10, 0, .03, .10, .05, .74 }, NO_GRAY, 0 },
    { "straw", "light golden blond", { 0.55, 0.50, 0, 0, 0, .07, .75 }, NO_GRAY, 0 },
    { "dune", "light blond", { 0.50, 0.15, 0, 0, 0, .05, .75 }, NO_GRAY, 0 },
    { "shell", "palest blond", { 0.18, 0.07, 0, .03, 0, .06, .75 }, NO_GRAY, 0 },
    { "ember", "copper", { 1.5, 2.6, 1.5, 0, 0, .05, .74 }, NO_GRAY, 0 },
    { "rust", "red brown", { 4.2, 2.9, 1.9, .3, 0, .05, .74 }, NO_GRAY, 0 },
    { "clay", "rose blond", { 0.9, 0.5, .45, .25, 0, .05, .74 }, NO_GRAY, 0 },
    { "fig", "violet brown", { 6.0, 1.0, 1.2, 2.6, .3, .05, .73 }, NO_GRAY, 0 },
    { "brick", "bright red", { 1.6, 1.8, 3.4, 1.4, 0, .05, .74 }, NO_GRAY, 0 },
    { "fog", "light gray", { 0.05, 0, 0, 0, 0, .05, .50 }, NO_GRAY, 0 },
    { "pewter", "medium gray", { 0.22, 0, 0, 0, .03, .05, .44 }, NO_GRAY, 0 },
    { "slate", "dark steel gray", { 1.2, 0.0, 0, .40, .90, .05, .45 }, NO_GRAY, 0 },
    { "frost", "white", { 0.0, 0, 0, 0, 0, .035, .68 }, NO_GRAY, 0 },
    { "ivory", "yellowed white", { 0.02, 0, 0, 0, 0, .16, .66 }, NO_GRAY, 0 },
    { "pepper", "a fifth gray in black", { 20, 1.0, 0, 0, 0, .05, .72 }, CLEAN_GRAY, 0.18 },
    { "thistle", "half gray in dark brown", { 11, 1.9, 0, 0, 0, .05, .74 }, CLEAN_GRAY, 0.55 },
    { "flint", "three quarters gray in brown", { 6.2, 1.4, 0, 0, 0, .05, .74 }, CLEAN_GRAY, 0.78 },
};
static const recipe beads[] = {
    { "b-coal", "bead, coal", { 30, 0.5, 0, 0, 0, .05, .5 }, NO_GRAY, 0 },
    { "b-earth", "bead, earth", { 13, 2.5, 0, 0, 0, .05, .5 }, NO_GRAY, 0 },
    { "b-nut", "bead, nut", { 6, 2.0, 0, 0, 0, .05, .55 }, NO_GRAY, 0 },
    { "b-sand", "bead, sand", { 1.6, 0.7, 0, 0, 0, .05, .6 }, NO_GRAY, 0 },
    { "b-wheat", "bead, wheat", { 0.6, 0.35, 0, 0, 0, .06, .7 }, NO_GRAY, 0 },
    { "b-tin", "bead, tin", { 0.25, 0, 0, 0, .05, .05, .4 }, NO_GRAY, 0 },
};
enum { HAIRS = sizeof hair / sizeof hair[0], BEADS = sizeof beads / sizeof beads[0] };
_Static_assert(HAIRS + BEADS == SALON_SHADES, "the salon's size");

static shade from_recipe(const recipe *r, bool bead)
{
    shade s = { .bead = bead, .base = r->base, .gray = r->gray, .share = r->share };
    snprintf(s.code, sizeof s.code, "%s", r->code);
    snprintf(s.name, sizeof s.name, "%s", r->name);
    return s;
}

/* A generated hair shade: a depth from black to pale, warm or ash, one in six dyed, one in six gray or mixed with gray.
 */
static shade generated(int i, dice *d)
{
    shade s = { .share = 0 };
    double eu = exp(dice_between(d, log(0.12), log(28)));
    double ph = eu < 18 ? eu * exp(dice_between(d, log(0.08), log(0.55))) : eu * 0.05;
    s.base = (pigment){ eu, ph, 0, 0, 0, 0.05, dice_between(d, 0.68, 0.76) };
    pigment clean = CLEAN_GRAY;
    clean.eu *= dice_factor(d, 0.5);
    clean.scatter *= dice_factor(d, 0.15);
    s.gray = clean;
    double kind = dice_unit(d);
    if (kind < 1.0 / 6) {
        s.base.red = dice_between(d, 0, 0.9) * sqrt(eu);
        s.base.violet = dice_between(d, 0, 0.5) * sqrt(eu);
        s.base.blue = dice_between(d, 0, 0.25) * sqrt(eu);
    } else if (kind < 1.0 / 4) {
        s.base = clean;
        s.base.yellow = dice_between(d, 0.03, 0.15);
        s.base.blue = dice_between(d, 0, 0.05);
    } else if (kind < 1.0 / 3) {
        s.share = dice_between(d, 0.15, 0.85);
    }
    snprintf(s.code, sizeof s.code, "w%03d", i + 1);
    snprintf(s.name, sizeof s.name, "generated %d", i + 1);
    return s;
}

static void stock_up(shade *s, int i, dice *d)
{
    s->length_cm = i % 3 == 2 ? 60 : 50;
    s->pieces_per_pack = s->bead ? 0 : 2;
    s->piece_width_cm = 30;
    s->pack_weight_g = s->length_cm > 55 ? 72 : 60;
    s->pack_price = s->bead ? 9 : 118 + 4 * (i % 7) + (s->length_cm > 55 ? 26 : 0);
    s->stock = dice_below(d, 6);
}

static void measure(shade *s, const tables *t, double error_sd, dice *d)
{
    triple base = pigment_xyz(t, &s->base, HANK_VARIATION), xyz = base;
    if (s->share > 0) {
        triple gray = pigment_xyz(t, &s->gray, HANK_VARIATION);
        for (int k = 0; k < 3; k++)
            xyz.v[k] = (1 - s->share) * base.v[k] + s->share * gray.v[k];
    }
    s->lab = xyz_lab(xyz);
    for (int k = 0; k < 3; k++)
        s->label.v[k] = round((s->lab.v[k] + error_sd * dice_normal(d)) * 100) / 100;
}

bool catalogue_make(catalogue *out, const tables *t, int count, double error_sd, uint64_t seed)
{
    shade *shades = calloc((size_t)count, sizeof *shades);
    if (!shades)
        return false;
    dice shape = dice_for(seed, "shades"), stock = dice_for(seed, "stock"), error = dice_for(seed, "catalogue error");
    for (int i = 0; i < count; i++) {
        if (count == SALON_SHADES)
            shades[i] = i < HAIRS ? from_recipe(&hair[i], false) : from_recipe(&beads[i - HAIRS], true);
        else
            shades[i] = generated(i, &shape);
        stock_up(&shades[i], i, &stock);
        measure(&shades[i], t, error_sd, &error);
    }
    *out = (catalogue){ shades, count };
    return true;
}

void catalogue_free(catalogue *c)
{
    free(c->shades);
    *c = (catalogue){ 0 };
}

int catalogue_find(const catalogue *c, const char *code)
{
    for (int i = 0; i < c->count; i++)
        if (strcmp(c->shades[i].code, code) == 0)
            return i;
    return -1;
}

int catalogue_nearest(const catalogue *c, triple lab, int *order)
{
    int n = 0;
    for (int i = 0; i < c->count; i++) {
        if (c->shades[i].bead)
            continue;
        double d = lab_difference(c->shades[i].label, lab);
        int k = n++;
        for (; k > 0 && lab_difference(c->shades[order[k - 1]].label, lab) > d; k--)
            order[k] = order[k - 1];
        order[k] = i;
    }
    return n;
}

bool catalogue_write(const catalogue *c, const char *path)
{
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    fprintf(
        f,
        "code,name,kind,L,a,b,u,length_cm,pieces_per_pack,piece_width_cm,pack_weight_g,pack_price,cuttable,stock,gray_share,source\n");
    for (int i = 0; i < c->count; i++) {
        const shade *s = &c->shades[i];
        fprintf(f, "%s,\"%s\",%s,%.2f,%.2f,%.2f,0.6,", s->code, s->name, s->bead ? "bead" : "hair", s->label.v[0],
                s->label.v[1], s->label.v[2]);
        if (s->bead)
            fprintf(f, ",,,,%.2f,,%d,,invented\n", s->pack_price, s->stock);
        else
            fprintf(f, "%.0f,%d,%d,%.0f,%.2f,yes,%d,%.2f,invented\n", s->length_cm, s->pieces_per_pack,
                    s->piece_width_cm, s->pack_weight_g, s->pack_price, s->stock, s->share);
    }
    bool good = !ferror(f);
    return fclose(f) == 0 && good;
}

#include "measure/hair.h"

#include "colour/stats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_PIXELS = 1000000 }; /* H1 */

const char *const WM_HAIR_VERDICT_WORDS[] = { "hair", "not only hair", "cannot tell", "not hair", NULL };

const char *wm_hair_verdict_name(wm_hair_verdict verdict)
{
    return wm_word_of(WM_HAIR_VERDICT_WORDS, verdict);
}

static double clamp(double value, double low, double high)
{
    return fmin(fmax(value, low), high);
}

static size_t count_of(const wm_hair_blocks *blocks)
{
    return (size_t)blocks->width * (size_t)blocks->height;
}

/* Median of n > 0 values, reordered: the mean of both middles. */
static double median(double *values, size_t n)
{
    const double low = wm_quantile(values, n, ((double)((n - 1) / 2) + 0.5) / (double)n);
    return (low + wm_quantile(values, n, ((double)(n / 2) + 0.5) / (double)n)) / 2.0;
}

/* ---- H3: what is smooth and of another colour is cut
 * -------------------------------------------------------------------- */

static const double CUT_QUANTILE = 0.75;                            /* H3 */
static const double SMOOTH[3] = { 0.40, 0.008, 0.020 };             /* H3 */
static const double SEED = 0.7;                                     /* H3 */
static const double LEAST_COMPONENT = 0.015;                        /* H3 */
enum { LEAST_BLOCKS = 6 };                                          /* H3 */
enum { GROWTH_ROUNDS = 4 };                                         /* H3 */
static const double LIGHTNESS_COUNTS = 1.5;                         /* H3 */
static const double FAR = 8.0;                                      /* H3 */
static const double FAR_AND_DARKER = 14.0;                          /* H3 */
static const double SKIN_LIGHTNESS = 30.0;                          /* H3 */
static const double SKIN_CHROMA = 8.0;                              /* H3 */
static const double SKIN_HUE[2] = { 15.0, 75.0 };                   /* H3 */
static const double COMBED = 0.92;                                  /* H3 */
static const double SMOOTH_SKIN[2] = { 0.40, 0.016 };               /* H3 */
static const double SMOOTH_SKIN_BESIDE_COLOUR[2] = { 0.30, 0.010 }; /* H3 */
static const double COLOURED_HAIR = 15.0;                           /* H3 */
static const double SMOOTH_BACKGROUND[2] = { 0.25, 0.010 };         /* H3 */
static const double GROWTH_NEARER = 1.2;                            /* H3 */

enum { KEPT, OUTSIDE, SKIN = WM_PX_SKIN, BACKGROUND = WM_PX_BACKGROUND };

/* The cut in the making. */
typedef struct cut {
    const wm_hair_blocks *blocks;
    wm_hair_texture *texture;
    unsigned char *map;   /* KEPT, OUTSIDE (no zone pixel), SKIN, BACKGROUND */
    unsigned char *state; /* while looking: 0, SMOOTH_BLOCK, or member of the component */
    size_t *stack, *member;
    double *values; /* room for one a block */
    size_t filled;  /* blocks with zone pixels */
    double p75;
    wm_lab hair;
} cut;

enum { PLAIN, SMOOTH_BLOCK, MEMBER, DONE };

static wm_lab block_colour(const wm_hair_block *block)
{
    const double n = fmax(block->sum[WM_SUM_PIXELS], 1.0);
    return (wm_lab){ block->sum[WM_SUM_L] / n, block->sum[WM_SUM_A] / n, block->sum[WM_SUM_B] / n };
}

/* Light differs over a head more than hue does. */
static double distance(wm_lab p, wm_lab q)
{
    return sqrt((p.L - q.L) * (p.L - q.L) / (LIGHTNESS_COUNTS * LIGHTNESS_COUNTS) + (p.a - q.a) * (p.a - q.a) +
                (p.b - q.b) * (p.b - q.b));
}

static void add_colours(wm_hair_block *to, const wm_hair_block *from)
{
    to->sum[WM_SUM_PIXELS] += from->sum[WM_SUM_PIXELS];
    to->sum[WM_SUM_L] += from->sum[WM_SUM_L];
    to->sum[WM_SUM_A] += from->sum[WM_SUM_A];
    to->sum[WM_SUM_B] += from->sum[WM_SUM_B];
}

/* p75, the colour of the blocks with the most contrast, and which are smooth. */
static void find_hair(cut *c)
{
    wm_hair_block seeds = { { 0 } };
    size_t n = 0;
    for (size_t i = 0; i < count_of(c->blocks); i++)
        if (c->map[i] == KEPT)
            c->values[n++] = c->texture[i].relative;
    c->p75 = wm_quantile(c->values, n, CUT_QUANTILE);
    const double limit = clamp(SMOOTH[0] * c->p75, SMOOTH[1], SMOOTH[2]);
    for (size_t i = 0; i < count_of(c->blocks); i++) {
        if (c->map[i] != KEPT)
            continue;
        if (c->texture[i].relative >= SEED * c->p75)
            add_colours(&seeds, &c->blocks->block[i]);
        c->state[i] = c->texture[i].relative < limit ? SMOOTH_BLOCK : PLAIN;
    }
    c->hair = block_colour(&seeds);
}

/* Blocks beside block i that lie in the grid: 4 (up, down, left, right) or 8. */
static int neighbours(size_t out[8], const wm_hair_blocks *blocks, size_t i, int how_many)
{
    static const int dx[8] = { 0, 0, -1, 1, -1, -1, 1, 1 }, dy[8] = { -1, 1, 0, 0, -1, 1, -1, 1 };
    const int x = (int)(i % (size_t)blocks->width), y = (int)(i / (size_t)blocks->width);
    int found = 0;
    for (int k = 0; k < how_many; k++)
        if (x + dx[k] >= 0 && x + dx[k] < blocks->width && y + dy[k] >= 0 && y + dy[k] < blocks->height)
            out[found++] = (size_t)(y + dy[k]) * (size_t)blocks->width + (size_t)(x + dx[k]);
    return found;
}

/* The 4-connected smooth blocks around `start` become members; how many. */
static size_t gather(cut *c, size_t start)
{
    size_t count = 0, depth = 0, beside[8];
    c->stack[depth++] = start;
    c->state[start] = MEMBER;
    while (depth > 0) {
        const size_t i = c->stack[--depth];
        c->member[count++] = i;
        const int found = neighbours(beside, c->blocks, i, 4);
        for (int k = 0; k < found; k++)
            if (c->state[beside[k]] == SMOOTH_BLOCK) {
                c->state[beside[k]] = MEMBER;
                c->stack[depth++] = beside[k];
            }
    }
    return count;
}

static bool touches_border(const cut *c, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const int x = (int)(c->member[i] % (size_t)c->blocks->width),
                  y = (int)(c->member[i] / (size_t)c->blocks->width);
        if (x == 0 || y == 0 || x == c->blocks->width - 1 || y == c->blocks->height - 1)
            return true;
    }
    return false;
}

static bool is_skin(wm_lab colour)
{
    const wm_lch lch = wm_lab_to_lch(colour);
    return colour.L > SKIN_LIGHTNESS && lch.C > SKIN_CHROMA && lch.h_deg > SKIN_HUE[0] && lch.h_deg < SKIN_HUE[1];
}

/* A smooth lock of light hair, all of whose gradients lie across it. */
static bool is_combed(const cut *c, size_t count)
{
    for (size_t i = 0; i < count; i++)
        c->values[i] = c->texture[c->member[i]].coherence;
    return median(c->values, count) > COMBED;
}

/* SKIN or BACKGROUND, KEPT when the component may be hair after all. */
static int kind_of(const cut *c, wm_lab colour, size_t count)
{
    if (distance(colour, c->hair) < (colour.L < c->hair.L ? FAR_AND_DARKER : FAR))
        return KEPT;
    const bool skin = is_skin(colour), coloured = hypot(c->hair.a, c->hair.b) >= COLOURED_HAIR;
    const double *limit = !skin ? SMOOTH_BACKGROUND : coloured ? SMOOTH_SKIN_BESIDE_COLOUR : SMOOTH_SKIN;
    for (size_t i = 0; i < count; i++)
        c->values[i] = c->texture[c->member[i]].relative;
    if ((!skin && !touches_border(c, count)) || median(c->values, count) > fmin(limit[0] * c->p75, limit[1]))
        return KEPT;
    return !skin ? BACKGROUND : is_combed(c, count) ? KEPT : SKIN;
}

/* Blurred edges are no longer smooth; neighbours that are nearer to the cut colour go too. Members grow. */
static size_t grow(cut *c, wm_lab colour, size_t count)
{
    size_t beside[8], first = 0;
    for (int round = 0; round < GROWTH_ROUNDS; round++) {
        const size_t last = count;
        for (size_t i = first; i < last; i++) {
            const int found = neighbours(beside, c->blocks, c->member[i], 8);
            for (int k = 0; k < found; k++) {
                const size_t at = beside[k];
                const wm_lab own = block_colour(&c->blocks->block[at]);
                if (c->state[at] == MEMBER || c->map[at] == OUTSIDE ||
                    distance(own, colour) >= GROWTH_NEARER * distance(own, c->hair))
                    continue;
                c->stack[count] = c->state[at]; /* to be restored */
                c->state[at] = MEMBER;
                c->member[count++] = at;
            }
        }
        first = last;
    }
    return count;
}

static void cut_component(cut *c, size_t start)
{
    const size_t own = gather(c, start);
    wm_hair_block sum = { { 0 } };
    for (size_t i = 0; i < own; i++)
        add_colours(&sum, &c->blocks->block[c->member[i]]);
    const wm_lab colour = block_colour(&sum);
    const bool large = (double)own >= fmax(LEAST_BLOCKS, LEAST_COMPONENT * (double)c->filled);
    const int kind = large ? kind_of(c, colour, own) : KEPT;
    const size_t all = kind == KEPT ? own : grow(c, colour, own);
    for (size_t i = 0; i < all; i++) {
        c->state[c->member[i]] = i < own ? DONE : (unsigned char)c->stack[i];
        if (kind != KEPT && (i < own || c->map[c->member[i]] == KEPT))
            c->map[c->member[i]] = (unsigned char)kind;
    }
}

static void free_cut(cut *c)
{
    free(c->texture);
    free(c->state);
    free(c->stack);
    free(c->member);
    free(c->values);
}

wm_status wm_hair_find_cut(unsigned char *map, const wm_hair_blocks *blocks, wm_error *err)
{
    const size_t count = count_of(blocks);
    cut c = { .blocks = blocks,
              .map = map,
              .texture = malloc(count * sizeof *c.texture),
              .state = calloc(count, 1),
              .stack = malloc(count * sizeof *c.stack),
              .member = malloc(count * sizeof *c.member),
              .values = malloc(count * sizeof *c.values) };
    wm_status status = c.texture && c.state && c.stack && c.member && c.values ? WM_OK : wm_fail_memory(err);
    unsigned char *all = c.state; /* the set of every block, before it serves as state */
    if (!status) {
        for (size_t i = 0; i < count; i++) {
            const bool kept = blocks->block[i].sum[WM_SUM_PIXELS] > 0.0;
            map[i] = kept ? KEPT : OUTSIDE;
            all[i] = kept;
            c.filled += all[i];
        }
        status = wm_hair_textures(c.texture, blocks, all, 1, err);
    }
    if (!status && c.filled > 0) {
        find_hair(&c);
        for (size_t i = 0; i < count; i++)
            if (c.state[i] == SMOOTH_BLOCK && map[i] != OUTSIDE)
                cut_component(&c, i);
    }
    free_cut(&c);
    return status;
}

/* ---- H4: features of what is kept
 * ---------------------------------------------------------------------------------------- */

enum { CUT_MARGIN = 2 };                /* H4 */
enum { FEWEST_APART = 30 };             /* H4 */
static const double LOW_QUANTILE = 0.2; /* H4 */
enum { HUES = 12 };
static const double HAIR_HUE[HUES] = { 0, 20, 40, 60, 85, 95, 110, 200, 240, 300, 340, 360 }; /* H4 */
static const double HAIR_CHROMA[HUES] = { 14, 30, 48, 52, 45, 25, 10, 8, 9, 9, 10, 14 };      /* H4 */

double wm_hair_most_chroma(double h_deg)
{
    int i = 1;
    while (i < HUES - 1 && h_deg > HAIR_HUE[i])
        i++;
    const double t = (h_deg - HAIR_HUE[i - 1]) / (HAIR_HUE[i] - HAIR_HUE[i - 1]);
    return HAIR_CHROMA[i - 1] + t * (HAIR_CHROMA[i] - HAIR_CHROMA[i - 1]);
}

static double excess_of(const wm_hair_texture *texture)
{
    const wm_lch lch = wm_lab_to_lch((wm_lab){ texture->L, texture->a, texture->b });
    return lch.C / wm_hair_most_chroma(lch.h_deg);
}

static bool near_cut(const wm_hair_blocks *blocks, const unsigned char *map, int x, int y)
{
    for (int v = y - CUT_MARGIN; v <= y + CUT_MARGIN; v++)
        for (int u = x - CUT_MARGIN; u <= x + CUT_MARGIN; u++)
            if (u >= 0 && v >= 0 && u < blocks->width && v < blocks->height &&
                map[(size_t)v * (size_t)blocks->width + (size_t)u] > OUTSIDE)
                return true;
    return false;
}

/* set: kept blocks apart from the cut, all kept ones if those are few. */
static void choose_blocks(unsigned char *set, const wm_hair_blocks *blocks, const unsigned char *map)
{
    size_t apart = 0, i = 0;
    for (int y = 0; y < blocks->height; y++)
        for (int x = 0; x < blocks->width; x++, i++) {
            set[i] = map[i] == KEPT && !near_cut(blocks, map, x, y);
            apart += set[i];
        }
    if (apart >= FEWEST_APART)
        return;
    for (i = 0; i < count_of(blocks); i++)
        set[i] = map[i] == KEPT;
}

typedef double value_of(const wm_hair_texture *texture);

static double relative_of(const wm_hair_texture *t)
{
    return t->relative;
}
static double fine_of(const wm_hair_texture *t)
{
    return t->fine_to_middle;
}
static double middle_of(const wm_hair_texture *t)
{
    return t->middle_to_coarse;
}
static double coherence_of(const wm_hair_texture *t)
{
    return t->coherence;
}
static double wide_of(const wm_hair_texture *t)
{
    return t->wide_coherence;
}
static double spread_of(const wm_hair_texture *t)
{
    return t->chroma_spread;
}
static double a_of(const wm_hair_texture *t)
{
    return t->a;
}
static double b_of(const wm_hair_texture *t)
{
    return t->b;
}

/* What is looked at of a scale. */
typedef struct look {
    const wm_hair_blocks *blocks;
    unsigned char *set;       /* the blocks that count; owned */
    wm_hair_texture *texture; /* [blocks]; owned */
    double *values;           /* room for one a block; owned */
} look;

/* The values of the set, in order; how many. */
static size_t gather_values(const look *l, value_of *value)
{
    size_t n = 0;
    for (size_t i = 0; i < count_of(l->blocks); i++)
        if (l->set[i])
            l->values[n++] = value(&l->texture[i]);
    return n;
}

static double median_of(const look *l, value_of *value)
{
    const size_t n = gather_values(l, value);
    return median(l->values, n);
}

static double sd_of_coherence(const look *l)
{
    double sum = 0.0, squares = 0.0;
    const size_t n = gather_values(l, coherence_of);
    for (size_t i = 0; i < n; i++)
        sum += l->values[i];
    for (size_t i = 0; i < n; i++)
        squares += (l->values[i] - sum / (double)n) * (l->values[i] - sum / (double)n);
    return sqrt(squares / (double)n);
}

enum { LARGE_SIDE = 160 }; /* H4 */

static int shorter_side(const wm_hair_blocks *blocks)
{
    return blocks->pixel_width < blocks->pixel_height ? blocks->pixel_width : blocks->pixel_height;
}

static void free_look(look *l)
{
    free(l->set);
    free(l->texture);
    free(l->values);
    *l = (look){ 0 };
}

/* Blocks of which one is kept at least, in place of what was looked at before. */
static wm_status look_at(look *l, const wm_hair_blocks *blocks, const unsigned char *map, wm_error *err)
{
    const size_t count = count_of(blocks);
    free_look(l);
    *l = (look){ blocks, malloc(count), malloc(count * sizeof *l->texture), malloc(count * sizeof *l->values) };
    if (!l->set || !l->texture || !l->values)
        return wm_fail_memory(err);
    choose_blocks(l->set, blocks, map);
    return wm_hair_textures(l->texture, blocks, l->set, 2, err);
}

/* What says whether the scale is too coarse. */
static void find_sharpness(wm_hair_features *f, const look *l)
{
    const size_t n = gather_values(l, relative_of);
    f->relative = median(l->values, n);
    f->low_relative = wm_quantile(l->values, n, LOW_QUANTILE);
    f->fine_to_middle = median_of(l, fine_of);
}

/* A large picture would be halved: nobody asks whether it is ruled. */
static void find_the_rest(wm_hair_features *f, const look *l)
{
    f->middle_to_coarse = median_of(l, middle_of);
    f->coherence = median_of(l, coherence_of);
    f->coherence_sd = sd_of_coherence(l);
    f->wide_coherence = median_of(l, wide_of);
    f->chroma_spread = median_of(l, spread_of);
    f->a = median_of(l, a_of);
    f->b = median_of(l, b_of);
    f->colour_excess = median_of(l, excess_of);
    f->ruled = shorter_side(l->blocks) < LARGE_SIDE ? wm_hair_ruled(l->blocks, l->texture, l->set) : 0.0;
}

/* ---- H5: the score
 * ------------------------------------------------------------------------------------------------------ */

static const double SCORE_AT_REST = 3.6;                    /* H5 */
static const double CONTRAST_SCORE = 0.6;                   /* H5 */
static const double CONTRAST_OF_HAIR = 0.04;                /* H5 */
static const double LOW_SCORE = 1.5;                        /* H5 */
static const double LOW_OF_HAIR = 0.03;                     /* H5 */
static const double COHERENCE_SCORE = 2.4;                  /* H5 */
static const double RULED_SCORE = -28.0;                    /* H5 */
static const double RULED[2] = { 0.45, 0.25 };              /* H5 */
static const double PARALLEL[2] = { 0.80, 0.05 };           /* H5 */
static const double WIDER_SCORE = -8.8;                     /* H5 */
static const double FINE_SCORE = -18.0;                     /* H5 */
static const double FINE_OF_HAIR = 0.4;                     /* H5 */
static const double COMBED_FINE[2] = { 0.70, 0.15 };        /* H5 */
static const double MIDDLE_SCORE = -9.7;                    /* H5 */
static const double SPREAD_SCORE = -6.0;                    /* H5 */
static const double SPREAD_OF_HAIR[3] = { 1.5, 0.08, 0.4 }; /* H5 */
static const double EXCESS_SCORE = -3.6;                    /* H5 */
static const double EXCESS_OF_HAIR = 0.7;                   /* H5 */
static const double COHERENCE_SD_SCORE = -14.0;             /* H5 */

static double log_ratio(double value)
{
    return log(clamp(value, 0.25, 4.0));
}

/* Grain and woven threads are as fine as the pixels and lie in no direction; fibres as wide as a pixel lie in one. */
static double too_fine(const wm_hair_features *f)
{
    const double fine = fmax(log_ratio(f->fine_to_middle) - FINE_OF_HAIR, 0.0);
    return fine * fine * (1.0 - clamp((f->coherence - COMBED_FINE[0]) / COMBED_FINE[1], 0.0, 1.0));
}

double wm_hair_score(const wm_hair_features *f)
{
    const double chroma = hypot(f->a, f->b), middle = log_ratio(f->middle_to_coarse);
    return SCORE_AT_REST + CONTRAST_SCORE * fmin(log(fmax(f->relative, 0.001) / CONTRAST_OF_HAIR), 0.0) +
           LOW_SCORE * fmin(log(fmax(f->low_relative, 0.001) / LOW_OF_HAIR), 0.0) + COHERENCE_SCORE * f->coherence +
           RULED_SCORE * clamp(f->ruled - RULED[0], 0.0, RULED[1]) *
               clamp((f->coherence - PARALLEL[0]) / PARALLEL[1], 0.0, 1.0) +
           WIDER_SCORE * (f->wide_coherence - f->coherence) + FINE_SCORE * too_fine(f) +
           MIDDLE_SCORE * middle * middle +
           SPREAD_SCORE * clamp(log((f->chroma_spread + 0.01) / (SPREAD_OF_HAIR[0] + SPREAD_OF_HAIR[1] * chroma)), 0.0,
                                SPREAD_OF_HAIR[2]) +
           EXCESS_SCORE * fmax(f->colour_excess - EXCESS_OF_HAIR, 0.0) + COHERENCE_SD_SCORE * f->coherence_sd;
}

/* ---- H6: the verdict
 * ---------------------------------------------------------------------------------------------------- */

static const double COLOURLESS_SHARE = 0.995;    /* H6 */
static const double COLOURLESS_LIGHTNESS = 25.0; /* H6 */
enum { FEWEST_HAIR_PIXELS = 400 };               /* H6 */
enum { SMALL_ZONE_PIXELS = 4000 };               /* H6 */
static const double MOSTLY_CUT = 0.60;           /* H6 */
static const double BLURRED = 0.62;              /* H6 */
static const double NO_FIBRES = 0.008;           /* H6 */
static const double FAINT_FIBRES = 0.012;        /* H6 */
static const double GRAIN[2] = { 1.6, 6.0 };     /* H6 */
static const double SCORE_NO_SMALL = -6.0;       /* H6 */
static const double SCORE_NO = -2.0;             /* H6 */
static const double SCORE_YES = 0.0;             /* H6 */
static const double SCORE_CLEAR = 1.0;           /* H6 */
static const double TANGLED = 0.25;              /* H6 */
static const double WORTH_CUTTING = 0.01;        /* H6 */

static void say(wm_hair_check *hair, wm_hair_verdict verdict, const char *why)
{
    hair->verdict = verdict;
    hair->why = why;
}

/* Noise is as fine as the pixels and hides what lies below; a pattern drawn by pixels is finer still, and a smooth
 * wall's is too faint to hide anything. */
static bool is_grainy(const wm_hair_features *f)
{
    return f->fine_to_middle > GRAIN[0] && f->fine_to_middle < GRAIN[1] && f->relative >= NO_FIBRES;
}

void wm_hair_decide(wm_hair_check *hair, const wm_hair_evidence *e)
{
    const wm_hair_features *f = &hair->features;
    const bool small = e->pixels < SMALL_ZONE_PIXELS;
    const bool blurred = f->fine_to_middle < BLURRED || (small && f->relative < FAINT_FIBRES) || is_grainy(f) ||
                         (small && f->relative >= NO_FIBRES && hair->score > SCORE_NO_SMALL);
    if (e->colourless_share >= COLOURLESS_SHARE && e->lightness >= COLOURLESS_LIGHTNESS)
        say(hair, WM_HAIR_NO, "a black-and-white photo has no colour to read");
    else if (e->pixels < FEWEST_HAIR_PIXELS || e->kept < FEWEST_HAIR_PIXELS)
        say(hair, WM_HAIR_DOUBTFUL, "too small to tell");
    else if (hair->cut_share > MOSTLY_CUT)
        say(hair, WM_HAIR_NO, hair->skin_cut ? "mostly skin" : "mostly background");
    else if ((f->relative < NO_FIBRES || hair->score < SCORE_NO) && blurred)
        say(hair, WM_HAIR_DOUBTFUL, "too small, blurred or grainy to tell");
    else if (f->relative < NO_FIBRES || hair->score < SCORE_NO)
        say(hair, WM_HAIR_NO, f->relative < FAINT_FIBRES ? "no fibres to be seen" : "not like hair");
    else if ((f->relative < FAINT_FIBRES && hair->score < SCORE_CLEAR) || hair->score < SCORE_YES ||
             f->coherence < TANGLED)
        say(hair, WM_HAIR_DOUBTFUL, f->relative < FAINT_FIBRES ? "too smooth or blurred to tell" : "unlike most hair");
    else
        say(hair, hair->cut_share > WORTH_CUTTING ? WM_HAIR_PARTLY : WM_HAIR_YES, "");
}

/* ---- H1 to H6 together
 * -------------------------------------------------------------------------------------------------- */

/* One scale: blocks and their cut. */
typedef struct scale {
    wm_hair_blocks blocks;
    unsigned char *map;
} scale;

/* Of the photo, whose pixels were halved so often. */
static void count_pixels(wm_hair_check *hair, wm_hair_evidence *e, const scale *s, int halvings)
{
    double lightness = 0.0, square = (double)((size_t)1 << 2 * halvings);
    for (size_t i = 0; i < count_of(&s->blocks); i++) {
        const double n = square * s->blocks.block[i].sum[WM_SUM_PIXELS];
        e->pixels += n;
        e->kept += s->map[i] == KEPT ? n : 0.0;
        lightness += square * s->blocks.block[i].sum[WM_SUM_L];
        hair->skin_cut |= s->map[i] == SKIN;
        hair->background_cut |= s->map[i] == BACKGROUND;
    }
    if (e->pixels > 0.0) {
        hair->cut_share = 1.0 - e->kept / e->pixels;
        e->lightness = lightness / e->pixels;
    }
}

/* Odd columns and rows at the end fall away in halving: they go as their neighbours. */
static size_t place_of(const int *of, int count, int pixel)
{
    return (size_t)of[pixel < count ? pixel : count - 1];
}

static void mark_cut(wm_window *window, const wm_hair_blocks *blocks, const unsigned char *map)
{
    const int h = blocks->halvings;
    unsigned char *flags = window->flags;
    for (int y = 0; y < window->box.height; y++, flags += window->box.width) {
        const unsigned char *row = map + place_of(blocks->row, blocks->pixel_height, y >> h) * (size_t)blocks->width;
        for (int x = 0; x < window->box.width; x++)
            flags[x] &= (unsigned char)~(WM_PX_SKIN | WM_PX_BACKGROUND);
        for (int x = 0; x < window->box.width; x++) {
            const unsigned char kind = row[place_of(blocks->column, blocks->pixel_width, x >> h)];
            flags[x] |= kind > OUTSIDE && (flags[x] & WM_PX_ZONE) ? kind : 0;
        }
    }
}

static const double SOFT = 0.75; /* H4 */
enum { HALVED_AGAIN_SIDE = 56 }; /* H4 */

static void free_scale(scale *s)
{
    wm_hair_blocks_free(&s->blocks);
    free(s->map);
    *s = (scale){ 0 };
}

static wm_status make_scale(scale *out, const wm_window *window, int halvings, wm_error *err)
{
    scale s = { 0 };
    wm_status status = wm_hair_blocks_make(&s.blocks, window, halvings, err);
    if (!status && !(s.map = malloc(count_of(&s.blocks))))
        status = wm_fail_memory(err);
    if (!status)
        status = wm_hair_find_cut(s.map, &s.blocks, err);
    if (status)
        free_scale(&s);
    else
        *out = s;
    return status;
}

bool wm_hair_is_too_coarse(int side, const wm_hair_features *f)
{
    return side >= LARGE_SIDE || ((f->fine_to_middle < SOFT || is_grainy(f)) && side >= HALVED_AGAIN_SIDE);
}

static bool keeps_any(const scale *s)
{
    for (size_t i = 0; i < count_of(&s->blocks); i++)
        if (s->map[i] == KEPT)
            return true;
    return false;
}

/* The next scale in place of s, which becomes own; false, and all as it was, when nothing is kept there. */
static wm_status halve(scale **s, scale *own, bool *kept, const wm_window *window, wm_error *err)
{
    scale next = { 0 };
    const wm_status status = make_scale(&next, window, (*s)->blocks.halvings + 1, err);
    *kept = !status && keeps_any(&next);
    if (!*kept) {
        free_scale(&next);
        return status;
    }
    free_scale(own);
    *own = next;
    *s = own;
    return WM_OK;
}

static wm_status see_sharpness(wm_hair_features *out, look *seen, const scale *s, wm_error *err)
{
    const wm_status status = look_at(seen, &s->blocks, s->map, err);
    if (!status)
        find_sharpness(out, seen);
    return status;
}

static wm_status see_the_rest(wm_hair_features *out, look *seen, scale *s, wm_error *err)
{
    wm_status status = wm_hair_blocks_complete(&s->blocks, err);
    if (!status)
        status = look_at(seen, &s->blocks, s->map, err);
    if (!status)
        find_the_rest(out, seen);
    return status;
}

/* H4: halves until fibres are sharp; of a scale that is halved anyway nothing is asked, and only of the last more than
 * its sharpness. found: false when the first scale keeps nothing. */
static wm_status search_scales(wm_hair_features *out, bool *found, const wm_window *window, scale *first, wm_error *err)
{
    scale own = { 0 };
    look seen = { 0 };
    scale *s = first;
    wm_status status = WM_OK;
    bool again = *found = keeps_any(first);
    while (!status && again && shorter_side(&s->blocks) >= LARGE_SIDE)
        status = halve(&s, &own, &again, window, err);
    if (!status && *found)
        status = see_sharpness(out, &seen, s, err);
    while (!status && again && wm_hair_is_too_coarse(shorter_side(&s->blocks), out)) {
        status = halve(&s, &own, &again, window, err);
        if (!status && again)
            status = see_sharpness(out, &seen, s, err);
    }
    if (!status && *found)
        status = see_the_rest(out, &seen, s, err);
    free_look(&seen);
    free_scale(&own);
    return status;
}

int wm_hair_halvings(int width, int height)
{
    int halvings = 0;
    while ((size_t)(width >> halvings) * (size_t)(height >> halvings) > MOST_PIXELS)
        halvings++;
    return halvings;
}

/* H3 at the first scale. */
static wm_status make_first(scale *out, const wm_window *window, wm_error *err)
{
    return make_scale(out, window, wm_hair_halvings(window->box.width, window->box.height), err);
}

wm_status wm_hair_cut(wm_window *window, wm_error *err)
{
    scale first;
    const wm_status status = make_first(&first, window, err);
    if (status)
        return status;
    mark_cut(window, &first.blocks, first.map);
    free_scale(&first);
    return WM_OK;
}

wm_status wm_hair_judge(wm_hair_check *out, wm_window *window, wm_error *err)
{
    wm_hair_check hair = { .why = "" };
    wm_hair_evidence e = { .colourless_share = window->colourless_share };
    scale first;
    wm_status status = make_first(&first, window, err);
    if (status)
        return status;
    bool found = false;
    count_pixels(&hair, &e, &first, window->halvings + first.blocks.halvings);
    status = search_scales(&hair.features, &found, window, &first, err);
    if (!status) {
        if (found)
            hair.score = wm_hair_score(&hair.features);
        wm_hair_decide(&hair, &e);
        mark_cut(window, &first.blocks, first.map);
        *out = hair;
    }
    free_scale(&first);
    return status;
}

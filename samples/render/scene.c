#include "scene.h"

#include "backdrop.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef REFERENCE_DIR
#define REFERENCE_DIR "reference"
#endif

/* --- the head ------------------------------------------------------------------------------------------------------------------ */

/* The near side of the hair of a client who looks to the left, front to back; the parting runs along the first points. */
static const sheet near_side = { 7, {
    { { .515, .150 }, { .487, .200 }, { .478, .265 }, { .485, .335 }, { .497, .420 }, { .505, .520 }, { .510, .640 }, { .505, .760 }, { .500, .880 } },
    { { .555, .128 }, { .535, .185 }, { .528, .255 }, { .532, .335 }, { .540, .425 }, { .548, .525 }, { .553, .645 }, { .550, .770 }, { .545, .905 } },
    { { .600, .112 }, { .590, .172 }, { .586, .250 }, { .588, .335 }, { .592, .430 }, { .597, .530 }, { .600, .650 }, { .598, .775 }, { .592, .915 } },
    { { .650, .103 }, { .652, .165 }, { .652, .245 }, { .650, .335 }, { .648, .430 }, { .648, .535 }, { .648, .655 }, { .645, .780 }, { .640, .918 } },
    { { .685, .102 }, { .710, .150 }, { .722, .235 }, { .722, .335 }, { .712, .435 }, { .704, .540 }, { .698, .660 }, { .692, .780 }, { .684, .912 } },
    { { .705, .104 }, { .755, .140 }, { .786, .225 }, { .792, .335 }, { .776, .440 }, { .758, .545 }, { .746, .660 }, { .738, .780 }, { .728, .900 } },
    { { .715, .106 }, { .785, .130 }, { .833, .215 }, { .842, .335 }, { .825, .445 }, { .800, .550 }, { .785, .660 }, { .775, .775 }, { .762, .885 } } }, .30 };

/* What shows of the other side, above the parting. */
static const sheet far_side = { 4, {
    { { .513, .147 }, { .508, .147 }, { .503, .148 }, { .498, .150 }, { .493, .153 }, { .488, .157 }, { .484, .162 }, { .480, .168 }, { .477, .175 } },
    { { .553, .124 }, { .548, .121 }, { .542, .119 }, { .535, .118 }, { .528, .119 }, { .521, .121 }, { .514, .124 }, { .507, .129 }, { .500, .135 } },
    { { .618, .105 }, { .614, .101 }, { .609, .097 }, { .603, .095 }, { .596, .094 }, { .588, .094 }, { .580, .096 }, { .571, .099 }, { .562, .104 } },
    { { .714, .103 }, { .710, .098 }, { .705, .093 }, { .699, .089 }, { .691, .087 }, { .682, .086 }, { .672, .086 }, { .662, .087 }, { .651, .089 } } }, .12 };

typedef struct place {
    item_kind kind;
    const char *name;
    point at, size;
    point swatch[2]; /* two places for swatches held at it */
} place;

static const place places[] = {
    { ITEM_ROOT, "crown", { .585, .134 }, { .090, .075 }, { { .700, .145 }, { .744, .185 } } },
    { ITEM_GRAY, "temple", { .490, .235 }, { .065, .090 }, { { .566, .235 }, { .622, .235 } } },
    { ITEM_MID, "mid", { .590, .500 }, { .085, .110 }, { { .690, .500 }, { .744, .505 } } },
    { ITEM_ENDS, "ends", { .590, .715 }, { .085, .095 }, { { .686, .720 }, { .732, .725 } } },
};
enum { PLACES = sizeof places / sizeof places[0] };
static const point swatch_size = { .040, .085 };
static const point mid_swatches[4] = { { .688, .440 }, { .688, .560 }, { .742, .440 }, { .742, .560 } };

bool item_is_client(const item *i)
{
    return i->kind <= ITEM_GRAY;
}

/* --- cards and target ---------------------------------------------------------------------------------------------------------- */

spectrum card_reflectance(double level)
{
    return flat_reflectance(level, level > 0.5 ? 0.004 : 0.01);
}

typedef struct patch {
    const char *name;
    pigment hair;              /* used when scatter > 0 */
    double base, height, centre, width;
} patch;

/* Paints that resemble hair are mixed half with a smooth hill, so that they are like hair in colour but not in spectrum. */
#define NO_HAIR { 0, 0, 0, 0, 0, 0, 0 }

static const patch patches[PATCHES] = {
    { "white", NO_HAIR, .88, 0, 550, 1 }, { "gray 54", NO_HAIR, .54, 0, 550, 1 }, { "gray 31", NO_HAIR, .31, 0, 550, 1 },
    { "gray 18", NO_HAIR, .184, 0, 550, 1 }, { "gray 8", NO_HAIR, .085, 0, 550, 1 }, { "black", NO_HAIR, .035, 0, 550, 1 },
    { "hair 1", { 22, 1, 0, 0, 0, .05, .7 }, .02, .01, 640, 60 }, { "hair 2", { 14, 2.5, 0, 0, 0, .05, .7 }, .02, .03, 640, 60 },
    { "hair 3", { 8, 2, 0, 0, 0, .05, .7 }, .03, .06, 640, 60 }, { "hair 4", { 5.5, .6, 0, 0, .3, .05, .7 }, .04, .07, 620, 70 },
    { "hair 5", { 4, 1.5, 0, 0, 0, .05, .7 }, .04, .13, 640, 70 }, { "hair 6", { 2.4, 1, 0, 0, 0, .05, .7 }, .06, .22, 640, 75 },
    { "hair 7", { 1.4, .6, 0, 0, 0, .05, .7 }, .10, .30, 640, 80 }, { "hair 8", { .7, .4, 0, 0, 0, .05, .7 }, .16, .36, 640, 85 },
    { "hair 9", { .25, .08, 0, 0, 0, .05, .7 }, .30, .30, 650, 90 }, { "hair 10", { 1.0, 0, 0, 0, .1, .05, .45 }, .12, .04, 630, 90 },
    { "hair 11", { .1, 0, 0, 0, 0, .05, .5 }, .28, .06, 620, 90 }, { "hair 12", { .03, 0, 0, 0, 0, .12, .65 }, .38, .18, 620, 90 },
    { "copper", NO_HAIR, .06, .34, 660, 50 }, { "wine", NO_HAIR, .035, .22, 680, 45 }, { "skin", NO_HAIR, .22, .36, 660, 75 },
    { "olive", NO_HAIR, .05, .18, 580, 55 }, { "teal", NO_HAIR, .12, .14, 500, 45 }, { "violet", NO_HAIR, .07, .16, 430, 40 },
};

const char *patch_name(int i)
{
    return patches[i].name;
}

spectrum patch_reflectance(int i)
{
    const patch *p = &patches[i];
    if (p->height <= 0)
        return flat_reflectance(p->base, 0.008);
    spectrum paint = paint_reflectance(p->base, p->height, p->centre, p->width);
    if (p->hair.scatter <= 0)
        return paint;
    spectrum hair = hair_reflectance(&p->hair);
    return spectrum_mean(&hair, &paint, 0.5);
}

/* --- light --------------------------------------------------------------------------------------------------------------------- */

/* Held within the head, so that the polynomial does not run away at the shoulders. */
static void head_coordinates(point p, double c[5])
{
    double x = (p.x - 0.62) / 0.16, y = (p.y - 0.48) / 0.36;
    x = tanh(x);
    y = tanh(y) * 1.2;
    double v[5] = { 1, x, y, x * y, y * y };
    memcpy(c, v, sizeof v);
}

static double field_at(const scene *s, point p)
{
    double c[5], sum = 0;
    head_coordinates(p, c);
    for (int k = 0; k < 5; k++)
        sum += s->field[k] * c[k];
    return sum;
}

static point middle(const item *i)
{
    return (point){ i->at.x + i->size.x / 2, i->at.y + i->size.y / 2 };
}

/* A smooth field whose standard deviation over the client zones is what was asked for, and whose mean there is none. */
static void choose_field(scene *s, dice *d)
{
    double sum = 0, square = 0;
    int n = 0;
    for (int k = 1; k < 5; k++)
        s->field[k] = dice_normal(d) / k;
    for (int i = 0; i < s->count; i++)
        if (item_is_client(&s->items[i])) {
            double v = field_at(s, middle(&s->items[i]));
            sum += v;
            square += v * v;
            n++;
        }
    double sd = n > 1 ? sqrt(square / n - sum * sum / n / n) : 0;
    for (int k = 1; k < 5; k++)
        s->field[k] *= sd > 0 ? s->o->spread / sd : 0;
    s->field[0] = n && sd > 0 ? -sum / n * s->o->spread / sd : 0;
}

static int zone_named(const scene *s, const char *name)
{
    for (int i = 0; i < s->count; i++)
        if (item_is_client(&s->items[i]) && strcmp(s->items[i].name, name) == 0)
            return i;
    return -1;
}

/* Hair 3 %, swatch 4 %, card 3 %; a neighbourhood 4 %, of which a swatch held there shares four fifths. */
static void choose_light(scene *s)
{
    dice d = dice_for((uint64_t)s->o->seed, "light");
    double j = s->o->jitter;
    double around[MAX_ZONES] = { 0 };
    choose_field(s, &d);
    for (int i = 0; i < s->count; i++) {
        item *it = &s->items[i];
        if (item_is_client(it)) {
            around[i] = 0.04 * j * dice_normal(&d);
            s->nearby[i] = around[i] + 0.03 * j * dice_normal(&d);
            it->light = exp(field_at(s, middle(it)) + s->nearby[i]);
            continue;
        }
        int zone = it->kind == ITEM_SWATCH ? zone_named(s, it->name) : -1;
        double own = (it->kind == ITEM_SWATCH ? 0.04 : 0.03) * j * dice_normal(&d);
        if (it->kind == ITEM_SWATCH && s->o->scene[0] == 'h')
            own += field_at(s, middle(it)) + (zone >= 0 ? 0.8 * around[zone] : 0);
        it->light = exp(own);
    }
}

/* 1 inside a box, falling smoothly to 0 at `reach` from it. */
static double near_box(const item *i, point p, double reach)
{
    double dx = fmax(fmax(i->at.x - p.x, p.x - i->at.x - i->size.x), 0);
    double dy = fmax(fmax(i->at.y - p.y, p.y - i->at.y - i->size.y), 0);
    double u = 1 - hypot(dx, dy) / reach;
    return u <= 0 ? 0 : u * u * (3 - 2 * u);
}

static double light_at(const scene *s, point p)
{
    double ln = field_at(s, p);
    for (int i = 0; i < s->count; i++)
        if (item_is_client(&s->items[i]))
            ln += s->nearby[i] * near_box(&s->items[i], p, 0.05);
    return exp(ln);
}

/* --- spots --------------------------------------------------------------------------------------------------------------------- */

static double step_between(double low, double high, double v)
{
    double u = (v - low) / (high - low);
    u = u < 0 ? 0 : u > 1 ? 1 : u;
    return u * u * (3 - 2 * u);
}

static double share_at(const scene *s, point p)
{
    const options *o = s->o;
    double share = o->gray_root + (o->gray_mid - o->gray_root) * step_between(0.22, 0.44, p.y);
    share += (o->gray_ends - o->gray_mid) * step_between(0.64, 0.74, p.y);
    /* The temple's gray runs on along the hair that grows there, thinning out. */
    double front = step_between(0.59, 0.555, p.x) * step_between(0.62, 0.34, p.y);
    return share + (o->gray_temple - share) * front;
}

static double band(double distance, double width)
{
    double u = distance / width;
    return u * u > 12 ? 0 : exp(-u * u / 2);
}

static spot head_spot(const void *context, point p, double u, double t, double shift)
{
    const scene *s = context;
    double edge = 1 - 0.55 * step_between(0.84, 1.04, u) - 0.25 * step_between(0.02, -0.06, u);
    double arch = p.y + shift - 0.12 * (p.x - 0.60) * (p.x - 0.60);
    spot out = { .light = edge * light_at(s, p) };
    out.share = share_at(s, p);
    double dry = 0.055 * band(arch - 0.222, 0.010) + 0.014 * band(arch - 0.234, 0.03) + 0.028 * band(arch - 0.655, 0.022);
    double wet = 0.25 * (band(arch - 0.168, 0.007) + band(arch - 0.280, 0.008) + band(arch - 0.545, 0.014) + band(arch - 0.755, 0.014));
    out.sheen = (s->o->sheen + 2 * s->o->wet) * dry + s->o->wet * wet;
    out.age = step_between(0.20, 0.42, p.y) + step_between(0.58, 0.80, p.y);
    (void)t;
    return out;
}

typedef struct hank {
    double light, share, sheen;
} hank;

static spot hank_spot(const void *context, point p, double u, double t, double shift)
{
    const hank *h = context;
    (void)p;
    double edge = 1 - 0.25 * step_between(0.88, 1, u) - 0.15 * step_between(0.12, 0, u);
    return (spot){ h->light * edge, h->share, h->sheen * band(t - 0.30 + shift, 0.05), 1 };
}

/* --- layout -------------------------------------------------------------------------------------------------------------------- */

static item *add(scene *s, item_kind kind, const char *name, point at, point size)
{
    if (s->count == MAX_ZONES)
        return NULL;
    item *i = &s->items[s->count++];
    *i = (item){ .kind = kind, .at = at, .size = size, .watch = -1, .light = 1, .shade = -1, .label = -1 };
    snprintf(i->name, sizeof i->name, "%s", name);
    return i;
}

static triple expected_lab(const palette *base, const palette *gray, double share)
{
    triple b = palette_xyz(base), g = palette_xyz(gray), mix;
    for (int k = 0; k < 3; k++)
        mix.v[k] = (1 - share) * b.v[k] + share * g.v[k];
    return xyz_lab(mix);
}

static double share_of_kind(const options *o, item_kind kind)
{
    switch (kind) {
    case ITEM_ROOT: return o->gray_root;
    case ITEM_MID: return o->gray_mid;
    case ITEM_ENDS: return o->gray_ends;
    default: return o->gray_temple;
    }
}

static void add_client_zones(scene *s)
{
    for (int k = 0; k < PLACES; k++) {
        if (!list_has(s->o->zones, places[k].name))
            continue;
        item *i = add(s, places[k].kind, places[k].name, places[k].at, places[k].size);
        i->share = share_of_kind(s->o, i->kind);
        i->expected = expected_lab(&s->base[i->kind == ITEM_ENDS ? 2 : i->kind == ITEM_MID ? 1 : 0], &s->gray, i->share);
    }
}

static bool is_held(const scene *s, int which)
{
    for (int i = 0; i < s->count; i++)
        if (s->items[i].kind == ITEM_SWATCH && s->items[i].shade == which)
            return true;
    return false;
}

/* The n-th of the listed codes, or one of the nearest that is not yet in the picture; -1: no such code. */
static int choose_shade(const scene *s, triple lab, int n, dice *d)
{
    const char *p = s->o->codes;
    char code[16];
    for (int k = 0; *p && k < n; k++) {
        p += strcspn(p, ",");
        p += *p == ',';
    }
    if (*p) {
        snprintf(code, sizeof code, "%.*s", (int)strcspn(p, ","), p);
        return catalogue_find(&s->catalogue, code);
    }
    int *order = malloc((size_t)s->catalogue.count * sizeof *order);
    if (!order)
        return -1;
    int count = catalogue_nearest(&s->catalogue, lab, order), found = -1;
    int rank = dice_below(d, (int)s->o->swatch_rank);
    for (int k = 0; k < count && (rank >= 0 || found < 0); k++)
        if (!is_held(s, order[k])) {
            found = order[k];
            rank--;
        }
    free(order);
    return found;
}

/* Another shade's code, 4 to 10 away, as a stylist's slip would be. */
static int wrong_label(const scene *s, int own)
{
    const catalogue *c = &s->catalogue;
    int best = own;
    double least = 1e9;
    for (int i = 0; i < c->count; i++) {
        double off = fabs(lab_difference(c->shades[i].label, c->shades[own].label) - 7);
        if (i != own && !c->shades[i].bead && !is_held(s, i) && off < least) {
            least = off;
            best = i;
        }
    }
    return best;
}

static bool add_swatch(scene *s, const item *zone, point at, dice *d, char *message, size_t size)
{
    int nth = 0;
    for (int i = 0; i < s->count; i++)
        nth += s->items[i].kind == ITEM_SWATCH;
    int which = choose_shade(s, zone->expected, nth, d);
    if (which < 0) {
        snprintf(message, size, "codes: no such shade, or the catalogue has too few; see the catalogue file");
        return false;
    }
    item *i = add(s, ITEM_SWATCH, zone->name, at, swatch_size);
    i->shade = i->label = which;
    if (list_has(s->o->mislabel, zone->name))
        i->label = wrong_label(s, which);
    i->expected = s->catalogue.shades[which].lab;
    return true;
}

static bool add_swatches(scene *s, char *message, size_t size)
{
    dice d = dice_for((uint64_t)s->o->seed, "swatches");
    const char *how = s->o->swatches;
    bool all = strcmp(how, "zones") == 0, two = strcmp(how, "two") == 0;
    int zones = s->count;
    if (strcmp(how, "mid") == 0) {
        int mid = zone_named(s, "mid");
        for (int k = 0; k < 4; k++)
            if (mid < 0 || !add_swatch(s, &s->items[mid], mid_swatches[k], &d, message, size))
                return false;
        return true;
    }
    for (int i = 0; i < zones; i++) {
        const item zone = s->items[i];
        if (!(all || two || list_has(how, zone.name)) || list_has(s->o->omit, zone.name))
            continue;
        for (int k = 0; k < PLACES; k++)
            if (strcmp(places[k].name, zone.name) == 0)
                for (int n = 0; n <= two; n++)
                    if (!add_swatch(s, &zone, places[k].swatch[n], &d, message, size))
                        return false;
    }
    return true;
}

static void add_card(scene *s, const char *name, point at, double level)
{
    item *i = add(s, ITEM_CARD, name, at, (point){ 0.10, 0.10 });
    spectrum r = card_reflectance(level);
    i->level = level;
    i->expected = xyz_lab(spectrum_xyz(&s->tables, &r));
}

static void add_cards(scene *s)
{
    bool three = strcmp(s->o->card, "three") == 0;
    if (three || strcmp(s->o->card, "gray") == 0)
        add_card(s, "gray card", (point){ 1.06, 0.55 }, 0.184);
    if (three) {
        add_card(s, "white card", (point){ 1.06, 0.42 }, 0.88);
        add_card(s, "black card", (point){ 1.06, 0.68 }, 0.04);
    }
}

/* The whole board of the target; its patches fill the middle. */
static void target_board(const scene *s, point corner[4])
{
    double a = s->o->target_turn * 3.141592653589793 / 180, w = 0.165, h = 0.115;
    point centre = { 1.09, 0.24 };
    static const double sx[4] = { -1, 1, 1, -1 }, sy[4] = { -1, -1, 1, 1 };
    static const double near[4] = { 1.0, 1.02, 0.99, 1.01 }; /* held not quite square to the camera */
    for (int k = 0; k < 4; k++) {
        double x = sx[k] * w * near[k], y = sy[k] * h * near[(k + 1) % 4];
        corner[k] = (point){ centre.x + x * cos(a) - y * sin(a), centre.y + x * sin(a) + y * cos(a) };
    }
}

#define TARGET_MARGIN 0.06

static void add_target(scene *s)
{
    static const double cu[4] = { 0.5 / TARGET_COLUMNS, 1 - 0.5 / TARGET_COLUMNS, 1 - 0.5 / TARGET_COLUMNS, 0.5 / TARGET_COLUMNS };
    static const double cv[4] = { 0.5 / TARGET_ROWS, 0.5 / TARGET_ROWS, 1 - 0.5 / TARGET_ROWS, 1 - 0.5 / TARGET_ROWS };
    item *i = add(s, ITEM_TARGET, "target", (point){ 0 }, (point){ 0 });
    point board[4];
    target_board(s, board);
    for (int k = 0; k < 4; k++)
        i->corner[k] = board_point(board, TARGET_MARGIN + (1 - 2 * TARGET_MARGIN) * cu[k], TARGET_MARGIN + (1 - 2 * TARGET_MARGIN) * cv[k]);
}

static bool add_sheet(scene *s, char *message, size_t size)
{
    dice d = dice_for((uint64_t)s->o->seed, "swatches");
    int rows = (int)s->o->grid_rows, columns = (int)s->o->grid_columns;
    for (int r = 0; r < rows; r++)
        for (int k = 0; k < columns; k++) {
            double w = 0.80 / columns, h = 0.80 / rows;
            item wanted = { .expected = { { dice_between(&d, 20, 70), 4, 10 } } };
            snprintf(wanted.name, sizeof wanted.name, "sheet");
            if (!add_swatch(s, &wanted, (point){ 0.10 + (k + 0.5) * w - 0.22 * w, 0.12 + r * h + 0.22 * h }, &d, message, size))
                return false;
            s->items[s->count - 1].size = (point){ 0.44 * w, 0.56 * h };
        }
    return true;
}

static bool watch_all(scene *s)
{
    for (int i = 0; i < s->count; i++) {
        item *it = &s->items[i];
        if (it->kind == ITEM_TARGET)
            continue;
        point p = frame_pixel(&s->frame, it->at);
        it->box = (rect){ (int)lround(p.x), (int)lround(p.y), (int)lround(it->size.x * s->frame.scale), (int)lround(it->size.y * s->frame.scale) };
        it->watch = canvas_watch(&s->canvas, it->box);
        if (it->watch < 0)
            return false;
    }
    return true;
}

static pigment scaled(pigment p, double factor)
{
    p.eu *= factor;
    p.ph *= factor;
    return p;
}

static bool make_palettes(scene *s)
{
    const options *o = s->o;
    catalogue salon;
    if (!catalogue_make(&salon, &s->tables, SALON_SHADES, 0, 1))
        return false;
    int base = catalogue_find(&salon, o->base);
    pigment p = salon.shades[base < 0 ? 0 : base].base;
    catalogue_free(&salon);
    if (base < 0)
        return false;
    p.eu = o->eu >= 0 ? o->eu : p.eu;
    p.ph = o->ph >= 0 ? o->ph : p.ph;
    p.scatter *= 1 - 0.35 * o->wet;
    pigment steps[3] = { scaled(p, 1 + o->root_darken), p, scaled(p, 1 - o->ends_lighten) };
    pigment gray = { .eu = o->gray_eu, .yellow = o->gray_yellow, .scatter = o->gray_scatter * (1 - 0.35 * o->wet) };
    for (int k = 0; k < 3; k++)
        s->base[k] = palette_make(&s->sensor, &steps[k], o->variation);
    s->gray = palette_make(&s->sensor, &gray, o->variation);
    return true;
}

static bool fail(char *message, size_t size, const char *text)
{
    snprintf(message, size, "%s", text);
    return false;
}

bool scene_make(scene *s, const options *o, char *message, size_t size)
{
    memset(s, 0, sizeof *s);
    s->o = o;
    if (!tables_read(&s->tables, REFERENCE_DIR))
        return fail(message, size, REFERENCE_DIR ": the published tables are missing");
    if (!camera_make(&s->camera, &s->sensor, &s->tables, o) || !catalogue_make(&s->catalogue, &s->tables, (int)o->catalogue, o->catalogue_error, (uint64_t)o->catalogue_seed))
        return fail(message, size, "no memory");
    if (!canvas_make(&s->canvas, (int)o->width, (int)o->height))
        return fail(message, size, "no memory for a picture of this size");
    if (!make_palettes(s))
        return fail(message, size, "base: no such shade in the salon's catalogue");
    double scale = fmin(o->width / (4.0 / 3), o->height);
    s->frame = (frame){ scale, (o->width - scale * 4 / 3) / 2, (o->height - scale) / 2 };
    bool head = strcmp(o->scene, "head") == 0;
    if (head)
        add_client_zones(s);
    if (!(head ? add_swatches(s, message, size) : add_sheet(s, message, size)))
        return false;
    add_cards(s);
    if (o->target > 0)
        add_target(s);
    if (!watch_all(s))
        return fail(message, size, "the picture is too small, or two zones overlap");
    choose_light(s);
    return true;
}

void scene_free(scene *s)
{
    catalogue_free(&s->catalogue);
    canvas_free(&s->canvas);
}

/* --- drawing ------------------------------------------------------------------------------------------------------------------- */

static void draw_head_hair(scene *s)
{
    dice d = dice_for((uint64_t)s->o->client, "hair");
    tress t = { .sheet = &far_side, .frame = s->frame, .base = { &s->base[0], &s->base[1], &s->base[2] }, .gray = &s->gray, .fibre = s->o->fibre,
        .lock_half = 0.06, .layers = 3, .clump = 0.1, .wave = 0.01, .gap_light = 0.30, .ragged = 0.02, .spot = head_spot, .context = s };
    tress_draw(&s->canvas, &t, &d);
    t.sheet = &near_side;
    t.lock_half = 0.032;
    t.layers = 2.6;
    t.clump = 0.55 + 0.25 * s->o->wet;
    t.wave = 0.030;
    t.gap_light = 0.22;
    t.ragged = 0.06;
    tress_draw(&s->canvas, &t, &d);
    tress_flyaway(&s->canvas, &t, 40, &d);
}

static void hank_sheet(sheet *out, point at, point size, double tilt)
{
    *out = (sheet){ .guides = 3, .width = size.x };
    for (int g = 0; g < 3; g++)
        for (int k = 0; k < GUIDE_POINTS; k++) {
            double t = (double)k / (GUIDE_POINTS - 1), spreadout = 1 + 0.10 * t;
            out->guide[g][k] = (point){ at.x + size.x * (0.5 + spreadout * (g - 1) / 2.0) + tilt * (t - 0.5) * size.y, at.y + t * size.y };
        }
}

static void draw_swatch(scene *s, const item *i, dice *d)
{
    const shade *own = &s->catalogue.shades[i->shade];
    palette base = palette_make(&s->sensor, &own->base, HANK_VARIATION), gray = palette_make(&s->sensor, &own->gray, HANK_VARIATION);
    point at = { i->at.x - 0.14 * i->size.x, i->at.y - 0.16 * i->size.y }, size = { 1.28 * i->size.x, 1.38 * i->size.y };
    sheet strip;
    hank_sheet(&strip, at, size, fmax(-0.08, fmin(0.08, 0.03 * dice_normal(d))));
    backdrop_under_swatch(s, at, size);
    hank h = { .light = i->light, .share = own->share, .sheen = 0.02 * s->o->sheen };
    tress t = { .sheet = &strip, .frame = s->frame, .base = { &base, &base, &base }, .gray = own->share > 0 ? &gray : NULL, .fibre = s->o->fibre,
        .lock_half = 0.13, .layers = 3, .clump = 0.15, .wave = 0.03, .gap_light = 0.3, .ragged = 0.10, .spot = hank_spot, .context = &h };
    tress_draw(&s->canvas, &t, d);
    backdrop_tag(s, at, size);
}

typedef struct board {
    const scene *scene;
    tint patch[PATCHES];
    float edge[3];
    double light, gradient;
} board;

static void card_signal(const void *context, double u, double v, float signal[3])
{
    const board *b = context;
    float light = (float)(b->light * (1 + b->gradient * (0.7 * (u - 0.5) + 0.3 * (v - 0.5))));
    for (int k = 0; k < 3; k++)
        signal[k] = light * b->patch[0].camera[k];
}

static void draw_card(scene *s, const item *i)
{
    spectrum r = card_reflectance(i->level);
    board b = { .scene = s, .light = i->light, .gradient = s->o->card_gradient };
    b.patch[0] = sensor_tint(&s->sensor, &r);
    double m = 0.006;
    point c[4] = { { i->at.x - m, i->at.y - m }, { i->at.x + i->size.x + m, i->at.y - m }, { i->at.x + i->size.x + m, i->at.y + i->size.y + m },
        { i->at.x - m, i->at.y + i->size.y + m } };
    backdrop_under_board(s, c);
    paint_board(&s->canvas, &s->frame, c, card_signal, &b);
}

static void target_signal(const void *context, double u, double v, float signal[3])
{
    const board *b = context;
    double x = (u - TARGET_MARGIN) / (1 - 2 * TARGET_MARGIN) * TARGET_COLUMNS, y = (v - TARGET_MARGIN) / (1 - 2 * TARGET_MARGIN) * TARGET_ROWS;
    int i = (int)floor(x), j = (int)floor(y);
    double fx = x - i, fy = y - j;
    bool inside = i >= 0 && i < TARGET_COLUMNS && j >= 0 && j < TARGET_ROWS && fx > 0.08 && fx < 0.92 && fy > 0.08 && fy < 0.92;
    const float *colour = inside ? b->patch[j * TARGET_COLUMNS + i].camera : b->edge;
    float light = (float)(b->light * (1 + b->gradient * (0.7 * (u - 0.5) + 0.3 * (v - 0.5))));
    for (int k = 0; k < 3; k++)
        signal[k] = light * colour[k];
}

static void draw_target(scene *s, const item *i)
{
    board b = { .scene = s, .light = i->light, .gradient = s->o->card_gradient };
    point corner[4];
    for (int k = 0; k < PATCHES; k++) {
        spectrum r = patch_reflectance(k);
        b.patch[k] = sensor_tint(&s->sensor, &r);
    }
    spectrum edge = flat_reflectance(0.07, 0);
    tint t = sensor_tint(&s->sensor, &edge);
    memcpy(b.edge, t.camera, sizeof b.edge);
    target_board(s, corner);
    backdrop_under_board(s, corner);
    paint_board(&s->canvas, &s->frame, corner, target_signal, &b);
}

bool scene_draw(scene *s)
{
    dice d = dice_for((uint64_t)s->o->seed, "swatch hair");
    bool head = strcmp(s->o->scene, "head") == 0;
    if (!(head ? backdrop_person(s) : backdrop_table(s)))
        return false;
    if (head)
        draw_head_hair(s);
    for (int i = 0; i < s->count; i++)
        switch (s->items[i].kind) {
        case ITEM_SWATCH: draw_swatch(s, &s->items[i], &d); break;
        case ITEM_CARD: draw_card(s, &s->items[i]); break;
        case ITEM_TARGET: draw_target(s, &s->items[i]); break;
        default: break;
        }
    for (int i = 0; i < s->count; i++)
        if (s->items[i].watch >= 0)
            s->items[i].truth = canvas_truth(&s->canvas, s->items[i].watch);
    return true;
}

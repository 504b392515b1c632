#include "scene.h"

#include "backdrop.h"
#include "light.h"
#include "target.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef REFERENCE_DIR
#define REFERENCE_DIR "reference"
#endif

static bool fail(scene *s, const char *text)
{
    snprintf(s->fault, sizeof s->fault, "%s", text);
    return false;
}

/* --- the head
 * ------------------------------------------------------------------------------------------------------------------ */

/* The near side of the hair of a client who looks to the left, front to back; the parting runs along the first points.
 */
static const sheet near_side = { 7,
                                 { { { .515, .150 },
                                     { .487, .200 },
                                     { .478, .265 },
                                     { .485, .335 },
                                     { .497, .420 },
                                     { .505, .520 },
                                     { .510, .640 },
                                     { .505, .760 },
                                     { .500, .880 } },
                                   { { .555, .128 },
                                     { .535, .185 },
                                     { .528, .255 },
                                     { .532, .335 },
                                     { .540, .425 },
                                     { .548, .525 },
                                     { .553, .645 },
                                     { .550, .770 },
                                     { .545, .905 } },
                                   { { .600, .112 },
                                     { .590, .172 },
                                     { .586, .250 },
                                     { .588, .335 },
                                     { .592, .430 },
                                     { .597, .530 },
                                     { .600, .650 },
                                     { .598, .775 },
                                     { .592, .915 } },
                                   { { .650, .103 },
                                     { .652, .165 },
                                     { .652, .245 },
                                     { .650, .335 },
                                     { .648, .430 },
                                     { .648, .535 },
                                     { .648, .655 },
                                     { .645, .780 },
                                     { .640, .918 } },
                                   { { .685, .102 },
                                     { .710, .150 },
                                     { .722, .235 },
                                     { .722, .335 },
                                     { .712, .435 },
                                     { .704, .540 },
                                     { .698, .660 },
                                     { .692, .780 },
                                     { .684, .912 } },
                                   { { .705, .104 },
                                     { .755, .140 },
                                     { .786, .225 },
                                     { .792, .335 },
                                     { .776, .440 },
                                     { .758, .545 },
                                     { .746, .660 },
                                     { .738, .780 },
                                     { .728, .900 } },
                                   { { .715, .106 },
                                     { .785, .130 },
                                     { .833, .215 },
                                     { .842, .335 },
                                     { .825, .445 },
                                     { .800, .550 },
                                     { .785, .660 },
                                     { .775, .775 },
                                     { .762, .885 } } },
                                 .30 };

/* What shows of the other side, above the parting. */
static const sheet far_side = { 4,
                                { { { .513, .147 },
                                    { .508, .147 },
                                    { .503, .148 },
                                    { .498, .150 },
                                    { .493, .153 },
                                    { .488, .157 },
                                    { .484, .162 },
                                    { .480, .168 },
                                    { .477, .175 } },
                                  { { .553, .124 },
                                    { .548, .121 },
                                    { .542, .119 },
                                    { .535, .118 },
                                    { .528, .119 },
                                    { .521, .121 },
                                    { .514, .124 },
                                    { .507, .129 },
                                    { .500, .135 } },
                                  { { .618, .105 },
                                    { .614, .101 },
                                    { .609, .097 },
                                    { .603, .095 },
                                    { .596, .094 },
                                    { .588, .094 },
                                    { .580, .096 },
                                    { .571, .099 },
                                    { .562, .104 } },
                                  { { .714, .103 },
                                    { .710, .098 },
                                    { .705, .093 },
                                    { .699, .089 },
                                    { .691, .087 },
                                    { .682, .086 },
                                    { .672, .086 },
                                    { .662, .087 },
                                    { .651, .089 } } },
                                .12 };

typedef struct place {
    item_kind kind;
    const char *name;
    point at, size;
    point swatch[2]; /* two places for swatches held at it */
    double clear;    /* left unmarked at its lower edge: there hangs the tag of the swatch below */
} place;

static const place places[] = {
    { ITEM_ROOT, "crown", { .585, .134 }, { .090, .075 }, { { .700, .145 }, { .756, .190 } }, .009 },
    { ITEM_GRAY, "temple", { .490, .235 }, { .065, .090 }, { { .566, .235 }, { .622, .235 } }, 0 },
    { ITEM_MID, "mid", { .590, .500 }, { .085, .110 }, { { .690, .500 }, { .744, .505 } }, 0 },
    { ITEM_ENDS, "ends", { .590, .715 }, { .085, .095 }, { { .686, .720 }, { .736, .725 } }, 0 },
};
enum { PLACES = sizeof places / sizeof places[0] };
static const point swatch_size = { .040, .085 };
static const point mid_swatches[4] = { { .688, .440 }, { .688, .560 }, { .742, .440 }, { .742, .560 } };

bool item_is_client(const item *i)
{
    return i->kind <= ITEM_GRAY;
}

/* --- spots
 * ---------------------------------------------------------------------------------------------------------------------
 */

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
    double dry =
        0.055 * band(arch - 0.222, 0.010) + 0.014 * band(arch - 0.234, 0.03) + 0.028 * band(arch - 0.655, 0.022);
    double wet = 0.25 * (band(arch - 0.168, 0.007) + band(arch - 0.280, 0.008) + band(arch - 0.545, 0.014) +
                         band(arch - 0.755, 0.014));
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

int scene_zone(const scene *s, const char *name)
{
    for (int i = 0; i < s->count; i++)
        if (item_is_client(&s->items[i]) && strcmp(s->items[i].name, name) == 0)
            return i;
    return -1;
}

/* --- layout
 * --------------------------------------------------------------------------------------------------------------------
 */

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
        i->clear = places[k].clear;
        i->share = share_of_kind(s->o, i->kind);
        i->expected = expected_lab(&s->base[i->kind == ITEM_ENDS  ? 2
                                            : i->kind == ITEM_MID ? 1
                                                                  : 0],
                                   &s->gray, i->share);
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

static bool add_swatch(scene *s, const item *zone, point at, dice *d)
{
    int nth = 0;
    bool first = true;
    for (int i = 0; i < s->count; i++)
        if (s->items[i].kind == ITEM_SWATCH) {
            nth++;
            first = first && strcmp(s->items[i].name, zone->name) != 0;
        }
    int which = choose_shade(s, zone->expected, nth, d);
    if (which < 0)
        return fail(s, "codes: no such shade, or the catalogue has too few; see the catalogue file");
    item *i = add(s, ITEM_SWATCH, zone->name, at, swatch_size);
    i->shade = i->label = which;
    if (first && list_has(s->o->mislabel, zone->name))
        i->label = wrong_label(s, which);
    i->expected = s->catalogue.shades[which].lab;
    return true;
}

static bool add_swatches(scene *s)
{
    dice d = dice_for((uint64_t)s->o->seed, "swatches");
    const char *how = s->o->swatches;
    bool all = strcmp(how, "zones") == 0, two = strcmp(how, "two") == 0;
    int zones = s->count;
    if (strcmp(how, "mid") == 0) {
        int mid = scene_zone(s, "mid");
        for (int k = 0; k < 4; k++)
            if (mid < 0 || !add_swatch(s, &s->items[mid], mid_swatches[k], &d))
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
                    if (!add_swatch(s, &zone, places[k].swatch[n], &d))
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
    if (strcmp(s->o->card, "white") == 0)
        add_card(s, "white paper", (point){ 1.06, 0.55 }, 0.86);
    if (three) {
        add_card(s, "white card", (point){ 1.06, 0.42 }, 0.88);
        add_card(s, "black card", (point){ 1.06, 0.68 }, 0.04);
    }
}

static void add_target(scene *s)
{
    item *i = add(s, ITEM_TARGET, "target", (point){ 0, 0 }, (point){ 0, 0 });
    target_centres(s, i->corner);
}

static bool add_sheet(scene *s)
{
    dice d = dice_for((uint64_t)s->o->seed, "swatches");
    int rows = (int)s->o->grid_rows, columns = (int)s->o->grid_columns;
    for (int r = 0; r < rows; r++)
        for (int k = 0; k < columns; k++) {
            double w = SHEET_SIDE / columns, h = SHEET_SIDE / rows;
            item wanted = { .expected = { { dice_between(&d, 20, 70), 4, 10 } } };
            snprintf(wanted.name, sizeof wanted.name, "sheet");
            if (!add_swatch(s, &wanted, (point){ SHEET_X + (k + 0.28) * w, SHEET_Y + (r + 0.24) * h }, &d))
                return false;
            s->items[s->count - 1].size = (point){ 0.44 * w, 0.56 * h };
        }
    return true;
}

/* Every word of a list of zones must be one of ours: a typing error would quietly leave a zone out. */
static bool names_places(const char *list)
{
    while (*list) {
        size_t n = strcspn(list, ",");
        bool known = false;
        for (int k = 0; k < PLACES; k++)
            known = known || (strlen(places[k].name) == n && strncmp(places[k].name, list, n) == 0);
        if (!known)
            return false;
        list += n;
        list += *list == ',';
    }
    return true;
}

static bool lists_are_known(const options *o)
{
    bool keyword = list_has("none,zones,two,mid", o->swatches);
    return names_places(o->zones) && names_places(o->omit) && names_places(o->mislabel) &&
           (keyword || names_places(o->swatches));
}

static bool watch_all(scene *s)
{
    for (int i = 0; i < s->count; i++) {
        item *it = &s->items[i];
        if (it->kind == ITEM_TARGET)
            continue;
        point p = frame_pixel(&s->frame, it->at);
        it->box = (rect){ (int)lround(p.x), (int)lround(p.y), (int)lround(it->size.x * s->frame.scale),
                          (int)lround((it->size.y - it->clear) * s->frame.scale) };
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

bool scene_make(scene *s, const options *o)
{
    memset(s, 0, sizeof *s);
    s->o = o;
    if (!tables_read(&s->tables, REFERENCE_DIR))
        return fail(s, REFERENCE_DIR ": the published tables are missing");
    if (!camera_make(&s->camera, &s->sensor, &s->tables, o) ||
        !catalogue_make(&s->catalogue, &s->tables, (int)o->catalogue, o->catalogue_error, (uint64_t)o->catalogue_seed))
        return fail(s, "no memory");
    if (!canvas_make(&s->canvas, (int)o->width, (int)o->height))
        return fail(s, "no memory for a picture of this size");
    if (!make_palettes(s))
        return fail(s, "base: no such shade in the salon's catalogue");
    double scale = fmin(o->width / (4.0 / 3), o->height);
    s->frame = (frame){ scale, (o->width - scale * 4 / 3) / 2, (o->height - scale) / 2 };
    bool head = strcmp(o->scene, "head") == 0;
    if (!lists_are_known(o))
        return fail(s, "zones, swatches, omit, mislabel: zones are crown, temple, mid, ends");
    if (head)
        add_client_zones(s);
    if (!(head ? add_swatches(s) : add_sheet(s)))
        return false;
    add_cards(s);
    if (o->target > 0)
        add_target(s);
    if (!watch_all(s))
        return fail(s, "the picture is too small, or two zones overlap");
    light_choose(s);
    return true;
}

void scene_free(scene *s)
{
    catalogue_free(&s->catalogue);
    canvas_free(&s->canvas);
}

/* --- drawing
 * -------------------------------------------------------------------------------------------------------------------
 */

static void draw_head_hair(scene *s)
{
    dice d = dice_for((uint64_t)s->o->client, "hair");
    tress t = { .sheet = &far_side,
                .frame = s->frame,
                .base = { &s->base[0], &s->base[1], &s->base[2] },
                .gray = &s->gray,
                .fibre = s->o->fibre,
                .lock_half = 0.06,
                .lock_light = 0.07,
                .layers = 3,
                .clump = 0.1,
                .wave = 0.01,
                .gap_light = 0.30,
                .ragged = 0.02,
                .plain = s->o->plain > 0,
                .spot = head_spot,
                .context = s };
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
            out->guide[g][k] = (point){ at.x + size.x * (0.5 + spreadout * (g - 1) / 2.0) + tilt * (t - 0.5) * size.y,
                                        at.y + t * size.y };
        }
}

static void draw_swatch(scene *s, const item *i, dice *d)
{
    const shade *own = &s->catalogue.shades[i->shade];
    palette base = palette_make(&s->sensor, &own->base, HANK_VARIATION),
            gray = palette_make(&s->sensor, &own->gray, HANK_VARIATION);
    point at = { i->at.x - 0.14 * i->size.x, i->at.y - 0.16 * i->size.y },
          size = { 1.28 * i->size.x, 1.38 * i->size.y };
    sheet strip;
    hank_sheet(&strip, at, size, fmax(-0.08, fmin(0.08, 0.03 * dice_normal(d))));
    backdrop_under_swatch(s, at, size);
    hank h = { .light = i->light, .share = own->share, .sheen = 0.02 * s->o->sheen };
    tress t = { .sheet = &strip,
                .frame = s->frame,
                .base = { &base, &base, &base },
                .gray = own->share > 0 ? &gray : NULL,
                .fibre = s->o->fibre,
                .lock_half = 0.13,
                .lock_light = 0.03,
                .layers = 3,
                .clump = 0.15,
                .wave = 0.03,
                .gap_light = 0.3,
                .ragged = 0.10,
                .plain = s->o->plain > 0,
                .spot = hank_spot,
                .context = &h };
    tress_draw(&s->canvas, &t, d);
    backdrop_tag(s, at, size);
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
        case ITEM_CARD: target_draw_card(s, &s->items[i]); break;
        case ITEM_TARGET: target_draw(s, &s->items[i]); break;
        default: break;
        }
    for (int i = 0; i < s->count; i++)
        if (s->items[i].watch >= 0)
            s->items[i].truth = canvas_truth(&s->canvas, s->items[i].watch);
    return true;
}

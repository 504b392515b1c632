#include "support/report_model.h"
#include "support/stack.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "measure/warnings.h"
#include "report/figure.h"
#include "report/raster.h"

const char MODEL_HOSTILE_TEXT[] =
    "</title></svg><script>alert(1)</script>\"'`&amp;\xe2\x80\xa8<img src=x onerror=alert(2)> \xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d ";

enum {
    WIDTH = 1200,
    HEIGHT = 900,
    HALF = 2
}; /* of the photo; the zones below lie on it; the picture of it is half as large */

#define SET(to, from) snprintf(to, sizeof to, "%s", from)

static void *room(size_t count, size_t size)
{
    void *p = calloc(count, size);
    if (!p)
        abort();
    return p;
}

/* ---- a photo ---- */

static double noise(uint32_t x, uint32_t seed)
{
    uint32_t h = x * 2654435761u ^ seed * 2246822519u;
    h = (h ^ h >> 15) * 2654435761u;
    return (double)(h >> 16) / 65536.0;
}

static wm_lab scene(int x, int y)
{
    static const struct {
        int x, y;
        wm_lab lab;
    } SWATCHES[] = { { 900, 180, { 27.5, 6.2, 14.1 } }, { 900, 330, { 68, 1.5, 5 } }, { 900, 480, { 34, 7, 16 } } };
    for (size_t i = 0; i < 3; i++)
        if (x >= SWATCHES[i].x && x < SWATCHES[i].x + 140 && y >= SWATCHES[i].y && y < SWATCHES[i].y + 80)
            return SWATCHES[i].lab;
    if (hypot((x - 560) / 105.0, (y - 400) / 145.0) < 1)
        return (wm_lab){ 70, 14, 18 };
    if (hypot((x - 560) / 270.0, (y - 480) / 420.0) < 1) {
        uint32_t strand = (uint32_t)(x + 3 * sin(y / 60.0));
        bool gray = noise(strand, 2) < (x < 460 && y < 520 ? 0.35 : 0.03);
        double bright = 0.8 + 0.4 * noise(strand, 1);
        return gray ? (wm_lab){ 66 * bright, 1.5, 6 } : (wm_lab){ (24 + 12 * y / 900.0) * bright, 6, 14 };
    }
    return (wm_lab){ 80, 0, 1 };
}

static wm_pixel_class class_at(int x, int y, double L)
{
    if (x < 320 || x >= 440 || y < 330 || y >= 480)
        return WM_CLASS_OUTSIDE;
    if (y > 460)
        return WM_CLASS_SHEEN;
    if (y < 340)
        return WM_CLASS_SKIN;
    if (x < 328)
        return WM_CLASS_CLIPPED;
    return L > 48 ? WM_CLASS_GRAY : L > 33 ? WM_CLASS_MIXED : L < 22 ? WM_CLASS_GAP : WM_CLASS_BASE;
}

static void draw(wm_report_pictures *out)
{
    wm_picture picture = { WIDTH / HALF, HEIGHT / HALF, room((size_t)WIDTH * HEIGHT / HALF / HALF, 3) };
    unsigned char *map = room((size_t)WIDTH * HEIGHT / HALF / HALF, 4);
    for (int y = 0; y < picture.height; y++)
        for (int x = 0; x < picture.width; x++) {
            wm_lab lab = scene(HALF * x, HALF * y);
            wm_srgb8 c = wm_lab_to_srgb8(lab);
            memcpy(picture.data + 3 * (y * picture.width + x), &c, 3);
            wm_figure_class(map + 4 * (y * picture.width + x), class_at(HALF * x, HALF * y, lab.L), x, y);
        }
    if (wm_raster_jpeg(&out->photo_jpeg, &picture, NULL) ||
        wm_raster_png(&out->gray_map_png, map, picture.width, picture.height, NULL))
        abort();
    free(map);
    wm_picture_free(&picture);
}

static void mark(wm_report_pictures *out, const char *zones)
{
    size_t size = strlen(zones);
    out->zones_json.data = room(size + 1, 1);
    memcpy(out->zones_json.data, zones, size);
    out->zones_json.size = size;
}

static const char ZONES[] =
    "{\"format\":1,\"photo\":\"spring.jpg\",\"zones\":["
    "{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[500,110,120,80]},"
    "{\"kind\":\"mid\",\"name\":\"mid\",\"rect\":[700,470,90,140],\"gray_free\":true},"
    "{\"kind\":\"ends\",\"name\":\"ends\",\"polygon\":[[480,720],[640,720],[620,860],[500,860]]},"
    "{\"kind\":\"gray\",\"name\":\"left temple\",\"rect\":[320,330,120,150]},"
    "{\"kind\":\"swatch\",\"code\":\"fern\",\"at\":\"mid\",\"rect\":[900,180,140,80]},"
    "{\"kind\":\"swatch\",\"code\":\"mist\",\"at\":\"left temple\",\"rect\":[900,330,140,80]},"
    "{\"kind\":\"swatch\",\"code\":\"bark\",\"at\":\"crown\",\"rect\":[900,480,140,80]},"
    "{\"kind\":\"card\",\"rect\":[60,700,120,120]}]}";

/* ---- numbers ---- */

static const struct {
    const char *code, *name;
    wm_lab lab;
} SHADES[] = { { "fern", "Fern brown", { 27.5, 6.2, 14.1 } },
               { "bark", "Bark", { 31.0, 7.4, 15.2 } },
               { "mist", "Mist gray", { 68.0, 1.5, 5.0 } },
               { "oat", "Oat", { 58.0, 4.1, 19.0 } },
               { "slate", "", { 40.0, 0.6, 1.2 } },
               { "rust", "Rust, ready mixed", { 33.0, 14.0, 19.0 } },
               { "dusk", "Dusk, one third gray", { 36.1, 4.4, 10.2 } } };
enum { SHADE_COUNT = sizeof SHADES / sizeof SHADES[0] };

static void head(wm_report *r)
{
    SET(r->made_at, "2024-03-14T10:20:00Z");
    SET(r->version, "0.1.0");
    SET(r->lcms, "2.14");
    SET(r->sqlite, "3.40.1");
    SET(r->photo.file, "spring.jpg");
    SET(r->photo.sha256, "3f2a90d1c4b58e7766a1f0e2d3c4b5a697887766554433221100ffeeddccbbaa");
    r->photo.width = WIDTH, r->photo.height = HEIGHT, r->photo.orientation = 1;
    SET(r->photo.profile, "Display P3");
    SET(r->photo.camera, "Meadow P4");
    SET(r->photo.taken, "2024-03-14T09:58:12");
    SET(r->salon, "Fern and Linen");
    SET(r->client, "Anna Berg");
}

static void zones(wm_report *r, double doubt)
{
    static const wm_report_zone MEASURED[] = {
        { .kind = WM_ZONE_ROOT,
          .name = "crown",
          .body = { { 27.9, 6.0, 13.2 }, { 0.7, 0.4, 0.5 }, 0.9, WM_CLAIM_NAME, 9600, 8011 },
          .sd = { 5, 1, 2 },
          .gray_status = WM_GRAY_LOW,
          .has_share = true,
          .share = 0.05,
          .u_share = 0.04,
          .base_known = true,
          .base = { .lab = { 27.1, 6.2, 13.9 } } },
        { .kind = WM_ZONE_MID,
          .name = "mid",
          .body = { { 28.4, 6.3, 14.3 }, { 0.8, 0.5, 0.6 }, 1.0, WM_CLAIM_NAME, 12600, 11840 },
          .sd = { 5, 1, 2 },
          .gray_status = WM_GRAY_NONE_SEEN,
          .has_share = true,
          .share = 0.01,
          .u_share = 0.03,
          .base_known = true,
          .base = { .lab = { 28.3, 6.3, 14.3 } } },
        { .kind = WM_ZONE_ENDS,
          .name = "ends",
          .body = { { 33.2, 7.5, 16.1 }, { 1.4, 0.7, 0.9 }, 1.6, WM_CLAIM_NAME, 19600, 18222 },
          .sd = { 6, 1, 2 },
          .gray_status = WM_GRAY_NOT_RESOLVED },
        { .kind = WM_ZONE_GRAY,
          .name = "left temple",
          .body = { { 35.1, 5.2, 11.4 }, { 0.8, 0.5, 0.6 }, 1.1, WM_CLAIM_NAME, 18000, 15102 },
          .sd = { 14, 2, 3 },
          .gray_status = WM_GRAY_MEASURED,
          .has_share = true,
          .share = 0.31,
          .u_share = 0.05,
          .base_known = true,
          .base = { .lab = { 27.6, 6.1, 14.0 } },
          .gray_known = true,
          .gray = { .lab = { 64.2, 1.2, 6.8 } } }
    };
    r->zone_count = sizeof MEASURED / sizeof MEASURED[0];
    r->zones = room(r->zone_count, sizeof *r->zones);
    memcpy(r->zones, MEASURED, sizeof MEASURED);
    for (size_t i = 0; i < r->zone_count; i++) {
        r->zones[i].body.sigma.L *= doubt;
        r->zones[i].body.u_de00 *= doubt;
        r->zones[i].body.claim = wm_claim_of(r->zones[i].body.u_de00);
    }
}

static void aids(wm_report *r)
{
    static const wm_report_aid USED[] = { { "swatch fern", { 29.4, 5.1, 12.0 }, { 27.5, 6.2, 14.1 } },
                                          { "swatch mist", { 66.0, 1.9, 7.6 }, { 68, 1.5, 5 } },
                                          { "swatch bark", { 32.9, 6.0, 13.0 }, { 31, 7.4, 15.2 } } };
    wm_report_calibration *c = &r->calibration;
    c->aid = WM_AIDS_CARD_SWATCHES;
    c->stage1 = (wm_stage1){ .kind = WM_STAGE1_GAIN, .gain = { 1.2, 1.1, 1.4 } };
    c->has_agreement = true;
    c->agreement = 1.12;
    c->used_count = sizeof USED / sizeof USED[0];
    c->used = room(c->used_count, sizeof *c->used);
    memcpy(c->used, USED, sizeof USED);
    c->dropped_count = 1;
    c->dropped = room(1, sizeof *c->dropped);
    SET(c->dropped[0].zone, "swatch oat");
    SET(c->dropped[0].why, "does not agree with the other swatches; check its code");
}

/* Ranks by the formulas of the library, without its module: what is tested is how it is written. */
static void ranking(wm_report *r, const char *target, wm_lab lab, double u)
{
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    r->rankings = realloc(r->rankings, (r->ranking_count + 1) * sizeof *r->rankings);
    if (!r->rankings)
        abort();
    wm_report_ranking *k = &r->rankings[r->ranking_count++];
    *k = (wm_report_ranking){ .has_lab = true,
                              .lab = lab,
                              .claim = wm_claim_of(u),
                              .count = SHADE_COUNT,
                              .items = room(SHADE_COUNT, sizeof *k->items) };
    SET(k->target, target);
    for (size_t i = 0; i < SHADE_COUNT; i++) {
        wm_report_match m = {
            .lab = SHADES[i].lab, .de00 = wm_de00(lab, SHADES[i].lab), .u_de00 = hypot(u, 0.6), .in_stock = i % 2 == 0
        };
        SET(m.code, SHADES[i].code);
        SET(m.name, SHADES[i].name);
        wm_words(m.words, lab, m.lab);
        m.d_lightness = m.lab.L - lab.L;
        m.d_chroma = hypot(m.lab.a, m.lab.b) - hypot(lab.a, lab.b);
        m.d_hue = 2 * sin((atan2(m.lab.b, m.lab.a) - atan2(lab.b, lab.a)) / 2) *
                  sqrt(hypot(m.lab.a, m.lab.b) * hypot(lab.a, lab.b));
        m.verdict = wm_verdict_of(m.de00, &limits);
        size_t at = i;
        for (; at > 0 && k->items[at - 1].de00 > m.de00; at--)
            k->items[at] = k->items[at - 1];
        k->items[at] = m;
    }
    for (size_t i = 0; i < k->count; i++)
        k->items[i].tied_with_best = k->items[i].de00 - k->items[0].de00 < 1.4;
}

static void rankings(wm_report *r, double doubt)
{
    ranking(r, "base", (wm_lab){ 28.6, 6.4, 14.2 }, 1.1 * doubt);
    ranking(r, "gray_fibres", (wm_lab){ 64.2, 1.2, 6.8 }, 1.3 * doubt);
    ranking(r, "bead", (wm_lab){ 27.9, 6.0, 13.2 }, 0.9 * doubt);
    ranking(r, "left temple", (wm_lab){ 35.1, 5.2, 11.4 }, 1.1 * doubt);
    SET(r->rankings[1].said, "The gray fibres of left temple alone, not its overall colour.");
}

static void shade(wm_report_shade *out, size_t i, wm_role role, double de00)
{
    SET(out->code, SHADES[i].code);
    SET(out->name, SHADES[i].name);
    out->lab = SHADES[i].lab;
    out->role = role;
    out->de00 = de00;
}

/* Three layers: a whole one of fern, or one with a piece of mist over `sixths` of it. */
static void layers(wm_report_segment *s, const int sixths[3])
{
    s->layer_count = 3;
    for (size_t i = 0; i < 3; i++) {
        wm_report_layer *l = &s->layers[i];
        SET(l->layer.code, SHADES[0].code);
        if (sixths[i] == 0)
            continue;
        SET(l->layer.second, SHADES[2].code);
        l->layer.second_share = sixths[i] / 6.0;
        l->layer.pieces = wm_layer_pieces(sixths[i], s->length_cm);
        l->piece_cm = s->length_cm * l->layer.second_share / l->layer.pieces;
    }
}

static wm_report_row row_of_pieces(double arc_cm)
{
    wm_report_row row = { .place = WM_PLACE_BACK, .arc_cm = arc_cm, .row_cm = arc_cm - 5, .count = 2 };
    row.segments[0] = (wm_report_segment){ .place = WM_PLACE_SIDE,
                                           .length_cm = 6,
                                           .sides = 2,
                                           .target = { 35.1, 5.2, 11.4 },
                                           .target_base = { 28.6, 6.4, 14.2 },
                                           .target_gray = { 64.2, 1.2, 6.8 },
                                           .target_share = 0.31,
                                           .seen = { { 34.4, 5.3, 10.9 }, { 34.0, 5.4, 11.2 } },
                                           .far = 1.31,
                                           .near = 2.6 };
    row.segments[1] = row.segments[0];
    row.segments[1].place = WM_PLACE_BACK;
    row.segments[1].length_cm = row.row_cm - 12;
    row.segments[1].sides = 1;
    row.segments[1].far = 1.02;
    row.segments[1].target_share = 0.08;
    layers(&row.segments[0], (const int[3]){ 3, 0, 3 });
    layers(&row.segments[1], (const int[3]){ 0, 2, 0 });
    return row;
}

static wm_report_proposal pieces(void)
{
    wm_report_proposal p = { .shade_count = 2,
                             .layers = 3,
                             .pieces = 6,
                             .row_count = 2,
                             .gap = 1.8,
                             .far = 1.31,
                             .near = 2.2,
                             .verdict = WM_VERDICT_MATCH,
                             .p = { 0.8125, 0.9844, 1 },
                             .best_in_10 = 8,
                             .why =
                                 "Nearer to her hair than dusk alone, from afar and near together: 1.8 against 2.5." };
    shade(&p.shades[0], 0, WM_ROLE_BASE, 1.2);
    shade(&p.shades[1], 2, WM_ROLE_GRAY, 1.9);
    p.rows[0] = row_of_pieces(29);
    p.rows[1] = row_of_pieces(31);
    return p;
}

static wm_report_proposal single(size_t which)
{
    wm_report_proposal p = { .shade_count = 1,
                             .layers = 3,
                             .row_count = 1,
                             .gap = 2.5,
                             .far = 2.0,
                             .near = 3.1,
                             .verdict = WM_VERDICT_CLOSE,
                             .p = { 0.4, 0.9, 1 },
                             .best_in_10 = 3,
                             .why = "Farther from her hair than fern and mist." };
    shade(&p.shades[0], which, WM_ROLE_SINGLE, 2.0);
    p.rows[0] = row_of_pieces(29);
    for (size_t s = 0; s < 2; s++)
        for (size_t i = 0; i < 3; i++) {
            wm_report_layer *l = &p.rows[0].segments[s].layers[i];
            *l = (wm_report_layer){ .piece_cm = 0 };
            SET(l->layer.code, SHADES[which].code);
        }
    return p;
}

static void decision(wm_report *r, double doubt)
{
    wm_report_decision *d = &r->decision;
    *d = (wm_report_decision){ .own_g = 177.8,
                               .added_g = 72.0,
                               .short_g = 0,
                               .layers = 3,
                               .layers_needed = 3,
                               .layers_load = 3,
                               .mg_per_hair = 33.9,
                               .mg_limit = 35,
                               .inside_costs = -1,
                               .assumed_count = 1,
                               .claim = wm_claim_of(1.1 * doubt) };
    SET(d->assumed[0], "how thick her single hairs are (--hair, assumed: medium)");
    for (size_t i = 0; i < 2; i++)
        shade(&d->roles[WM_ROLE_BASE].shades[d->roles[WM_ROLE_BASE].count++], i, WM_ROLE_BASE, 1.2 + 0.4 * (double)i);
    shade(&d->roles[WM_ROLE_GRAY].shades[d->roles[WM_ROLE_GRAY].count++], 2, WM_ROLE_GRAY, 1.9);
}

static void proposals(wm_report *r, double doubt)
{
    decision(r, doubt);
    r->proposal_count = 2;
    r->proposals = room(2, sizeof *r->proposals);
    r->proposals[0] = pieces();
    r->proposals[1] = single(6);
    r->no_shade_named = r->decision.claim == WM_CLAIM_ROUGH;
    r->filter_count = 1;
    SET(r->filters[0].name, "in stock");
    r->filters[0].removed = 3;
}

/* ---- plan, future, past ---- */

static wm_swatch in_packs(size_t shade)
{
    wm_swatch s = wm_swatch_new(SHADES[shade].code, SHADES[shade].name, SHADES[shade].lab);
    s.length_cm = 40, s.pieces_per_pack = 2, s.piece_width_cm = 30, s.pack_weight_g = 60, s.pack_price_milli = 128500,
    s.stock_packs = 1;
    return s;
}

static void plan(wm_report *r)
{
    wm_swatch items[2] = { in_packs(0), in_packs(2) };
    wm_catalogue catalogue = { .items = items, .count = 2 };
    wm_plan_settings settings = WM_PLAN_SETTINGS_DEFAULT;
    wm_plan_input input = WM_PLAN_INPUT_INIT;
    settings.fee_milli[WM_WORK_INSTALLATION] = 180000;
    settings.tax_milli_percent = 19000;
    wm_design design;
    wm_report_design(&design, &r->proposals[0]);
    input.rows = design.rows;
    input.row_count = 2;
    input.catalogue = &catalogue;
    input.bead_code = "bark";
    input.head.natural_length_cm = 35;
    input.date = (wm_date){ 2024, 3, 14 };
    if (wm_plan_make(&r->plan, &input, &settings, NULL))
        abort();
    r->has_plan = true;
    for (size_t i = 0; i < r->plan.caution_count; i++)
        wm_warnings_add(&r->cautions, "caution", "%s", r->plan.cautions[i]);
    r->general_cautions = r->plan.general_cautions;
}

static void future(wm_report *r)
{
    r->scenario_count = 3;
    r->scenarios = room(3, sizeof *r->scenarios);
    for (size_t i = 0; i < 3; i++) {
        r->scenarios[i] =
            (wm_report_scenario){ .rise = 0.1 * (double)i, .share = 0.31 + 0.1 * (double)i, .proposal = pieces() };
        r->scenarios[i].proposal.far += (double)i;
        r->scenarios[i].proposal.verdict = i ? WM_VERDICT_CLOSE : WM_VERDICT_MATCH;
    }
    SET(r->scenarios[2].change, "from about 50 % gray at left temple: mist in the inner layer at the sides too");
}

static void past(model *m)
{
    const wm_history_item visits[] = {
        { "2023-06-02", stack_of("fern"), true, 1.4, true, 0.20, "480.00 EUR", "",
          "2023-06-02  sat well\n2023-06-09  itched a day\n" },
        { "2023-09-15", stack_of("fern"), true, 1.9, true, 0.22, "", "mist was sold out", NULL },
        { "2023-12-20", stack_of("fern,mist,fern"), true, 1.2, true, 0.28, "", NULL, NULL },
        { "2024-03-14", stack_of(""), true, 1.3, true, 0.31, "", NULL, NULL }
    };
    static const wm_report_change CHANGES[] = {
        { "crown", "crown", 0.8, 1.3, "no measurable change", true, 0.01, 0.05 },
        { "left temple", "temple", 3.1, 1.4, "lighter, softer, dE00 3.1 +- 1.4; gray: no measurable change", true, 0.03,
          0.07 }
    };
    static const wm_plot_share SHARES[] = {
        { 0, 0.20, 0.04, 0 },    { 0, 0.08, 0.03, 1 },    { 0.288, 0.22, 0.04, 0 },
        { 0.55, 0.28, 0.05, 0 }, { 0.55, 0.11, 0.03, 1 }, { 0.783, 0.31, 0.04, 0 }
    };
    memcpy(m->history, visits, sizeof visits);
    m->history_count = sizeof visits / sizeof visits[0];
    m->gray = (wm_plot_gray){ "2023-06-02",
                              "2024-03-14",
                              room(sizeof SHARES / sizeof SHARES[0], sizeof SHARES[0]),
                              sizeof SHARES / sizeof SHARES[0],
                              { "gray", "mid" },
                              2,
                              { { { 0, 0.20, 0.03, 0 }, { 0.39, 0.25, 0.02, 0 }, { 0.783, 0.31, 0.03, 0 } },
                                { { 0, 0.06, 0.03, 0 }, { 0.39, 0.11, 0.02, 0 }, { 0.783, 0.17, 0.03, 0 } } },
                              3 };
    memcpy(m->gray.points, SHARES, sizeof SHARES);
    SET(m->report.since_date, "2023-12-20");
    m->report.change_count = sizeof CHANGES / sizeof CHANGES[0];
    m->report.changes = room(m->report.change_count, sizeof CHANGES[0]);
    memcpy(m->report.changes, CHANGES, sizeof CHANGES);
    wm_warnings_add(&m->report.unpaired, "unpaired", "ends: measured then, not now");
}

static void general_cautions(wm_report *r)
{
    wm_warnings_add(&r->cautions, "caution", "Extensions pull: on thin, fine or shedding hair think twice.");
    wm_warnings_add(&r->cautions, "caution", "Sew rows only as licensed practice and the local codes allow.");
}

/* ---- the models ---- */

static void make_full(model *m)
{
    wm_report *r = &m->report;
    zones(r, 1);
    aids(r);
    rankings(r, 1);
    proposals(r, 1);
    plan(r);
    future(r);
    past(m);
    wm_warn(&r->warnings, WM_WARN_NO_SWATCH_AT_ZONE, "ends", "");
    wm_warn(&r->warnings, WM_WARN_SWATCH_MISLABELLED, "swatch oat", "");
    wm_warn(&r->warnings, WM_WARN_LIGHT_UNKNOWN, "", "");
    draw(&m->pictures);
    mark(&m->pictures, ZONES);
}

static void make_small(model *m)
{
    wm_report *r = &m->report;
    zones(r, 1);
    r->zone_count = 1;
    r->calibration.aid = WM_AIDS_SWATCHES;
    ranking(r, "base", r->zones[0].body.lab, 1.0);
    r->rankings[0].count = 1;
    r->proposal_count = 1;
    r->proposals = room(1, sizeof *r->proposals);
    decision(r, 1.0);
    r->proposals[0] = single(0);
    *r->client = '\0';
    general_cautions(r);
}

static void make_rough(model *m)
{
    wm_report *r = &m->report;
    zones(r, 8);
    r->calibration.aid = WM_AIDS_NONE;
    rankings(r, 8);
    proposals(r, 8);
    general_cautions(r);
    wm_warn(&r->warnings, WM_WARN_NO_AID, "", "");
    wm_warn(&r->warnings, WM_WARN_UNEVEN_LIGHT_ON_HEAD, "ends and crown", "by 12 L*");
    draw(&m->pictures);
    mark(&m->pictures, ZONES);
}

/* Every char array of the struct at p: as long as it may be. */
#define FILL(array) fill(array, sizeof array)
static void fill(char *out, size_t size)
{
    size_t n = 0;
    while (n + 1 < size) {
        size_t piece = strlen(MODEL_HOSTILE_TEXT) < size - 1 - n ? strlen(MODEL_HOSTILE_TEXT) : size - 1 - n;
        memcpy(out + n, MODEL_HOSTILE_TEXT, piece);
        n += piece;
    }
    out[size - 1] = '\0';
    while (n > 0 && (unsigned char)out[n - 1] >= 0x80) /* no half characters */
        out[--n] = '\0';
}

static void hostile_proposal(wm_report_proposal *p)
{
    for (size_t r = 0; r < p->row_count; r++)
        for (size_t s = 0; s < p->rows[r].count; s++)
            for (size_t i = 0; i < p->rows[r].segments[s].layer_count; i++) {
                wm_report_layer *l = &p->rows[r].segments[s].layers[i];
                FILL(l->layer.code);
                if (*l->layer.second)
                    FILL(l->layer.second);
            }
    for (size_t i = 0; i < p->shade_count; i++) {
        FILL(p->shades[i].code);
        FILL(p->shades[i].name);
    }
    FILL(p->why);
}

static void hostile_plan(wm_plan *p)
{
    for (size_t i = 0; i < p->step_count; i++)
        FILL(p->steps[i]);
    for (size_t i = 0; i < p->weft_count; i++) {
        FILL(p->wefts[i].code);
        FILL(p->wefts[i].name);
    }
    for (size_t i = 0; i < p->quote.line_count; i++)
        FILL(p->quote.lines[i].label);
    FILL(p->bead_code);
}

static void make_hostile(model *m)
{
    wm_report *r = &m->report;
    make_full(m);
    FILL(r->salon);
    FILL(r->client);
    FILL(r->made_at);
    FILL(r->version);
    FILL(r->decision.missing);
    FILL(r->decision.heavy);
    FILL(r->decision.worn);
    FILL(r->decision.assumed[0]);
    FILL(r->note);
    FILL(r->photo.file);
    FILL(r->photo.profile);
    FILL(r->photo.camera);
    FILL(r->photo.taken);
    FILL(r->calibration.dropped[0].zone);
    FILL(r->calibration.dropped[0].why);
    FILL(r->filters[0].name);
    FILL(r->since_date);
    for (size_t i = 0; i < r->calibration.used_count; i++)
        FILL(r->calibration.used[i].name);
    for (size_t i = 0; i < r->zone_count; i++)
        FILL(r->zones[i].name);
    for (size_t i = 0; i < r->ranking_count; i++) {
        FILL(r->rankings[i].said);
        for (size_t k = 0; k < r->rankings[i].count; k++) {
            FILL(r->rankings[i].items[k].code);
            FILL(r->rankings[i].items[k].name);
            FILL(r->rankings[i].items[k].words);
        }
    }
    FILL(r->rankings[3].target);
    for (size_t i = 0; i < r->proposal_count; i++)
        hostile_proposal(&r->proposals[i]);
    for (size_t i = 0; i < r->scenario_count; i++)
        hostile_proposal(&r->scenarios[i].proposal);
    for (size_t i = 0; i < r->change_count; i++) {
        FILL(r->changes[i].zone);
        FILL(r->changes[i].words);
    }
    hostile_plan(&r->plan);
    for (size_t i = 0; i < r->warnings.count; i++) {
        FILL(r->warnings.items[i].code);
        FILL(r->warnings.items[i].text);
        r->warnings.items[i].text[0] = (char)('a' + i); /* a list of warnings keeps none twice */
    }
    for (size_t i = 0; i < r->cautions.count; i++) {
        FILL(r->cautions.items[i].text);
        r->cautions.items[i].text[0] = (char)('a' + i);
    }
    for (size_t i = 0; i < m->history_count; i++) {
        FILL(m->history[i].at);
        FILL(m->history[i].money);
        m->history[i].why = m->history[i].note = MODEL_HOSTILE_TEXT;
        m->history[i].installed.count = WM_MAX_LAYERS;
        for (size_t k = 0; k < WM_MAX_LAYERS; k++)
            FILL(m->history[i].installed.layers[k].code);
    }
    for (size_t i = 0; i < m->gray.place_count; i++)
        FILL(m->gray.places[i]);
    free(m->pictures.zones_json.data);
    mark(
        &m->pictures,
        "{\"format\":1,\"zones\":[{\"kind\":\"root\",\"name\":\"</svg><script>alert(1)</script>\\\"'\\u00a0 a long name\",\"rect\":[320,330,120,150]},{\"kind\":\"swatch\",\"code\":\"<script>alert(1)</script>\\\"'\","
        "\"rect\":[330,340,100,100]}]}");
}

void model_make(model *out, model_kind kind)
{
    *out = (model){ .history_count = 0 };
    head(&out->report);
    switch (kind) {
    case MODEL_FULL: make_full(out); break;
    case MODEL_SMALL: make_small(out); break;
    case MODEL_ROUGH: make_rough(out); break;
    case MODEL_MEASURED:
        zones(&out->report, 1);
        aids(&out->report);
        out->report.measured_only = true;
        break;
    case MODEL_HOSTILE: make_hostile(out); break;
    }
    if (out->report.warnings.failed || out->report.cautions.failed)
        abort();
}

void model_free(model *m)
{
    wm_report_free(&m->report);
    wm_report_pictures_free(&m->pictures);
    wm_plot_gray_free(&m->gray);
}

wm_html_input model_input(const model *m)
{
    return (wm_html_input){ .report = &m->report,
                            .pictures = &m->pictures,
                            .history = m->history,
                            .history_count = m->history_count,
                            .gray = m->gray.count ? &m->gray : NULL,
                            .zone_rankings = true };
}

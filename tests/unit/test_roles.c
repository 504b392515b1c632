/* roles (M23, M24; M27's light shades). Distances against an independent implementation in Python; who takes a role by
 * hand. Heads and shades invented. */
#include "match/roles.h"
#include "colour/difference.h"
#include "support/example_head.h"
#include "support/near.h"
#include "support/rng.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHADES = 120 };

typedef struct bench {
    wm_swatch swatches[SHADES];
    const wm_swatch *items[SHADES];
    size_t count;
    wm_drawn_head head;
    wm_roles roles;
} bench;

static void add(bench *b, const char *code, wm_lab lab, double gray_share)
{
    wm_swatch *s = &b->swatches[b->count];
    *s = wm_swatch_new(code, "", lab);
    s->u = 0.6;
    s->gray_share = gray_share;
    b->items[b->count++] = s;
}

static void find(bench *b, const wm_lab *body)
{
    static const double one[1] = { 1 };
    wm_drawn_shades drawn;
    assert_int_equal(wm_shades_draw(&drawn, b->items, b->count, NULL), WM_OK);
    wm_roles_input input = { &b->head, &drawn, body, one, body ? 1 : 0 };
    wm_roles_free(&b->roles);
    assert_int_equal(wm_roles_of(&b->roles, &input, NULL), WM_OK);
    wm_drawn_shades_free(&drawn);
}

static void done(bench *b)
{
    wm_roles_free(&b->roles);
    wm_drawn_head_free(&b->head);
}

static bench check_bench(void)
{
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    const wm_head_zone zones[] = { zone_of(WM_ZONE_ROOT, "crown", 0.24), zone_of(WM_ZONE_GRAY, "temple", 0.40),
                                   zone_of(WM_ZONE_MID, "mid", 0.12), zone_of(WM_ZONE_ENDS, "ends", 0) };
    bench b = { .count = 0 };
    assert_int_equal(wm_head_draw(&b.head, zones, 4, &law, NULL), WM_OK);
    return b;
}

/* "loam umber": the shades of a role, nearest first. */
static const char *list(const bench *b, wm_role role)
{
    static char text[400];
    text[0] = '\0';
    for (size_t i = 0; i < b->roles.of[role].count; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%s%s", i ? " " : "",
                 b->roles.of[role].shades[i]->swatch->code);
    return text;
}

/* DV5's catalogue and head. */
static void distances_are_those_of_the_check_head(void **state)
{
    (void)state;
    static const struct {
        const char *code;
        wm_lab lab;
        double gray_share, to_base, to_gray;
    } rows[] = { { "fog", { 68.79, 1.25, 6.65 }, 0, 41.3720, 2.4315 },
                 { "frost", { 81.3, 0.95, 5.84 }, 0, 52.1246, 11.3472 },
                 { "ink", { 18.75, 1.48, -0.24 }, 0, 12.2332, 43.6579 },
                 { "loam", { 28.83, 5.01, 9.89 }, 0, 2.9335, 36.9338 },
                 { "moth", { 39.81, 5.16, 14.07 }, 0, 10.6424, 26.4220 },
                 { "pewter", { 60.2, 1.3, 7.17 }, 0, 31.2081, 5.0877 },
                 { "thistle", { 55.74, 1.95, 6.46 }, 0.55, 9.6374, 2.0872 },
                 { "umber", { 26.28, 6.19, 9.12 }, 0, 3.0624, 38.9193 } };
    bench b = check_bench();
    for (size_t i = 0; i < 8; i++)
        add(&b, rows[i].code, rows[i].lab, rows[i].gray_share);
    find(&b, NULL);
    assert_string_equal(list(&b, WM_ROLE_BASE), "loam umber");
    assert_string_equal(list(&b, WM_ROLE_GRAY), "fog pewter");
    assert_string_equal(list(&b, WM_ROLE_BLEND), "");
    for (size_t i = 0; i < 8; i++) {
        wm_drawn_shade shade;
        wm_shade_draw(&shade, b.items[i]);
        wm_shade_measure(&shade, &b.head);
        near(rows[i].code, shade.to_base, rows[i].to_base, 5e-5);
        near(rows[i].code, shade.to_gray, rows[i].to_gray, 5e-5);
    }
    near("of the batch", b.roles.of[WM_ROLE_BASE].de00[1], 3.0624, 5e-5);
    done(&b);
}

/* DV3, and where a pre-blended shade ends: shares of 0.05 to 0.95, a base that is hair. */
static void a_pre_blended_shade_has_two_populations(void **state)
{
    (void)state;
    wm_drawn_shade shade;
    wm_swatch swatch = wm_swatch_new("pepper", "", (wm_lab){ 37.43, 2.08, 4.34 });
    swatch.u = 0.6;
    swatch.gray_share = 0.18;
    wm_shade_draw(&shade, &swatch);
    assert_int_equal(shade.populations, 2);
    wm_lab base = wm_cone_to_lab(shade.population[0][0]), gray = wm_cone_to_lab(shade.population[1][0]);
    near("base L", base.L, 22.6044, 5e-5);
    near("base a", base.a, 4.2269, 5e-5);
    near("base b", base.b, 1.6798, 5e-5);
    near("gray L", gray.L, 67.6487, 5e-5);
    near("gray a", gray.a, 0.5501, 5e-5);
    near("gray b", gray.b, 8.2554, 5e-5);
    near("base 1", wm_cone_to_lab(shade.population[0][1]).L, 21.8788, 1e-4);
    near("colour 1", wm_cone_to_lab(shade.colour[1]).L, 37.1234, 1e-4);
    near("share of the base", shade.share[0], 0.82, 1e-12);
}

static int populations_of(wm_lab lab, double gray_share)
{
    wm_drawn_shade shade;
    wm_swatch swatch = wm_swatch_new("x", "", lab);
    swatch.gray_share = gray_share;
    wm_shade_draw(&shade, &swatch);
    return shade.populations;
}

static void where_a_shade_counts_as_one_population(void **state)
{
    (void)state;
    assert_int_equal(populations_of((wm_lab){ 30, 5, 9 }, 0.049), 1);
    assert_int_equal(populations_of((wm_lab){ 30, 5, 9 }, 0.05), 2);
    /* almost all gray: the colour of that gray, a little darker */
    assert_int_equal(populations_of((wm_lab){ 66.9, 0.7, 8.2 }, 0.95), 2);
    assert_int_equal(populations_of((wm_lab){ 66.9, 0.7, 8.2 }, 0.951), 1);
    /* by hand, neutral to the gray in c (0.3846, 0.3720, 0.3120): base c above 0.01, at least 15 L* darker */
    const double q = 0.3, gray[3] = { 0.38458648, 0.37195436, 0.31197632 };
    static const struct {
        double least;
        int populations;
    } blacks[] = { { 0.0095, 1 }, { 0.0105, 2 } };
    for (size_t i = 0; i < 2; i++) {
        wm_cone c = { { 0, 0, 0 } };
        for (int j = 0; j < 3; j++)
            c.c[j] = q * gray[j] + (1 - q) * blacks[i].least;
        assert_int_equal(populations_of(wm_cone_to_lab(c), q), blacks[i].populations);
    }
    for (int darker = 14; darker <= 16; darker += 2) {
        wm_lab lab = { 67.6487 - darker, 0.5501, 8.2554 };
        wm_cone base = wm_lab_to_cone(lab), c;
        for (int j = 0; j < 3; j++)
            c.c[j] = q * gray[j] + (1 - q) * base.c[j];
        assert_int_equal(populations_of(wm_cone_to_lab(c), q), darker < 15 ? 1 : 2);
    }
}

/* Near is within 5 in at least half of the draws. */
static void the_six_nearest_of_those_near_enough(void **state)
{
    (void)state;
    bench b = check_bench();
    static const char *const codes[] = { "a", "b", "c", "d", "e", "f", "g", "h" };
    for (size_t i = 0; i < 8; i++)
        add(&b, codes[i], (wm_lab){ 28 + 0.5 * (double)i, 6, 11 }, 0);
    add(&b, "y", (wm_lab){ 66, 1.3, 7 }, 0);
    find(&b, NULL);
    assert_int_equal(b.roles.of[WM_ROLE_BASE].count, 6);
    done(&b);
    b = check_bench();
    add(&b, "in", (wm_lab){ 33.4, 6, 11 }, 0);  /* about 4.3 from her base */
    add(&b, "out", (wm_lab){ 34.4, 6, 11 }, 0); /* about 5.0, and more in most draws */
    add(&b, "y", (wm_lab){ 66, 1.3, 7 }, 0);
    find(&b, NULL);
    assert_string_equal(list(&b, WM_ROLE_BASE), "in");
    assert_false(b.roles.of[WM_ROLE_BASE].lacking);
    assert_string_equal(list(&b, WM_ROLE_GRAY), "y");
    done(&b);
}

/* How far a shade is from what a role asks for, one difference after the other. */
typedef struct measured {
    double de00;
    bool near; /* within 5 in at least half of the draws */
} measured;

static measured measured_from(const wm_drawn_head *head, const wm_drawn_shade *shade, bool to_gray)
{
    double weight[WM_HEAD_ZONES];
    int in = 0;
    wm_drawn_head_weights(weight, head, WM_BASE_WEIGHTS, false);
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        const wm_lab lab = wm_cone_to_lab(shade->population[to_gray ? shade->populations - 1 : 0][k]);
        double least = HUGE_VAL, square = 0;
        for (size_t z = 0; z < head->zone_count; z++) {
            const double d = weight[z] > 0 ? wm_de00(wm_cone_to_lab(head->zones[z].base[k]), lab) : HUGE_VAL;
            least = fmin(least, d);
            square += weight[z] > 0 ? weight[z] * d * d : 0;
        }
        const double d = to_gray             ? wm_de00(wm_cone_to_lab(head->gray[k]), lab)
                         : head->bases_apart ? least
                                             : sqrt(square);
        in += d <= 5;
    }
    return (measured){ to_gray ? shade->to_gray : shade->to_base, in >= WM_DRAWS / 2 };
}

static measured measured_for(const bench *b, const wm_drawn_shade *shade, wm_role role)
{
    const measured base = measured_from(&b->head, shade, false), gray = measured_from(&b->head, shade, true);
    if (role == WM_ROLE_BLEND)
        return (measured){ fmax(base.de00, gray.de00), base.near && gray.near };
    return role == WM_ROLE_BASE ? base : gray;
}

/* The tenths, then the code. */
static bool is_before(double d, const wm_swatch *a, double e, const wm_swatch *b)
{
    const double x = rint(10 * d), y = rint(10 * e);
    return x < y || (!(x > y) && strcmp(a->code, b->code) < 0);
}

/* One shade that may apply: it has the role, or six before it have. */
static void holds_for(const bench *b, const wm_swatch *swatch, wm_role role)
{
    const wm_role_list *list = &b->roles.of[role];
    wm_drawn_shade shade;
    size_t at = 0;
    wm_shade_draw(&shade, swatch);
    wm_shade_measure(&shade, &b->head);
    if ((shade.populations == 2) != (role == WM_ROLE_BLEND))
        return;
    const measured m = measured_for(b, &shade, role);
    while (at < list->count && list->shades[at]->swatch != swatch)
        at++;
    if (list->lacking && role != WM_ROLE_BLEND && list->nearest->populations == 1)
        assert_false(is_before(m.de00, swatch, role == WM_ROLE_BASE ? list->nearest->to_base : list->nearest->to_gray,
                               list->nearest->swatch));
    if (at < list->count) {
        near("distance", list->de00[at], m.de00, 1e-9);
        assert_true(m.near || list->lacking);
    } else if (m.near) {
        assert_int_equal(list->count, WM_ROLE_SHADES);
        assert_true(
            is_before(list->de00[WM_ROLE_SHADES - 1], list->shades[WM_ROLE_SHADES - 1]->swatch, m.de00, swatch));
    }
}

/* What is measured from afar puts most shades aside: the roles are those that all shades would give. Bases of which one
 * is told apart, bluish shades and pre-blended ones among them. */
static void shades_put_aside_would_have_no_role(void **state)
{
    (void)state;
    rng r = { 5 };
    int taken[WM_ROLES] = { 0 };
    for (int round = 0; round < 18; round++) {
        const double dark = rng_between(&r, 12, 55);
        const bool sure = round % 4 < 2; /* so that what is measured from afar is nearly what is measured */
        wm_head_zone zones[] = {
            zone_in((wm_lab){ dark, 6, 11 }, GRAY, WM_ZONE_ROOT, "crown", sure ? 0 : 0.3),
            zone_in((wm_lab){ dark + (round % 3) * 9, 6, 14 }, GRAY, WM_ZONE_MID, "mid", sure ? 0 : 0.1),
            zone_in((wm_lab){ dark, 6, 11 }, GRAY, WM_ZONE_GRAY, "temple", 0.4),
        };
        const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
        char codes[SHADES][8];
        bench b = { .count = 0 };
        for (int z = 0; z < 3 && sure; z++)
            zones[z].sigma = (wm_lab){ 0.1, 0.1, 0.1 };
        assert_int_equal(wm_head_draw(&b.head, zones, 3, &law, NULL), WM_OK);
        for (size_t i = 0; i < SHADES; i++) {
            const double q = i % 4 == 0 ? rng_between(&r, 0.1, 0.6) : 0;
            const wm_lab mixed = blended((wm_lab){ dark + rng_between(&r, -4, 4), 6, 11 }, GRAY, q),
                         any = round % 2
                                   ? (wm_lab){ rng_between(&r, 8, 85), rng_between(&r, 0, 9), rng_between(&r, -3, 20) }
                                   : (wm_lab){ (i % 2 ? dark : 66) + rng_between(&r, -5, 5), rng_between(&r, 0, 8),
                                               rng_between(&r, 4, 14) };
            snprintf(codes[i], sizeof codes[i], "s%zu", i);
            add(&b, codes[i], q > 0 ? mixed : any, q);
            b.swatches[b.count - 1].u = sure ? 0.1 : rng_between(&r, 0.3, 4);
        }
        find(&b, NULL);
        for (int role = 0; role < WM_ROLES; role++) {
            taken[role] += (int)b.roles.of[role].count;
            for (size_t i = 0; i < SHADES; i++)
                holds_for(&b, b.items[i], (wm_role)role);
        }
        done(&b);
    }
    for (int role = 0; role < WM_ROLES; role++)
        assert_true(taken[role] > 10);
}

static void of_equal_tenths_the_code_decides(void **state)
{
    (void)state;
    bench b = check_bench();
    add(&b, "z", (wm_lab){ 28, 6, 11 }, 0);
    add(&b, "m", (wm_lab){ 28, 6, 11 }, 0);
    find(&b, NULL);
    near("their draws differ", b.roles.of[WM_ROLE_BASE].de00[0], b.roles.of[WM_ROLE_BASE].de00[1], 0.3);
    done(&b);
}

/* M24's fallbacks. */
static void who_takes_a_role_when_no_shade_is_near(void **state)
{
    (void)state;
    bench b = check_bench();
    add(&b, "ink", (wm_lab){ 18.75, 1.48, -0.24 }, 0);
    add(&b, "frost", (wm_lab){ 81.3, 0.95, 5.84 }, 0);
    find(&b, NULL); /* black is the nearest base; a white is nearer to her gray than to her base */
    assert_string_equal(list(&b, WM_ROLE_BASE), "ink");
    assert_string_equal(list(&b, WM_ROLE_GRAY), "frost");
    assert_true(b.roles.of[WM_ROLE_BASE].lacking && b.roles.of[WM_ROLE_GRAY].lacking);
    assert_string_equal(b.roles.of[WM_ROLE_BASE].nearest->swatch->code, "ink");
    done(&b);
    b = check_bench();
    add(&b, "loam", (wm_lab){ 28.83, 5.01, 9.89 }, 0);
    add(&b, "moth", (wm_lab){ 39.81, 5.16, 14.07 }, 0);
    find(&b, NULL); /* moth is nearer to her base than to her gray: no gray at all */
    assert_string_equal(list(&b, WM_ROLE_BASE), "loam");
    assert_string_equal(list(&b, WM_ROLE_GRAY), "");
    done(&b);
    b = check_bench();
    add(&b, "flint", (wm_lab){ 63.47, 1.75, 7.05 }, 0.78);
    add(&b, "pepper", (wm_lab){ 37.43, 2.08, 4.34 }, 0.18);
    add(&b, "thistle", (wm_lab){ 55.74, 1.95, 6.46 }, 0.55);
    find(&b, NULL); /* DV9, pre-blended alone */
    assert_string_equal(list(&b, WM_ROLE_BASE), "pepper");
    assert_string_equal(list(&b, WM_ROLE_GRAY), "");
    assert_string_equal(list(&b, WM_ROLE_BLEND), "pepper thistle flint");
    done(&b);
}

/* Gray share above 0.7, the three nearest in colour. */
static void light_shades_by_their_colour(void **state)
{
    (void)state;
    bench b = check_bench();
    const wm_lab body = { 60, 2, 7 };
    add(&b, "a", (wm_lab){ 60, 2, 7 }, 0.70);
    add(&b, "b", (wm_lab){ 58, 2, 7 }, 0.71);
    add(&b, "c", (wm_lab){ 56, 2, 7 }, 0.75);
    add(&b, "d", (wm_lab){ 54, 2, 7 }, 0.75);
    add(&b, "e", (wm_lab){ 61, 2, 7 }, 0.9);
    find(&b, &body);
    assert_int_equal(b.roles.light_count, 3);
    assert_string_equal(b.roles.light[0]->swatch->code, "e");
    assert_string_equal(b.roles.light[1]->swatch->code, "b");
    assert_string_equal(b.roles.light[2]->swatch->code, "c");
    done(&b);
}

static void what_is_wanted_is_the_mean_of_her_bases(void **state)
{
    (void)state;
    bench b = check_bench();
    wm_lab wanted = wm_wanted_base(&b.head);
    near("L", wanted.L, 28, 1e-6);
    near("b", wanted.b, 11, 1e-6);
    done(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(distances_are_those_of_the_check_head),
        cmocka_unit_test(a_pre_blended_shade_has_two_populations),
        cmocka_unit_test(where_a_shade_counts_as_one_population),
        cmocka_unit_test(the_six_nearest_of_those_near_enough),
        cmocka_unit_test(shades_put_aside_would_have_no_role),
        cmocka_unit_test(of_equal_tenths_the_code_decides),
        cmocka_unit_test(who_takes_a_role_when_no_shade_is_near),
        cmocka_unit_test(light_shades_by_their_colour),
        cmocka_unit_test(what_is_wanted_is_the_mean_of_her_bases),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* judge (M28 to M30). Expected values: check values DV2, from an independent implementation in Python. Shades invented.
 */
#include "match/judge.h"
#include "colour/difference.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A base shade that is her base and hangs behind, a gray one that is her gray, three parts gray in ten; tau 2.76. */
typedef struct scene {
    wm_swatch swatches[2];
    wm_drawn_shade shades[2];
    wm_lab base[WM_DRAW_ROWS];
    wm_drawn_target target;
    wm_cone behind[WM_DRAW_ROWS];
    wm_hair_law law[WM_DRAW_ROWS];
    wm_look look;
} scene;

static void set(scene *s)
{
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    s->swatches[0] = wm_swatch_new("base", "", (wm_lab){ 27.5, 6.2, 14.1 });
    s->swatches[1] = wm_swatch_new("gray", "", (wm_lab){ 68, 1.5, 5 });
    wm_cone body;
    for (int i = 0; i < 2; i++)
        wm_shade_draw(&s->shades[i], &s->swatches[i]);
    s->target = (wm_drawn_target){ .bases = s->base, .base_count = 1 };
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        wm_cone a = s->shades[0].colour[0], x = s->shades[1].colour[0];
        for (int c = 0; c < 3; c++)
            body.c[c] = 0.7 * a.c[c] + 0.3 * x.c[c];
        s->behind[k] = a;
        s->base[k] = wm_cone_to_lab(a);
        s->target.gray[k] = wm_cone_to_lab(x);
        s->target.body[k] = wm_cone_to_lab(body);
        s->target.share[k] = 0.3;
        s->law[k] = law;
    }
    s->look = (wm_look){ s->law, s->behind, WM_VIEW_WEIGHTS_DEFAULT, WM_WORN_BOTH };
}

static wm_pattern pattern_of(const char *sixths)
{
    wm_pattern pattern = { .layers = (int)strlen(sixths) };
    for (int i = 0; i < pattern.layers; i++)
        pattern.sixths[i] = (unsigned char)(sixths[i] - '0');
    return pattern;
}

static wm_judged *judged;

static void judge(const scene *s, const char *sixths)
{
    wm_pattern pattern = pattern_of(sixths);
    wm_judge_input input = { &s->shades[0], &s->shades[1], &pattern, 1, &s->target, 1, &s->look, 0, 1, NULL, NULL };
    wm_judge(&judged, &input);
}

static void patterns_are_as_far_and_near_as_in_the_check_values(void **state)
{
    (void)state;
    static const struct {
        const char *sixths;
        double gap, far, near;
    } rows[] = { { "0", 17.3323, 16.2256, 12.1883 },  { "2", 5.0073, 4.8476, 2.5089 },
                 { "00", 17.3323, 16.2256, 12.1883 }, { "06", 14.0164, 10.6013, 18.3382 },
                 { "22", 2.6882, 2.3313, 2.6770 },    { "000", 17.3323, 16.2256, 12.1883 },
                 { "060", 9.3933, 8.7558, 6.8029 },   { "303", 3.0022, 1.0331, 5.6377 } };
    scene s;
    set(&s);
    near("target L", s.target.body[0].L, 45.7477, 5e-5);
    near("target a", s.target.body[0].a, 3.0276, 5e-5);
    near("target b", s.target.body[0].b, 7.1912, 5e-5);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        judge(&s, rows[i].sixths);
        near(rows[i].sixths, judged->gap[0], rows[i].gap, 5e-5);
        near(rows[i].sixths, judged->far[0], rows[i].far, 5e-5);
        near(rows[i].sixths, judged->near[0], rows[i].near, 5e-5);
    }
    worst_print("DV2");
}

/* A pattern lifted is its reverse worn down (M11): the larger counts, or the one that is asked for. */
static void the_view_that_counts(void **state)
{
    (void)state;
    scene s;
    set(&s);
    judge(&s, "06");
    double both = judged->gap[0];
    s.look.worn = WM_WORN_DOWN;
    judge(&s, "06");
    double down = judged->gap[0];
    s.look.worn = WM_WORN_UP;
    judge(&s, "06");
    double up = judged->gap[0];
    near("both", both, fmax(down, up), 1e-12);
    assert_true(fabs(down - up) > 1);
    judge(&s, "60");
    near("its reverse lifted", judged->gap[0], down, 1e-9);
    wm_pattern pattern = pattern_of("06");
    wm_seen seen = wm_judge_seen(&s.shades[0], &s.shades[1], &pattern, &s.look);
    s.look.worn = WM_WORN_DOWN;
    judge(&s, "06");
    near("what is seen is what is judged", wm_de00(seen.down, s.target.body[0]), judged->far[0], 1e-6);
    assert_true(seen.up.L > seen.down.L + 5); /* gray lies at the head */
}

/* Patterns judged together, beside several targets, are as when judged alone. */
static void many_at_once(void **state)
{
    (void)state;
    scene s;
    set(&s);
    wm_pattern all[WM_MAX_PATTERNS];
    size_t count = wm_patterns_of(all, 3, 24);
    wm_judged *many = calloc(2 * count, sizeof *many);
    wm_judged *beside[2] = { many, many + count };
    wm_drawn_target targets[2] = { s.target, s.target };
    for (int k = 0; k < WM_DRAW_ROWS; k++)
        targets[1].share[k] = 0.6;
    wm_weighings *ready = wm_weighings_new(all, count);
    wm_judge_input input = {
        &s.shades[0], &s.shades[1], all, count, targets, 2, &s.look, 0, WM_DRAW_ROWS, NULL, ready
    };
    wm_judge(beside, &input);
    wm_weighings_free(ready);
    for (size_t i = 0; i < count; i += 7)
        for (int t = 0; t < 2; t++) {
            wm_judge_input one = { &s.shades[0], &s.shades[1], &all[i], 1, &targets[t], 1, &s.look, 0,
                                   WM_DRAW_ROWS, NULL,         NULL };
            wm_judge(&judged, &one);
            for (int k = 0; k < WM_DRAW_ROWS; k += 9)
                near("gap", beside[t][i].gap[k], judged->gap[k], 1e-9);
        }
    assert_true(fabs(beside[0][0].gap[0] - beside[1][0].gap[0]) > 1);
    free(many);
}

/* By hand: her base told apart in two colours; the nearer one counts (M29). */
static void of_bases_told_apart_the_nearer_counts(void **state)
{
    (void)state;
    scene s;
    set(&s);
    wm_lab two[2 * WM_DRAW_ROWS];
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        two[k] = (wm_lab){ 60, 5, 20 };
        two[WM_DRAW_ROWS + k] = s.base[k];
    }
    judge(&s, "060");
    double one = judged->near[0];
    s.target.bases = two;
    s.target.base_count = 2;
    judge(&s, "060");
    assert_true(judged->near[0] <= one + 1e-9);
    s.target.base_count = 1;
    judge(&s, "060");
    assert_true(judged->near[0] > one + 1);
}

int main(void)
{
    judged = calloc(1, sizeof *judged);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(patterns_are_as_far_and_near_as_in_the_check_values),
        cmocka_unit_test(the_view_that_counts),
        cmocka_unit_test(many_at_once),
        cmocka_unit_test(of_bases_told_apart_the_nearer_counts),
    };
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    free(judged);
    return failed;
}

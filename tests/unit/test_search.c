/* M10, M12 to M16: the search against trying everything, and its independence of threads and of the catalogue's order.
 * Catalogues are drawn from a fixed seed; the named shades are invented. */
#include "support/near.h"
#include "support/measured.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "match/search.h"

static const wm_layers_settings SETTINGS = WM_LAYERS_SETTINGS_DEFAULT;

static double draw(unsigned *random)
{
    *random = *random * 1664525u + 1013904223u;
    return (*random >> 8) / 16777216.0;
}

typedef struct shelf {
    wm_swatch *items;
    const wm_swatch **order;
    wm_shades shades;
} shelf;

/* `twins`: every third shade has the colour of the one before, so that ties are exact. */
static shelf shelf_of(size_t count, unsigned seed, bool twins)
{
    shelf s = { .items = calloc(count, sizeof *s.items), .order = calloc(count, sizeof *s.order) };
    assert_true(s.items && s.order);
    unsigned random = seed;
    for (size_t i = 0; i < count; i++) {
        char code[16];
        snprintf(code, sizeof code, "s%03zu", i);
        wm_lab lab = { 12 + 65 * draw(&random), 10 * draw(&random), 2 + 24 * draw(&random) };
        s.items[i] = wm_swatch_new(code, "", twins && i % 3 == 2 ? s.items[i - 1].lab : lab);
        s.items[i].u = 0.3 + 0.5 * draw(&random);
        s.items[i].stock_packs = draw(&random) < 0.5 ? 1 : -1;
        s.items[i].pack_price_milli = draw(&random) < 0.5 ? 90000 : 80000;
        if (!twins && draw(&random) < 0.5) {
            s.items[i].pieces_per_pack = 2;
            s.items[i].piece_width_cm = 30;
            s.items[i].length_cm = 40 + 20 * draw(&random);
            s.items[i].pack_weight_g = 20 + 60 * draw(&random);
        }
        s.order[i] = &s.items[i];
    }
    s.shades = (wm_shades){ .items = s.order, .count = count };
    return s;
}

static void shelf_free(shelf *s)
{
    free(s->items);
    free(s->order);
}

static void shuffle(shelf *s, unsigned seed)
{
    unsigned random = seed;
    for (size_t i = s->shades.count; i-- > 1;) {
        size_t j = (size_t)(draw(&random) * (double)(i + 1));
        const wm_swatch *held = s->order[i];
        s->order[i] = s->order[j];
        s->order[j] = held;
    }
}

static wm_layers_goal goal_at(wm_lab target, wm_lab pile)
{
    return (wm_layers_goal){ measured(target, (wm_lab){ 0.4, 0.3, 0.3 }, 0.7),
                             measured(pile, (wm_lab){ 0.4, 0.3, 0.3 }, 0.7) };
}

/* ---- brute force: M12 in its plainest form ---- */

typedef struct trial {
    const wm_swatch *layers[3];
    int count, shades;
    long long tenths, rms, down;
} trial;

static long long price_of(const trial *t)
{
    long long sum = 0;
    for (int i = 0; i < t->count; i++) {
        bool seen = false;
        for (int j = 0; j < i; j++)
            seen |= t->layers[j] == t->layers[i];
        if (t->layers[i]->pack_price_milli < 0)
            return INT64_MAX;
        sum += seen ? 0 : t->layers[i]->pack_price_milli;
    }
    return sum;
}

static bool stocked(const trial *t)
{
    for (int i = 0; i < t->count; i++)
        if (!wm_swatch_in_stock(t->layers[i]))
            return false;
    return true;
}

/* The codes of a trial, the lesser one first. */
static void codes_of(const trial *t, const char *out[2])
{
    out[0] = out[1] = t->layers[0]->code;
    for (int i = 1; i < t->count; i++) {
        out[0] = strcmp(t->layers[i]->code, out[0]) < 0 ? t->layers[i]->code : out[0];
        out[1] = strcmp(t->layers[i]->code, out[1]) > 0 ? t->layers[i]->code : out[1];
    }
}

static int compare_trials(const trial *x, const trial *y)
{
    const char *cx[2], *cy[2];
    codes_of(x, cx);
    codes_of(y, cy);
    bool same = strcmp(cx[0], cy[0]) == 0 && strcmp(cx[1], cy[1]) == 0;
    if (x->tenths != y->tenths)
        return x->tenths < y->tenths ? -1 : 1;
    if (x->count != y->count)
        return x->count - y->count;
    if (x->rms != y->rms)
        return x->rms < y->rms ? -1 : 1;
    if (x->shades != y->shades)
        return x->shades - y->shades;
    if (!same) {
        if (stocked(x) != stocked(y))
            return stocked(x) ? -1 : 1;
        if (price_of(x) != price_of(y))
            return price_of(x) < price_of(y) ? -1 : 1;
        return strcmp(cx[0], cy[0]) ? strcmp(cx[0], cy[0]) : strcmp(cx[1], cy[1]);
    }
    if (x->down != y->down)
        return x->down < y->down ? -1 : 1;
    for (int i = 0; i < x->count; i++)
        if (strcmp(x->layers[i]->code, y->layers[i]->code) != 0)
            return strcmp(x->layers[i]->code, y->layers[i]->code);
    return 0;
}

static void try_one(trial best[4], trial t, const wm_layers_goal *goal, const wm_layers_settings *settings)
{
    wm_sight sight = { settings->law, settings->weights, goal->pile.lab };
    wm_views views = wm_views_of(t.layers, (size_t)t.count, &sight);
    double d = wm_de00(goal->target.lab, views.down), u = wm_de00(goal->target.lab, views.up);
    double first = settings->worn == WM_WORN_UP ? u : d, second = settings->worn == WM_WORN_DOWN ? d : u;
    t.tenths = llround(fmax(first, second) * 10);
    t.rms = llround(sqrt((first * first + second * second) / 2) * 1e9);
    t.down = llround(first * 1e9);
    for (int i = 1; i < t.count; i++)
        t.shades += t.layers[i] != t.layers[0] ? 1 : 0;
    t.shades = t.shades ? 2 : 1;
    if (!best[t.count].count || compare_trials(&t, &best[t.count]) < 0)
        best[t.count] = t;
    if (t.shades == 2 && (!best[0].count || compare_trials(&t, &best[0]) < 0))
        best[0] = t; /* the best pair */
}

static void brute_force(trial best[4], const wm_shades *shades, const wm_layers_goal *goal,
                        const wm_layers_settings *settings)
{
    memset(best, 0, 4 * sizeof *best);
    for (size_t i = 0; i < shades->count; i++) {
        for (size_t j = 0; j < shades->count; j++) {
            for (int count = 1; count <= settings->max_layers; count++) {
                for (int bits = 0; bits < 1 << count; bits++) {
                    trial t = { .count = count };
                    for (int k = 0; k < count; k++)
                        t.layers[k] = shades->items[bits >> k & 1 ? j : i];
                    if (i == j ? bits == 0 : bits != 0 && bits != (1 << count) - 1)
                        try_one(best, t, goal, settings);
                }
            }
        }
    }
}

static void expect_brute_force(const wm_shades *shades, const wm_layers_goal *goal, const wm_layers_settings *settings)
{
    trial best[4];
    wm_proposals found;
    brute_force(best, shades, goal, settings);
    assert_int_equal(wm_layers_search(&found, shades, goal, settings, NULL), WM_OK);
    assert_int_equal(found.count, settings->max_layers);
    for (size_t i = 0; i < found.count; i++) {
        const wm_proposal *p = &found.items[i];
        const trial *want = &best[p->layer_count];
        assert_int_equal(want->count, p->layer_count);
        for (int k = 0; k < want->count; k++)
            assert_string_equal(p->layers[k]->code, want->layers[k]->code);
        assert_int_equal(llround(p->worst_de00 * 10), want->tenths);
        assert_true(p->why[0]);
    }
    if (shades->count > 1 && settings->max_layers > 1) {
        const char *codes[2];
        codes_of(&best[0], codes);
        assert_true(found.has_ideal_mix);
        assert_string_equal(found.ideal[0]->code, codes[0]);
        assert_string_equal(found.ideal[1]->code, codes[1]);
    } else {
        assert_false(found.has_ideal_mix);
    }
}

static void is_that_of_brute_force(void **state)
{
    (void)state;
    unsigned random = 99;
    for (unsigned round = 0; round < 48; round++) {
        shelf s = shelf_of(round == 0 ? 1 : round == 1 ? 2 : 14 + round % 5, round + 1, round % 2 == 1);
        wm_lab target = { 10 + 70 * draw(&random), 8 * draw(&random), 2 + 22 * draw(&random) },
               pile = { 15 + 40 * draw(&random), 6, 15 };
        if (round % 6 == 5) /* a target that shades reach exactly: many ties at the top */
            target = s.items[3].lab;
        wm_layers_goal goal = goal_at(target, pile);
        wm_layers_settings settings = SETTINGS;
        settings.worn = (wm_worn)(round % 3);
        settings.max_layers = round % 8 == 7 ? 1 + (int)(round / 8) % 2 : 3;
        settings.jobs = 1 + (int)(round % 4);
        if (round % 2 == 0) /* a thick edge, so that its bounds matter */
            settings.weights = (wm_view_weights){ 0.3, 0.1, 0.6 };
        expect_brute_force(&s.shades, &goal, &settings);
        shelf_free(&s);
    }
}

/* All shades alike: every value is a tie, only M5 decides. */
static void all_ties_fall_by_m5(void **state)
{
    (void)state;
    shelf s = shelf_of(9, 5, false);
    for (size_t i = 0; i < 9; i++) {
        wm_swatch plain = wm_swatch_new(s.items[i].code, "", (wm_lab){ 40, 6, 16 });
        plain.stock_packs = i == 4 || i == 7 ? 1 : 0;
        plain.pack_price_milli = i == 7 ? 1000 : 2000;
        s.items[i] = plain;
    }
    wm_layers_goal goal = goal_at((wm_lab){ 41, 6, 16 }, (wm_lab){ 35, 6, 15 });
    expect_brute_force(&s.shades, &goal, &SETTINGS);
    wm_proposals found;
    assert_int_equal(wm_layers_search(&found, &s.shades, &goal, &SETTINGS, NULL), WM_OK);
    for (size_t i = 0; i < found.count; i++)
        assert_string_equal(found.items[i].layers[0]->code, "s007");
    shelf_free(&s);
}

static void expect_same(const wm_proposals *a, const wm_proposals *b)
{
    assert_int_equal(a->count, b->count);
    for (size_t i = 0; i < a->count; i++) {
        assert_memory_equal(&a->items[i].layers, &b->items[i].layers, sizeof a->items[i].layers);
        assert_true(memcmp(&a->items[i].worst_de00, &b->items[i].worst_de00, sizeof(double)) == 0);
        assert_true(memcmp(&a->items[i].u_de00, &b->items[i].u_de00, sizeof(double)) == 0);
        assert_string_equal(a->items[i].why, b->items[i].why);
    }
    assert_string_equal(a->missing, b->missing);
    assert_ptr_equal(a->ideal[0], b->ideal[0]);
    assert_ptr_equal(a->ideal[1], b->ideal[1]);
    assert_true(memcmp(&a->ideal_fit, &b->ideal_fit, sizeof a->ideal_fit) == 0);
}

static void m16_threads_and_order_do_not_matter(void **state)
{
    (void)state;
    for (unsigned seed = 1; seed <= 4; seed++) {
        shelf s = shelf_of(90, seed, seed % 2 == 0);
        wm_layers_goal goal = goal_at((wm_lab){ 25 + 10 * seed, 5, 12 }, (wm_lab){ 30, 6, 15 });
        wm_proposals one, other;
        assert_int_equal(wm_layers_search(&one, &s.shades, &goal, &SETTINGS, NULL), WM_OK);
        for (int jobs = 1; jobs <= 200; jobs = jobs * 2 + 1) {
            wm_layers_settings settings = SETTINGS;
            settings.jobs = jobs;
            shuffle(&s, (unsigned)jobs + seed);
            assert_int_equal(wm_layers_search(&other, &s.shades, &goal, &settings, NULL), WM_OK);
            expect_same(&one, &other);
        }
        shelf_free(&s);
    }
}

/* ---- M13, M15: what is held and what is said ---- */

typedef struct told {
    wm_swatch items[4];
    const wm_swatch *order[4];
    wm_shades shades;
} told;

static void named(told *t, size_t count)
{
    static const struct {
        const char *code;
        wm_lab lab;
    } all[] = {
        { "peat", { 27.5, 6.2, 14.1 } }, { "mist", { 68, 1.5, 5 } }, { "rye", { 50, 6, 22 } }, { "bran", { 40, 8, 18 } }
    };
    for (size_t i = 0; i < count; i++) {
        t->items[i] = wm_swatch_new(all[i].code, "", all[i].lab);
        t->items[i].u = 0.3;
        t->order[i] = &t->items[i];
    }
    t->shades = (wm_shades){ .items = t->order, .count = count };
}

static void expect_why(const wm_proposals *found, size_t i, const char *layers, const char *why)
{
    char got[100] = "";
    for (int k = 0; k < found->items[i].layer_count; k++) {
        strcat(got, k ? " / " : "");
        strcat(got, found->items[i].layers[k]->code);
    }
    assert_string_equal(got, layers);
    assert_string_equal(found->items[i].why, why);
}

static wm_proposals told_about(told *t, wm_lab target, wm_worn worn)
{
    wm_layers_goal goal = goal_at(target, t->items[0].lab);
    wm_layers_settings settings = SETTINGS;
    settings.worn = worn;
    wm_proposals found;
    assert_int_equal(wm_layers_search(&found, &t->shades, &goal, &settings, NULL), WM_OK);
    return found;
}

/* The four answers of section 6 (q 0.3, 0.1, 0.2, 0.7), word for word. */
static void m13_m15_says_why(void **state)
{
    (void)state;
    told t;
    named(&t, 2);
    wm_proposals found = told_about(&t, (wm_lab){ 35.14, 5.21, 11.38 }, WM_WORN_BOTH);
    expect_why(
        &found, 0, "peat / mist / peat",
        "peat in front and behind covers the lighter mist between; it shows where the hair moves and at the edge. peat / peat would be 4.5 "
        "farther off. No colour service is needed for the blend.");
    expect_why(&found, 1, "peat",
               "Simpler to sew, but 4.5 farther off: the row is darker and richer than her hair, worn down.");
    assert_string_equal(found.missing, "");
    found = told_about(&t, (wm_lab){ 29.92, 5.84, 13.03 }, WM_WORN_BOTH);
    expect_why(&found, 0, "peat",
               "One shade is enough: more layers would come no nearer. No colour service is needed for the blend.");
    expect_why(&found, 1, "peat / peat", "One layer more would come no nearer.");
    found = told_about(&t, (wm_lab){ 32.46, 5.52, 12.14 }, WM_WORN_BOTH);
    expect_why(
        &found, 0, "peat",
        "One shade is enough: more layers would come only 0.4 nearer, too little to be seen. A difference stays: the row is darker and "
        "richer than her hair, worn down.");
    expect_why(&found, 2, "peat / mist / peat", "Two layers more would come only 0.4 nearer, too little to be seen.");
    assert_string_equal(
        found.missing,
        "Nothing here is close: the hair is five lighter and softer than the nearest. Nearest is peat, 4.0 off.");
    found = told_about(&t, (wm_lab){ 48.80, 3.87, 8.72 }, WM_WORN_BOTH);
    expect_why(
        &found, 0, "mist / peat / mist",
        "mist in front and behind covers the darker peat between; it shows where the hair moves and at the edge. mist alone would be 0.8 "
        "farther off. A difference stays: the row is lighter and softer than her hair, worn down.");
    expect_why(&found, 2, "mist / peat",
               "Simpler to sew, but 2.8 farther off: the row is darker and richer than her hair, with the hair up.");
}

static void m15_says_what_is_missing(void **state)
{
    (void)state;
    told t;
    named(&t, 2);
    wm_proposals found = told_about(&t, (wm_lab){ 12, 3, 4 }, WM_WORN_BOTH);
    assert_string_equal(
        found.missing,
        "Nothing here is close: the hair is much darker and redder than anything in the catalogue, and softer than the "
        "nearest. Nearest is peat, 13.1 off.");
    found = told_about(&t, (wm_lab){ 62, 1.5, 5 }, WM_WORN_DOWN);
    expect_why(
        &found, 0, "mist / mist / peat",
        "Worn down mist is seen, with the hair up peat; each shows a little of the other where the hair moves. mist / mist would be 0.6 "
        "farther off. No colour service is needed for the blend.");
    assert_string_equal(found.missing, "");
    found = told_about(&t, (wm_lab){ 85, 1, 8 }, WM_WORN_BOTH);
    assert_non_null(
        strstr(found.items[0].why, "Three layers of mist, so that the hair behind does not shine through."));
    named(&t, 4);
    found = told_about(&t, (wm_lab){ 42, 7, 19 }, WM_WORN_BOTH);
    expect_why(
        &found, 0, "bran / rye / bran",
        "bran in front and behind covers the lighter rye between; it shows where the hair moves and at the edge. bran / bran would be 1.5 "
        "farther off. No colour service is needed for the blend.");
}

/* The longest codes there are must not cut a sentence short. */
static void sentences_have_room(void **state)
{
    (void)state;
    told t;
    named(&t, 4);
    for (size_t i = 0; i < 4; i++) {
        memset(t.items[i].code, 'a' + (int)i, WM_CODE_SIZE - 1);
        t.items[i].code[WM_CODE_SIZE - 1] = '\0';
    }
    size_t longest = 0;
    for (int L = 0; L <= 100; L += 10) {
        for (int worn = 0; worn < 3; worn++) {
            wm_proposals found = told_about(&t, (wm_lab){ L, 8, L / 4.0 }, (wm_worn)worn);
            for (size_t i = 0; i < found.count; i++) {
                size_t size = strlen(found.items[i].why);
                assert_int_equal(found.items[i].why[size - 1], '.');
                longest = size > longest ? size : longest;
            }
            size_t size = strlen(found.missing);
            assert_true(size == 0 || found.missing[size - 1] == '.');
        }
    }
    printf("# longest sentence: %zu of %d bytes\n", longest, WM_WHY_SIZE);
    assert_true(longest < WM_WHY_SIZE - 60);
}

/* M10: of shades whose fibre mix is T, the share comes out; never more than an orientation. */
static void m10_ideal_mix(void **state)
{
    (void)state;
    told t;
    named(&t, 2);
    wm_part parts[] = { { wm_lab_to_cone(t.items[0].lab), 0.7 }, { wm_lab_to_cone(t.items[1].lab), 0.3 } };
    wm_cone mixed;
    assert_int_equal(wm_mix(&mixed, parts, 2, 1, &SETTINGS.law, NULL), WM_OK);
    wm_proposals found = told_about(&t, wm_cone_to_lab(mixed), WM_WORN_BOTH);
    assert_true(found.has_ideal_mix);
    assert_string_equal(found.ideal[0]->code, "mist");
    assert_string_equal(found.ideal[1]->code, "peat");
    near("share of peat", found.ideal_fit.q, 0.7, 1e-6);
    near("rest", found.ideal_fit.de00, 0, 1e-6);
}

/* B8: a shade that is itself a mix with gray enters with its colour, like any other. */
static void b8_ready_mixed_gray_counts_like_any_other(void **state)
{
    (void)state;
    told t;
    named(&t, 3);
    t.items[2] = wm_swatch_new("heather", "", (wm_lab){ 34.8, 5.2, 11.4 });
    t.items[2].gray_share = 0.3;
    wm_proposals found = told_about(&t, (wm_lab){ 35.14, 5.21, 11.38 }, WM_WORN_BOTH);
    assert_int_equal(found.items[0].shade_count,
                     1); /* twice, because the dark base behind shows where a single layer moves */
    assert_string_equal(found.items[0].layers[0]->code, "heather");
    assert_int_equal(found.items[0].verdict, WM_VERDICT_MATCH);
}

static void refuses_what_can_not_be_searched(void **state)
{
    (void)state;
    shelf s = shelf_of(2, 1, false);
    wm_layers_goal goal = goal_at((wm_lab){ 40, 6, 16 }, (wm_lab){ 40, 6, 16 });
    wm_layers_settings settings = SETTINGS;
    wm_proposals found = { .count = 77 };
    wm_error err = { 0 };
    const wm_shades none = { 0 };
    assert_int_equal(wm_layers_search(&found, &none, &goal, &settings, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "no hair shade is left"));
    settings.max_layers = 4;
    assert_int_equal(wm_layers_search(&found, &s.shades, &goal, &settings, &err), WM_E_USAGE);
    assert_int_equal(found.count, 77);
    shelf_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_that_of_brute_force),
        cmocka_unit_test(all_ties_fall_by_m5),
        cmocka_unit_test(m16_threads_and_order_do_not_matter),
        cmocka_unit_test(m13_m15_says_why),
        cmocka_unit_test(m15_says_what_is_missing),
        cmocka_unit_test(sentences_have_room),
        cmocka_unit_test(m10_ideal_mix),
        cmocka_unit_test(b8_ready_mixed_gray_counts_like_any_other),
        cmocka_unit_test(refuses_what_can_not_be_searched),
    };
    return cmocka_run_group_tests_name("search", tests, NULL, NULL);
}

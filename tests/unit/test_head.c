/* head (M22). Expected values come from an independent implementation in Python of the same rule (draws, and
 * scipy.optimize.least_squares of the same residuals), unless worked by hand. Heads invented. */
#include "match/head.h"
#include "support/example_head.h"
#include "support/near.h"

#include <math.h>
#include <string.h>

static wm_drawn_head draw(const wm_head_zone *zones, size_t count)
{
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    wm_drawn_head head = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_head_draw(&head, zones, count, &law, &err), WM_OK);
    return head;
}

static void near_lab(const char *name, wm_cone got, wm_lab want)
{
    wm_lab lab = wm_cone_to_lab(got);
    near(name, lab.L, want.L, 1e-4);
    near(name, lab.a, want.a, 1e-4);
    near(name, lab.b, want.b, 1e-4);
}

/* What was fitted: derivatives are differences, and the last of the steps is short of the end. */
static void near_fit(const char *name, wm_cone got, wm_lab want)
{
    wm_lab lab = wm_cone_to_lab(got);
    near(name, lab.L, want.L, 2e-3);
    near(name, lab.a, want.a, 2e-3);
    near(name, lab.b, want.b, 2e-3);
}

static void the_head_of_the_check_values(void **state)
{
    (void)state;
    const wm_head_zone zones[] = { zone_of(WM_ZONE_ROOT, "crown", 0.24), zone_of(WM_ZONE_GRAY, "temple", 0.40),
                                   zone_of(WM_ZONE_MID, "mid", 0.12), zone_of(WM_ZONE_ENDS, "ends", 0) };
    wm_drawn_head head = draw(zones, 4);
    assert_true(head.has_gray && head.has_base && !head.bases_apart);
    near_fit("gray", head.gray[0], (wm_lab){ 66.1500, 1.1796, 7.0838 });
    near_fit("gray 1", head.gray[1], (wm_lab){ 64.7610, 0.4302, 6.8260 });
    near_fit("gray 2", head.gray[2], (wm_lab){ 65.0382, 1.0956, 6.4281 });
    near_fit("gray 40", head.gray[40], (wm_lab){ 67.0878, 0.9356, 5.5198 });
    near_lab("temple body 1", head.zones[1].body[1], (wm_lab){ 49.5477, 1.4960, 7.1585 });
    near_lab("temple base 1", head.zones[1].base[1], (wm_lab){ 28.0824, 4.9676, 10.7867 });
    near_lab("temple base 40", head.zones[1].base[40], (wm_lab){ 26.2027, 5.3753, 10.1380 });
    near("temple share 1", head.zones[1].share[1], 0.481143, 5e-5);
    near("temple share 40", head.zones[1].share[40], 0.410675, 5e-5);
    near_lab("ends base 2", head.zones[3].base[2], (wm_lab){ 27.2799, 6.4186, 11.1460 });
    near("law as given", head.law[0].g, 0.75, 0);
    near("law 1", head.law[1].g, 0.6549, 5e-5);
    near("law 40", head.law[40].g, 0.6718, 5e-5);
    near("k0 1", head.law[1].k0, 1.5 * (1 - head.law[1].g), 1e-12);
    near("grayest", wm_drawn_head_grayest(&head), 0.397927, 1e-5);
    wm_drawn_head_free(&head);
}

static double highest_law(double g, double *lowest)
{
    const wm_hair_law law = wm_hair_law_of(g);
    wm_head_zone zone = zone_of(WM_ZONE_MID, "mid", 0);
    wm_drawn_head head = { 0 };
    assert_int_equal(wm_head_draw(&head, &zone, 1, &law, NULL), WM_OK);
    double highest = 0;
    *lowest = 1;
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        highest = fmax(highest, head.law[k].g);
        *lowest = fmin(*lowest, head.law[k].g);
    }
    wm_drawn_head_free(&head);
    return highest;
}

static void the_law_stays_where_hair_was_simulated(void **state)
{
    (void)state;
    double lowest;
    near("not above", highest_law(0.75, &lowest), 0.88, 1e-12);
    near("two and a half deviations below", lowest, 0.75 - 0.08 * 2.41756, 1e-5);
    highest_law(0.60, &lowest);
    near("not below", lowest, 0.55, 1e-12);
    near("a salon's own law stays possible", highest_law(0.9, &lowest), 0.9, 1e-12);
}

/* One zone at the end of what can be: shares of at most 0.97, bases not below L* 2. */
static wm_head_zone lone_zone(wm_lab lab, double share, wm_lab base, wm_lab gray)
{
    wm_head_zone zone = { .kind = WM_ZONE_MID,
                          .lab = lab,
                          .sigma = { 2, 0.5, 0.5 },
                          .has_share = true,
                          .share = share,
                          .u_share = 0.09,
                          .has_base = true,
                          .has_gray = true,
                          .base = base,
                          .gray = gray };
    strcpy(zone.name, "t");
    return zone;
}

static int extreme_row(const wm_cone *cones, double sign)
{
    int row = 1;
    for (int k = 2; k < WM_DRAW_ROWS; k++)
        if (sign * (cones[k].c[1] - cones[row].c[1]) > 0)
            row = k;
    return row;
}

static void what_is_drawn_stays_hair(void **state)
{
    (void)state;
    wm_head_zone light = lone_zone((wm_lab){ 97, 0, 2 }, 0.97, (wm_lab){ 90, 1, 3 }, (wm_lab){ 97, 0, 1 });
    wm_drawn_head head = draw(&light, 1);
    double most = 0;
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        most = fmax(most, head.zones[0].share[k]);
    near("share", most, 0.97, 1e-12);
    wm_drawn_head_free(&head);
    wm_head_zone black = lone_zone((wm_lab){ 10, 1, 2 }, 0.1, (wm_lab){ 2.5, 1, 1 }, (wm_lab){ 60, 1, 6 });
    head = draw(&black, 1);
    near("base", wm_cone_to_lab(head.zones[0].base[extreme_row(head.zones[0].base, -1)]).L, 2, 1e-3);
    wm_drawn_head_free(&head);
}

static void a_small_share_tells_little_of_the_gray(void **state)
{
    (void)state;
    wm_head_zone zone = lone_zone((wm_lab){ 40, 4, 8 }, 0.2, (wm_lab){ 30, 5, 9 }, (wm_lab){ 66, 1, 7 });
    zone.sigma.L = 1;
    wm_drawn_head head = draw(&zone, 1);
    near("share", head.zones[0].share[0], 0.156185, 1e-4);
    near_fit("gray", head.gray[0], (wm_lab){ 66.2994, 1.1881, 7.5872 });
    near("share 9", head.zones[0].share[9], 0.099234, 1e-3);
    near("gray 9", wm_cone_to_lab(head.gray[9]).L, 68.6781, 0.02);
    wm_drawn_head_free(&head);
}

/* A share that is said to be certain is known within a hundredth. */
static void no_share_is_certain(void **state)
{
    (void)state;
    wm_head_zone zone = lone_zone((wm_lab){ 40, 4, 8 }, 0.2, (wm_lab){ 30, 5, 9 }, (wm_lab){ 66, 1, 7 });
    zone.sigma.L = 1;
    zone.u_share = 0;
    wm_drawn_head head = draw(&zone, 1);
    near("share", head.zones[0].share[0], 0.197850, 2e-5);
    near("share 9", head.zones[0].share[9], 0.173297, 1e-4);
    wm_drawn_head_free(&head);
}

static void without_populations_there_is_no_gray(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0), zone_of(WM_ZONE_GRAY, "temple", 0.3) };
    zones[1].has_base = zones[1].has_gray = false;
    wm_drawn_head head = draw(zones, 2);
    assert_false(head.has_gray);
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        near("no share", head.zones[1].share[k], 0, 0);
        near("base is body", head.zones[1].base[k].c[0], head.zones[1].body[k].c[0], 1e-15);
    }
    wm_drawn_head_free(&head);
}

/* What is beneath comes from the other zones; without any, the body is the gray. */
static void gray_all_over_takes_its_base_from_the_other_zones(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0), zone_of(WM_ZONE_GRAY, "temple", 0) };
    zones[0].u_share = 0; /* sure to have none */
    zones[1].lab = GRAY;
    zones[1].has_share = false;
    zones[1].all_over = true;
    wm_drawn_head head = draw(zones, 2);
    assert_true(head.has_gray && head.has_base);
    near("share", head.zones[1].share[0], 0.868406, 1e-4);
    near_fit("gray", head.gray[0], (wm_lab){ 69.2334, 0.9834, 7.1530 });
    near_fit("beneath", head.zones[1].base[0], (wm_lab){ 28.0065, 6.0056, 10.9962 });
    wm_drawn_head_free(&head);
    head = draw(&zones[1], 1);
    assert_true(head.has_gray && !head.has_base);
    near("share", head.zones[0].share[0], 0.85, 1e-12);
    near_lab("gray is her body colour", head.gray[0], GRAY);
    double least = 1;
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        least = fmin(least, head.zones[0].share[k]);
    near("least share", least, 0.85 - 0.14 * 2.41756, 1e-5);
    wm_drawn_head_free(&head);
}

/* With nothing to measure its lightness against, all is her own; beside gray all over too it is no gray. */
static void a_marked_temple_alone_that_was_not_counted_is_her_own(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_GRAY, "temple", 0.2), zone_of(WM_ZONE_GRAY, "other", 0.8) };
    zones[0].has_base = false; /* little gray that hides its base */
    wm_drawn_head head = draw(zones, 1);
    assert_true(head.has_base && head.base_seen && !head.has_gray);
    near("share", head.zones[0].share[0], 0, 0);
    near_lab("her own", head.zones[0].base[0], zones[0].lab);
    wm_drawn_head_free(&head);
    zones[1].has_share = zones[1].has_base = zones[1].has_gray = false;
    zones[1].all_over = true;
    head = draw(zones, 2);
    assert_true(!head.has_base && head.has_gray);
    near_lab("the gray is that of the other", head.gray[0], zones[1].lab);
    wm_drawn_head_free(&head);
}

/* Two mid-lengths 9.8 and 10.2 apart. */
/* M24 */
static void bases_further_apart_than_ten_are_told_apart(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0), zone_of(WM_ZONE_ENDS, "ends", 0) };
    zones[0].lab = (wm_lab){ 50, 0, 0 };
    zones[1].lab = (wm_lab){ 59.9, 0, 0 }; /* dE00 9.37: S_L is 1.06 */
    wm_drawn_head head = draw(zones, 2);
    assert_false(head.bases_apart);
    wm_drawn_head_free(&head);
    zones[1].lab.L = 60.5; /* 9.89 */
    head = draw(zones, 2);
    assert_false(head.bases_apart);
    wm_drawn_head_free(&head);
    zones[1].lab.L = 61.2; /* 10.48 */
    head = draw(zones, 2);
    assert_true(head.bases_apart);
    wm_drawn_head_free(&head);
    zones[1].kind = WM_ZONE_GRAY; /* weighs nothing in the base (M6) */
    head = draw(zones, 2);
    assert_false(head.bases_apart);
    wm_drawn_head_free(&head);
}

/* M6 by hand: mid 0.5, ends and root 0.25; missing ones dropped; of a kind shared; a place counts as its kind. */
static void weights_by_kind_and_by_place(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_ROOT, "crown", 0), zone_of(WM_ZONE_MID, "left", 0),
                             zone_of(WM_ZONE_MID, "right", 0), zone_of(WM_ZONE_GRAY, "temple", 0) };
    double weight[4];
    wm_drawn_head head = draw(zones, 4);
    wm_drawn_head_weights(weight, &head, WM_BASE_WEIGHTS, false);
    near("root", weight[0], 1.0 / 3, 1e-12);
    near("left", weight[1], 1.0 / 3, 1e-12);
    near("right", weight[2], 1.0 / 3, 1e-12);
    near("gray", weight[3], 0, 0);
    wm_drawn_head_free(&head);
    zones[2].place = WM_PLACE_SIDE;
    head = draw(zones, 4);
    assert_int_equal(wm_drawn_zone_kind(&head.zones[2]), WM_ZONE_GRAY);
    wm_drawn_head_weights(weight, &head, WM_BASE_WEIGHTS, true);
    near("one mid left", weight[1], 2.0 / 3, 1e-12);
    near("at the side", weight[2], 0, 0);
    wm_drawn_head_weights(weight, &head, WM_BASE_WEIGHTS, false);
    near("its kind elsewhere", weight[2], 1.0 / 3, 1e-12);
    wm_drawn_head_free(&head);
    head = draw(&zones[3], 1);
    wm_drawn_head_weights(weight, &head, WM_BASE_WEIGHTS, false);
    near("nothing else", weight[0], 1, 0);
    wm_drawn_head_free(&head);
}

static void impossible_zones_are_refused(void **state)
{
    (void)state;
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    wm_drawn_head head = { .zone_count = 7 };
    for (int fault = 0; fault < 6; fault++) {
        wm_head_zone zone = zone_of(WM_ZONE_MID, "mid", 0.2);
        wm_error err = { 0 };
        if (fault == 0)
            zone.lab.L = (double)NAN;
        if (fault == 1)
            zone.share = 1.1;
        if (fault == 2)
            zone.sigma.a = -1;
        if (fault == 3)
            zone.u_share = (double)NAN;
        if (fault == 4)
            zone.kind = WM_ZONE_CARD;
        if (fault == 5)
            zone.gray.b = (double)INFINITY;
        assert_int_equal(wm_head_draw(&head, &zone, 1, &law, &err), WM_E_INPUT);
        assert_non_null(strstr(err.text, "'mid'"));
    }
    assert_int_equal(wm_head_draw(&head, NULL, 0, &law, NULL), WM_E_INPUT);
    assert_int_equal(head.zone_count, 7);
    wm_drawn_head_free(NULL);
}

/* M33 by hand: 0.1 more at the temple, half of that where half as much is. */
static void gray_rises_in_proportion(void **state)
{
    (void)state;
    const wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0.2), zone_of(WM_ZONE_GRAY, "temple", 0.4),
                                   zone_of(WM_ZONE_ENDS, "ends", 0) };
    wm_drawn_head head = draw(zones, 3), risen;
    assert_int_equal(wm_drawn_head_rise(&risen, &head, 0.1, NULL), WM_OK);
    near("temple", risen.zones[1].share[0] - head.zones[1].share[0], 0.1, 1e-12);
    near("mid", risen.zones[0].share[0] / head.zones[0].share[0], risen.zones[1].share[0] / head.zones[1].share[0],
         1e-12);
    near("ends", risen.zones[2].share[0], 0, 0);
    near("her gray stays", risen.gray[0].c[1], head.gray[0].c[1], 0);
    for (int c = 0; c < 3; c++) /* what is base now and gray then */
        near("temple body", risen.zones[1].body[0].c[c] - head.zones[1].body[0].c[c],
             0.1 * (head.gray[0].c[c] - head.zones[1].base[0].c[c]), 1e-12);
    wm_drawn_head_free(&risen);
    assert_int_equal(wm_drawn_head_rise(&risen, &head, 0.8, NULL), WM_OK);
    near("not more than all", risen.zones[1].share[0], 1, 1e-12);
    wm_drawn_head_free(&risen);
    wm_drawn_head_free(&head);
}

/* No pixel shows the base alone, so that only the gray and the share are known: the base is what they leave of the
 * body. */
static void a_base_that_no_pixel_shows_is_what_the_gray_leaves(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0.5), zone_of(WM_ZONE_GRAY, "temple", 0.65),
                             zone_of(WM_ZONE_ROOT, "crown", 0) };
    zones[0].has_base = zones[1].has_base = false;
    wm_drawn_head head = draw(zones, 2);
    assert_true(head.has_gray && head.has_base);
    near("share", head.zones[1].share[0], 0.64919, 1e-4);
    near_fit("her gray", head.gray[0], (wm_lab){ 66.1192, 1.1471, 7.0653 });
    near_fit("mid", head.zones[0].base[0], (wm_lab){ 27.4869, 6.6397, 10.9238 });
    near_fit("temple", head.zones[1].base[0], (wm_lab){ 27.4101, 7.0808, 10.7119 });
    wm_drawn_head_free(&head);
    zones[2].all_over = true;
    zones[2].has_share = false;
    zones[2].lab = GRAY;
    head = draw(zones, 3);
    assert_true(head.has_base);
    near_fit("gray all over takes it from them", head.zones[2].base[0], (wm_lab){ 25.4197, 7.2138, 11.9008 });
    wm_drawn_head_free(&head);
}

/* Usual gray in cone space as the design of the rules gives it (M23). */
static const wm_cone USUAL = { { 0.38458648, 0.37195436, 0.31197632 } };

static wm_head_zone unresolved(wm_zone_kind kind, const char *name, double share, wm_cone gray)
{
    wm_head_zone zone = zone_of(kind, name, 0);
    wm_cone base = wm_lab_to_cone(BASE);
    for (int c = 0; c < 3; c++)
        base.c[c] = (1 - share) * base.c[c] + share * gray.c[c];
    zone.lab = wm_cone_to_lab(base);
    zone.has_share = false;
    zone.u_share = 0;
    return zone;
}

/* A temple that nobody counted: 0.35 of the usual gray, and what is expected of a marked zone draws it up a little. */
static void where_gray_is_marked_but_not_told_its_lightness_says_how_much(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0), unresolved(WM_ZONE_GRAY, "temple", 0.35, USUAL) };
    zones[0].u_share = 0;
    wm_drawn_head head = draw(zones, 2);
    assert_true(head.has_gray && head.has_base && head.zones[1].known == WM_GRAY_KNOWN_BY_LIGHTNESS);
    near("share", head.zones[1].share[0], 0.359460, 1e-5);
    near_fit("beneath", head.zones[1].base[0], (wm_lab){ 27.9847, 6.0039, 10.9997 });
    near_fit("gray", head.gray[0], (wm_lab){ 67.1220, 0.5743, 8.2482 });
    near("share 1", head.zones[1].share[1], 0.412806, 3e-4);
    near_fit("gray 1", head.gray[1], (wm_lab){ 65.5747, -0.0311, 6.0446 });
    wm_drawn_head_free(&head);
    zones[1].kind = WM_ZONE_ROOT;
    head = draw(zones, 2);
    assert_false(head.has_gray);
    wm_drawn_head_free(&head);
}

static wm_head_zone blond(wm_zone_kind kind, const char *name, wm_lab lab)
{
    wm_head_zone zone = unresolved(kind, name, 0, USUAL);
    zone.lab = lab;
    return zone;
}

/* Light hair in which nothing could be counted: her own colour is darker and richer than any zone shows it. What is
 * expected of each zone is held by its last digits. Then with the way from her own colour to her gray (G12) known in
 * two zones. */
static void light_hair_is_fitted_as_a_whole(void **state)
{
    (void)state;
    wm_head_zone zones[] = { blond(WM_ZONE_ROOT, "crown", (wm_lab){ 55, 4.5, 14 }),
                             blond(WM_ZONE_GRAY, "temple", (wm_lab){ 60, 3, 11 }),
                             blond(WM_ZONE_MID, "mid", (wm_lab){ 52, 5.8, 17.5 }),
                             blond(WM_ZONE_ENDS, "ends", (wm_lab){ 54, 5, 18.5 }) };
    const double share[2][4] = { { 0.259704, 0.507203, 0.086939, 0.095270 },
                                 { 0.256389, 0.507915, 0.086877, 0.097681 } };
    const wm_lab base[] = { { 50.9040, 6.2233, 20.0103 }, { 50.5108, 6.3050, 19.8420 } },
                 gray[] = { { 66.9246, 0.8306, 6.4624 }, { 67.7642, 0.7818, 6.9850 } };
    for (int lines = 0; lines < 2; lines++) {
        wm_drawn_head head = draw(zones, 4);
        assert_true(head.has_gray && head.has_base);
        for (int i = 0; i < 4; i++)
            near(zones[i].name, head.zones[i].share[0], share[lines][i], 1e-4);
        near_fit("her own colour", head.zones[1].base[0], base[lines]);
        near_fit("her gray", head.gray[0], gray[lines]);
        wm_drawn_head_free(&head);
        zones[1].has_line = zones[2].has_line = true;
        zones[1].line_rad = -0.2;
        zones[1].line_variance = 0.03;
        zones[2].line_rad = 0.3;
        zones[2].line_variance = 0.01;
    }
}

/* In light hair a base that was told hangs on what gray its dark pixels hold: the other zones say more of its hue. */
static void a_base_told_in_light_hair_is_in_doubt(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_in((wm_lab){ 52, 6, 18 }, (wm_lab){ 68, 1, 8 }, WM_ZONE_GRAY, "temple", 0.5),
                             blond(WM_ZONE_MID, "mid", (wm_lab){ 54, 5, 16.5 }) };
    zones[0].base = (wm_lab){ 54, 4, 12 };
    wm_drawn_head head = draw(zones, 2);
    near("share", head.zones[0].share[0], 0.489688, 4e-4);
    near("her gray", wm_cone_to_lab(head.gray[0]).L, 66.9634, 0.05); /* beside mid's share, which is held at 0 */
    near("told", wm_cone_to_lab(head.zones[0].base[0]).b, 12, 1e-9);
    wm_drawn_head_free(&head);
    zones[1].has_line = true;
    zones[1].line_rad = 0.1;
    zones[1].line_variance = 0.02;
    head = draw(zones, 2);
    near("share 3", head.zones[0].share[3], 0.519187, 2e-3);
    near("mid 3", head.zones[1].share[3], 0.034492, 2e-3);
    near("gray 3", wm_cone_to_lab(head.gray[3]).L, 62.1812, 0.02);
    wm_drawn_head_free(&head);
}

/* Zones that nobody counted follow a temple that was; what it hides is her own colour elsewhere. */
static void zones_follow_a_temple_that_was_counted(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0), zone_of(WM_ZONE_GRAY, "temple", 0.6),
                             unresolved(WM_ZONE_ROOT, "crown", 0.2, wm_lab_to_cone(GRAY)) };
    zones[0].u_share = 0;
    zones[1].has_base = false;
    wm_drawn_head head = draw(zones, 3);
    assert_true(head.zones[1].known == WM_GRAY_KNOWN_OVER_HIDDEN && head.zones[2].known == WM_GRAY_KNOWN_BY_LIGHTNESS);
    near("temple", head.zones[1].share[0], 0.595451, 1e-5);
    near("crown", head.zones[2].share[0], 0.200954, 1e-5);
    near_fit("beneath the temple", head.zones[1].base[0], (wm_lab){ 27.9746, 6.0431, 10.9875 });
    wm_drawn_head_free(&head);
}

/* Held from both sides: 0.05 counts as gray. A temple darker than her own colour has none. */
static void a_temple_that_is_hardly_lighter_has_no_gray(void **state)
{
    (void)state;
    const double shares[] = { 0.044, 0.050, -0.1 };
    for (int i = 0; i < 3; i++) {
        wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0), unresolved(WM_ZONE_GRAY, "temple", shares[i], USUAL) };
        wm_drawn_head head = draw(zones, 2);
        assert_int_equal(head.has_gray, i == 1);
        near("share", head.zones[1].share[0], i == 1 ? 0.053353 : 0, 1e-5);
        wm_drawn_head_free(&head);
    }
}

/* Where another zone tells her gray; for gray all over as well. */
static void lightness_is_read_by_the_gray_that_other_zones_tell(void **state)
{
    (void)state;
    wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0.3),
                             unresolved(WM_ZONE_GRAY, "temple", 0.7, wm_lab_to_cone(GRAY)) };
    const double share[] = { 0.665018, 0.744872 };
    const wm_lab gray[] = { { 66.9241, 1.1184, 7.1064 }, { 65.1187, 1.1950, 7.0871 } };
    for (int all_over = 0; all_over < 2; all_over++) {
        zones[1].all_over = all_over;
        wm_drawn_head head = draw(zones, 2);
        near_fit("gray", head.gray[0], gray[all_over]);
        near("share", head.zones[1].share[0], share[all_over], 1e-4);
        wm_drawn_head_free(&head);
    }
}

/* Held from both sides: 0.3 of gray may hide its base. */
static void little_gray_that_hides_its_base_is_no_finding(void **state)
{
    (void)state;
    const double shares[] = { 0.28, 0.32 };
    for (int i = 0; i < 2; i++) {
        wm_head_zone zone = zone_of(WM_ZONE_MID, "mid", shares[i]);
        zone.has_base = false;
        wm_drawn_head head = draw(&zone, 1);
        assert_int_equal(head.has_gray, i == 1);
        near("share", head.zones[0].share[0], i == 1 ? 0.32 : 0, 1e-5);
        wm_drawn_head_free(&head);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_head_of_the_check_values),
        cmocka_unit_test(the_law_stays_where_hair_was_simulated),
        cmocka_unit_test(what_is_drawn_stays_hair),
        cmocka_unit_test(a_small_share_tells_little_of_the_gray),
        cmocka_unit_test(no_share_is_certain),
        cmocka_unit_test(without_populations_there_is_no_gray),
        cmocka_unit_test(gray_all_over_takes_its_base_from_the_other_zones),
        cmocka_unit_test(a_base_that_no_pixel_shows_is_what_the_gray_leaves),
        cmocka_unit_test(where_gray_is_marked_but_not_told_its_lightness_says_how_much),
        cmocka_unit_test(light_hair_is_fitted_as_a_whole),
        cmocka_unit_test(a_base_told_in_light_hair_is_in_doubt),
        cmocka_unit_test(zones_follow_a_temple_that_was_counted),
        cmocka_unit_test(a_temple_that_is_hardly_lighter_has_no_gray),
        cmocka_unit_test(lightness_is_read_by_the_gray_that_other_zones_tell),
        cmocka_unit_test(little_gray_that_hides_its_base_is_no_finding),
        cmocka_unit_test(a_marked_temple_alone_that_was_not_counted_is_her_own),
        cmocka_unit_test(bases_further_apart_than_ten_are_told_apart),
        cmocka_unit_test(weights_by_kind_and_by_place),
        cmocka_unit_test(impossible_zones_are_refused),
        cmocka_unit_test(gray_rises_in_proportion),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

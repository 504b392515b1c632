/* segment (M26), worked by hand; targets against an independent implementation in Python. Heads invented. What lies
 * where, and how much it weighs: our own. */
#include "match/segment.h"
#include "support/example_head.h"
#include "support/near.h"

#include <string.h>

static wm_drawn_head draw(const wm_head_zone *zones, size_t count)
{
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    wm_drawn_head head = { 0 };
    assert_int_equal(wm_head_draw(&head, zones, count, &law, NULL), WM_OK);
    return head;
}

static wm_drawn_head usual(void)
{
    const wm_head_zone zones[] = { zone_of(WM_ZONE_ROOT, "crown", 0.24), zone_of(WM_ZONE_GRAY, "temple", 0.40),
                                   zone_of(WM_ZONE_MID, "mid", 0.12), zone_of(WM_ZONE_ENDS, "ends", 0) };
    return draw(zones, 4);
}

static void a_row_round_the_back_has_two_ends(void **state)
{
    (void)state;
    wm_drawn_head head = usual();
    wm_segment s[WM_MAX_SEGMENTS];
    wm_placed_row row = { WM_PLACE_BACK, 29, 24 };
    assert_int_equal(wm_segments_of(s, &row, 1, &head), 2);
    assert_int_equal(s[0].place, WM_PLACE_SIDE);
    assert_int_equal(s[0].sides, 2);
    near("an end", s[0].length_cm, 6, 1e-12);
    near("its weight", s[0].weight, 0.5, 1e-12);
    assert_int_equal(s[1].place, WM_PLACE_BACK);
    near("what is between", s[1].length_cm, 12, 1e-12);
    near("its weight", s[1].weight, 0.5, 1e-12);
    row.row_cm = 18;
    assert_int_equal(wm_segments_of(s, &row, 1, &head), 2);
    row.row_cm = 17.9;
    assert_int_equal(wm_segments_of(s, &row, 1, &head), 1);
    near("whole", s[0].length_cm, 17.9, 1e-12);
    near("all", s[0].weight, 1, 1e-12);
    row = (wm_placed_row){ WM_PLACE_CROWN, 29, 24 };
    assert_int_equal(wm_segments_of(s, &row, 1, &head), 1);
    assert_int_equal(s[0].place, WM_PLACE_CROWN);
    wm_drawn_head_free(&head);
}

static void rows_weigh_by_their_length(void **state)
{
    (void)state;
    wm_drawn_head head = usual();
    wm_segment s[WM_MAX_SEGMENTS];
    const wm_placed_row rows[] = { { WM_PLACE_BACK, 29, 24 }, { WM_PLACE_NAPE, 21, 16 } };
    assert_int_equal(wm_segments_of(s, rows, 2, &head), 3);
    near("ends", s[0].weight, 0.3, 1e-12);
    near("back", s[1].weight, 0.3, 1e-12);
    near("nape", s[2].weight, 0.4, 1e-12);
    assert_int_equal(s[2].row, 1);
    wm_drawn_head_free(&head);
}

static size_t segments_with_temples(wm_segment *s, double left, double right, wm_place mid)
{
    wm_head_zone zones[] = { zone_of(WM_ZONE_GRAY, "left", left), zone_of(WM_ZONE_GRAY, "right", right),
                             zone_of(WM_ZONE_MID, "mid", 0.1) };
    zones[2].place = mid;
    wm_drawn_head head = draw(zones, 3);
    wm_placed_row row = { WM_PLACE_BACK, 29, 24 };
    size_t count = wm_segments_of(s, &row, 1, &head);
    wm_drawn_head_free(&head);
    return count;
}

static void ends_that_differ_are_sewn_each_for_itself(void **state)
{
    (void)state;
    wm_segment s[WM_MAX_SEGMENTS];
    assert_int_equal(segments_with_temples(s, 0.3, 0.49, WM_PLACE_BY_KIND), 2);
    assert_int_equal(segments_with_temples(s, 0.3, 0.51, WM_PLACE_BY_KIND), 3);
    assert_int_equal(s[0].end, 0);
    assert_int_equal(s[1].end, 1);
    assert_int_equal(s[0].sides, 1);
    near("one end", s[0].weight, 0.25, 1e-12);
    near("back", s[2].weight, 0.5, 1e-12);
    assert_int_equal(segments_with_temples(s, 0.3, 0.51, WM_PLACE_SIDE), 2); /* three zones at the sides */
}

static void targets_are_those_of_the_check_head(void **state)
{
    (void)state;
    static const struct {
        wm_place place;
        wm_lab body, base;
        double share;
    } rows[] = { { WM_PLACE_SIDE, { 49.5477, 1.4960, 7.1585 }, { 28.0824, 4.9676, 10.7867 }, 0.4811 },
                 { WM_PLACE_BACK, { 34.3837, 3.4860, 10.3217 }, { 29.0806, 4.7437, 12.0793 }, 0.0880 },
                 { WM_PLACE_CROWN, { 39.5246, 2.8214, 9.1196 }, { 29.2432, 5.1191, 11.8728 }, 0.1922 },
                 { WM_PLACE_NAPE, { 31.9544, 3.8383, 11.1467 }, { 29.1696, 4.5088, 12.2059 }, 0.0440 } };
    wm_drawn_head head = usual();
    for (size_t i = 0; i < 4; i++) {
        wm_segment segment = { 0, rows[i].place, -1, 24, 1, 1, 0 };
        wm_drawn_target target;
        assert_int_equal(wm_target_draw(&target, &segment, &head, NULL), WM_OK);
        near("body L", target.body[1].L, rows[i].body.L, 1e-4);
        near("body b", target.body[1].b, rows[i].body.b, 1e-4);
        near("base L", target.bases[1].L, rows[i].base.L, 1e-4);
        near("base b", target.bases[1].b, rows[i].base.b, 1e-4);
        near("share", target.share[1], rows[i].share, 5e-5);
        assert_int_equal(target.base_count, 1);
        wm_drawn_target_free(&target);
    }
    wm_drawn_head_free(&head);
}

static void an_end_of_its_own_has_its_zone_alone(void **state)
{
    (void)state;
    wm_drawn_head head = usual();
    wm_segment segment = { 0, WM_PLACE_SIDE, 0, 6, 1, 0.25, 0 };
    double weight[4];
    wm_segment_weights(weight, &segment, &head);
    near("crown", weight[0], 1, 0);
    near("temple", weight[1], 0, 0);
    wm_drawn_head_free(&head);
}

static void a_row_beside_one_zone_is_one_segment(void **state)
{
    (void)state;
    const wm_placed_row rows[] = { { WM_PLACE_BACK, 29, 24 }, { WM_PLACE_NAPE, 21, 16 } };
    wm_drawn_head head = usual();
    wm_segment s[WM_MAX_SEGMENTS];
    double weight[4];
    assert_int_equal(wm_segments_beside(s, rows, 2, 1), 2);
    near("first row", s[0].weight, 0.6, 1e-12);
    near("whole", s[0].length_cm, 24, 0);
    assert_int_equal(s[1].place, WM_PLACE_NAPE);
    for (size_t i = 0; i < 2; i++) {
        wm_segment_weights(weight, &s[i], &head);
        near("crown", weight[0], 0, 0);
        near("temple", weight[1], 1, 0);
    }
    wm_drawn_head_free(&head);
}

/* What hangs behind: mid, else ends, root, gray. */
static void what_hangs_behind(void **state)
{
    (void)state;
    const wm_head_zone zones[] = { zone_of(WM_ZONE_GRAY, "temple", 0.4), zone_of(WM_ZONE_ROOT, "crown", 0.2),
                                   zone_of(WM_ZONE_ENDS, "ends", 0.1), zone_of(WM_ZONE_MID, "mid", 0.15) };
    for (size_t count = 1; count <= 4; count++) {
        wm_drawn_head head = draw(zones, count);
        wm_cone behind[WM_DRAW_ROWS];
        wm_behind_draw(behind, &head);
        near("the last of these", behind[0].c[1], head.zones[count - 1].body[0].c[1], 1e-15);
        wm_drawn_head_free(&head);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_round_the_back_has_two_ends),
        cmocka_unit_test(rows_weigh_by_their_length),
        cmocka_unit_test(ends_that_differ_are_sewn_each_for_itself),
        cmocka_unit_test(targets_are_those_of_the_check_head),
        cmocka_unit_test(an_end_of_its_own_has_its_zone_alone),
        cmocka_unit_test(a_row_beside_one_zone_is_one_segment),
        cmocka_unit_test(what_hangs_behind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

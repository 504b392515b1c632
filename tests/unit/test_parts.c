/* parts: what is asked for is there, and no more than that is. */
#include "photo/parts.h"
#include "support/near.h"
#include "support/rng.h"

#include <stdlib.h>
#include <string.h>

static const wm_upright STORED = { 1, 1000, 700 };

static wm_parts around(const wm_box *boxes, size_t count, wm_upright how)
{
    return wm_parts_around((wm_boxes){ boxes, count }, how);
}

static void is(wm_box got, int x, int y, int width, int height)
{
    if (got.x != x || got.y != y || got.width != width || got.height != height)
        fail_msg("want %d %d %d %d, got %d %d %d %d", x, y, width, height, got.x, got.y, got.width, got.height);
}

/* Whole samples of 1, 2, 3 or 4 pixels, the pixels beside counted in, cut off at the picture's end. */
static void whole_samples(void **state)
{
    (void)state;
    const wm_box boxes[] = { { 100, 40, 20, 10 }, { 990, 690, 100, 100 } };
    const wm_parts parts = around(boxes, 2, STORED);
    assert_int_equal(parts.count, 2);
    is(parts.box[0], 96, 36, 36, 24);
    is(parts.box[1], 984, 684, 16, 16);
    const wm_box near_edge[] = { { 99, 39, 30, 30 } };
    is(around(near_edge, 1, STORED).box[0], 84, 24, 60, 60);
    const wm_box just_within[] = { { 100, 40, 28, 28 } };
    is(around(just_within, 1, STORED).box[0], 96, 36, 36, 36);
}

static void those_that_meet_become_one(void **state)
{
    (void)state;
    const wm_box boxes[] = { { 40, 40, 10, 10 }, { 200, 40, 10, 10 }, { 60, 40, 160, 10 } };
    const wm_parts parts = around(boxes, 3, STORED);
    assert_int_equal(parts.count, 1);
    is(parts.box[0], 36, 36, 192, 24);
}

static void none_or_most_is_the_whole(void **state)
{
    (void)state;
    assert_int_equal(around(NULL, 0, STORED).count, 0);
    const wm_box outside[] = { { 2000, 0, 10, 10 }, { -50, 10, 50, 10 }, { 10, 700, 10, 10 } };
    assert_int_equal(around(outside, 3, STORED).count, 0);
    const wm_box less[] = { { 0, 0, 488, 700 } }, most[] = { { 0, 0, 498, 700 } }; /* ends at 492, at 504 */
    assert_int_equal(around(less, 1, STORED).count, 1);
    assert_int_equal(around(most, 1, STORED).count, 0);
}

/* However many are asked for, each is in one part, no parts meet, and a box is found by where it lies. */
static void each_is_in_one_part(void **state)
{
    (void)state;
    rng r = { 7 };
    const wm_upright how = { 6, 4000, 3000 };
    for (int round = 0; round < 200; round++) {
        wm_box boxes[60];
        const size_t count = 1 + (size_t)(round % 60);
        for (size_t i = 0; i < count; i++)
            boxes[i] = (wm_box){ (int)(rng_between(&r, 0, 2900)), (int)(rng_between(&r, 0, 3900)),
                                 1 + (int)(rng_between(&r, 0, 90)), 1 + (int)(rng_between(&r, 0, 90)) };
        const wm_parts parts = around(boxes, count, how);
        assert_true(parts.count <= WM_PARTS_MOST);
        if (parts.count == 0)
            continue;
        for (size_t i = 0; i < count; i++)
            assert_true(wm_parts_with(&parts, wm_upright_box(how, boxes[i]), how) >= 0);
        for (int a = 0; a < parts.count; a++)
            for (int b = 0; b < a; b++)
                assert_int_equal(wm_parts_of(&parts, (wm_box){ parts.box[b].x, parts.box[b].y, 1, 1 }), b);
    }
}

/* A part holds itself, but not what is enlarged from beyond its edge; at the picture's edge there is nothing beyond. */
static void beside_a_part(void **state)
{
    (void)state;
    const wm_parts parts = { 1, { { 0, 32, 64, 64 } } };
    assert_int_equal(wm_parts_of(&parts, parts.box[0]), 0);
    assert_int_equal(wm_parts_of(&parts, (wm_box){ 0, 32, 65, 64 }), -1);
    assert_int_equal(wm_parts_with(&parts, (wm_box){ 0, 36, 60, 56 }, STORED), 0);
    assert_int_equal(wm_parts_with(&parts, (wm_box){ 0, 35, 60, 56 }, STORED), -1);
    assert_int_equal(wm_parts_with(&parts, (wm_box){ 0, 36, 61, 56 }, STORED), -1);
    assert_int_equal(wm_parts_with(&parts, (wm_box){ 0, 36, 60, 57 }, STORED), -1);
}

/* The box of stored pixels is that of each pixel. */
static void upright_boxes(void **state)
{
    (void)state;
    for (int o = 1; o <= 8; o++) {
        const wm_upright how = { o, 29, 17 };
        const wm_box box = { 3, 5, 7, 4 }, stored = wm_upright_box(how, box);
        assert_int_equal(stored.width * stored.height, 28);
        for (int i = 0; i < 28; i++) {
            const int at = (int)wm_upright_index(how, box.x + i % 7, box.y + i / 7), x = at % 29, y = at / 29;
            assert_true(x >= stored.x && x < stored.x + stored.width && y >= stored.y && y < stored.y + stored.height);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(whole_samples),
                                        cmocka_unit_test(those_that_meet_become_one),
                                        cmocka_unit_test(none_or_most_is_the_whole),
                                        cmocka_unit_test(each_is_in_one_part),
                                        cmocka_unit_test(beside_a_part),
                                        cmocka_unit_test(upright_boxes) };
    return cmocka_run_group_tests_name("parts", tests, NULL, NULL);
}

/* learning: what a salon's visits say about her hands. The salon is made up: its hair mixes by another law of light
 * than the setting says, and its stylist has her likes; both have to come out. */
#include "consult/learning.h"
#include "support/folder.h"
#include "support/near.h"
#include "support/stack.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>
#include <string.h>

#include "consult/finished.h"
#include "match/mixing.h"
#include "report/json_out.h"

static const wm_lab DARK = { 28, 5, 10 }, LIGHT = { 72, 1, 9 };

/* B5, fibre by fibre, as the renderer of the samples mixes too. */
static wm_lab mixed(double share, double g)
{
    const wm_hair_law law = wm_hair_law_of(g);
    const wm_part parts[] = { { wm_shade_cone(DARK), 1 - share }, { wm_shade_cone(LIGHT), share } };
    wm_cone cone = { { 0 } };
    assert_int_equal(wm_mix(&cone, parts, 2, 1, &law, NULL), WM_OK);
    return wm_cone_to_lab(cone);
}

typedef struct happened {
    const char *proposed, *installed;
    double far, share;
    wm_lab after; /* measured then, where she was photographed; L* 0: she was not */
} happened;

static void write_report(wm_buf *out, const happened *h)
{
    wm_report_zone zone = { .kind = WM_ZONE_MID,
                            .name = "mid",
                            .body = { .lab = mixed(h->share, 0.75), .u_de00 = 0.4, .claim = WM_CLAIM_NAME } };
    wm_report_proposal p = { .shade_count = 2, .layers = 1, .row_count = 1, .far = h->far, .why = "invented" };
    wm_report_segment *s = &p.rows[0].segments[0];
    p.rows[0] = (wm_report_row){ .arc_cm = -1, .row_cm = -1, .count = 1 };
    *s = (wm_report_segment){ .place = WM_PLACE_BACK, .length_cm = -1, .sides = 1, .layer_count = 1 };
    s->seen.down = s->seen.up = mixed(h->share, 0.75);
    s->layers[0].layer.second_share = h->share;
    snprintf(s->layers[0].layer.code, WM_CODE_SIZE, "%s", h->proposed);
    snprintf(p.shades[0].code, WM_CODE_SIZE, "%s", h->proposed);
    snprintf(p.shades[1].code, WM_CODE_SIZE, "light");
    p.shades[0].lab = DARK;
    p.shades[1].lab = LIGHT;
    wm_report report = { .zones = &zone, .zone_count = 1, .proposals = &p, .proposal_count = 1 };
    assert_int_equal(wm_report_to_json(out, &report, NULL), WM_OK);
}

static void write_after(wm_visit *visit, wm_lab lab)
{
    wm_after after = { 0 };
    wm_report_zone zone = { .kind = WM_ZONE_MID,
                            .name = "mid",
                            .body = { .lab = lab, .u_de00 = 0.4, .claim = WM_CLAIM_NAME } };
    wm_report report = { .zones = &zone, .zone_count = 1, .measured_only = true };
    assert_int_equal(wm_report_to_json(&after.json, &report, NULL), WM_OK);
    assert_int_equal(wm_after_put(visit, &after, false, NULL), WM_OK);
    wm_after_free(&after);
}

static wm_learning learn(const happened *all, size_t count)
{
    wm_book *book = NULL;
    int64_t client = 0, id = 0;
    wm_learning out = { 0 };
    wm_error err = { 0 };
    const wm_settings settings = wm_settings_default();
    unlink(folder_file("l.book"));
    if (wm_book_open(&book, folder_file("l.book"), WM_BOOK_CREATE, &err))
        fail_msg("%s", err.text);
    assert_int_equal(wm_book_client_add(&client, book, "Anna Berg", "", "2025-05-01", NULL), WM_OK);
    for (size_t i = 0; i < count; i++) {
        wm_buf json = { 0 };
        write_report(&json, &all[i]);
        wm_visit visit = { .client_id = client,
                           .date = "2025-05-14",
                           .report_json = { (unsigned char *)json.data, json.size },
                           .installed = stack_of(all[i].installed) };
        if (all[i].after.L > 0)
            write_after(&visit, all[i].after);
        if (wm_book_visit_save(&id, book, &visit, &err))
            fail_msg("%s", err.text);
        wm_bytes_free(&visit.after_report_json);
        wm_buf_free(&json);
    }
    if (wm_learning_of(&out, book, &settings, &err))
        fail_msg("%s", err.text);
    wm_book_close(book);
    return out;
}

/* Her hair mixes by g 0.65; finished rows of several shares say so, and lie darker than expected. */
static void B12_the_law_of_her_hair_comes_out(void **state)
{
    (void)state;
    happened all[8];
    for (int i = 0; i < 8; i++) {
        all[i] = (happened){ "dark", "dark", 1.0, 0.2 + 0.06 * i, mixed(0.2 + 0.06 * i, 0.65) };
        all[i].after.L += i % 2 ? 0.2 : -0.2; /* no photo is without noise */
    }
    wm_learning l = learn(all, 8);
    assert_true(l.light.known);
    assert_int_equal(l.light.zones, 8);
    near("g", l.light.g, 0.65, 0.03);
    assert_true(l.light.other_law);
    assert_true(l.light.g_low <= 0.66 && l.light.g_high >= 0.64 && l.light.g_high < 0.75);
    const double expected = mixed(0.41, 0.65).L - mixed(0.41, 0.75).L;
    near("bias, about that of the middle share", l.light.dL, expected, 0.25 * fabs(expected));
    wm_learning_free(&l);
}

static void hands_that_do_as_expected_leave_the_law(void **state)
{
    (void)state;
    happened all[8];
    for (int i = 0; i < 8; i++) {
        all[i] = (happened){ "dark", "dark", 1.0, 0.2 + 0.06 * i, mixed(0.2 + 0.06 * i, 0.75) };
        all[i].after.L += i % 2 ? 0.5 : -0.5;
    }
    wm_learning l = learn(all, 8);
    assert_true(l.light.known);
    assert_false(l.light.other_law);
    near("no bias", l.light.dL, 0, 0.01);
    near("its u: 0.5 / sqrt(7)", l.light.u_dL, 0.5 / sqrt(7), 0.01);
    wm_learning_free(&l);
    l = learn(all, 5); /* one too few */
    assert_false(l.light.known);
    wm_learning_free(&l);
}

/* "red" is proposed four times and sewn once; "dark" is taken always, up to dE00 2. */
static void likes_and_limits_come_out(void **state)
{
    (void)state;
    happened all[12];
    for (int i = 0; i < 8; i++)
        all[i] = (happened){ "dark", "dark", 0.5 + 0.2 * i, 0.3, { 0, 0, 0 } };
    for (int i = 8; i < 12; i++)
        all[i] = (happened){ "red", i == 8 ? "red" : "dark", i == 8 ? 1.0 : 4.0, 0.3, { 0, 0, 0 } };
    wm_learning l = learn(all, 12);
    assert_int_equal(l.visits, 12);
    assert_int_equal(l.limits.taken, 9);
    assert_int_equal(l.limits.left, 3);
    assert_true(l.limits.known);
    near("nine of ten", l.limits.taken_90, 1.9, 1e-4);
    near("left", l.limits.left_median, 4.0, 1e-4);
    assert_int_equal(l.avoided_count, 1);
    assert_string_equal(l.avoided[0].code, "red");
    assert_int_equal(l.avoided[0].proposed, 4);
    assert_int_equal(l.avoided[0].taken, 1);
    wm_learning_free(&l);
    l = learn(all, 11); /* three times are too few */
    assert_int_equal(l.avoided_count, 0);
    wm_learning_free(&l);
    l = learn(NULL, 0);
    assert_int_equal(l.visits, 0);
    assert_false(l.light.known);
    wm_learning_free(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(B12_the_law_of_her_hair_comes_out, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(hands_that_do_as_expected_leave_the_law, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(likes_and_limits_come_out, folder_make, folder_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* recheck (M31, M32): saved visits against another catalogue. Clients, shades and colours are invented. */
#include "consult/recheck.h"
#include "support/near.h"
#include "support/stack.h"
#include "support/folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "report/json_out.h"

/* A report of one mid zone, proposing one shade. */
static void report_of(wm_buf *out, const char *client, wm_lab hair, const char *code, wm_lab shade)
{
    wm_report_zone zone = { .kind = WM_ZONE_MID,
                            .name = "mid",
                            .body = {
                                .lab = hair, .sigma = { 0.3, 0.2, 0.2 }, .u_de00 = 0.4, .claim = WM_CLAIM_NAME } };
    wm_report_match match = { .lab = shade };
    wm_report_ranking ranking = { .target = "mid", .items = &match, .count = 1 };
    wm_report_proposal proposal = { .shade_count = 1, .layers = 1, .row_count = 1, .why = "invented" };
    proposal.rows[0] = (wm_report_row){ .arc_cm = -1, .row_cm = -1, .count = 1 };
    proposal.rows[0].segments[0] = (wm_report_segment){ .length_cm = -1, .sides = 1, .layer_count = 1 };
    wm_report report = { .zones = &zone,
                         .zone_count = 1,
                         .rankings = &ranking,
                         .ranking_count = 1,
                         .proposals = &proposal,
                         .proposal_count = 1 };
    snprintf(proposal.rows[0].segments[0].layers[0].layer.code, WM_CODE_SIZE, "%s", code);
    snprintf(match.code, sizeof match.code, "%s", code);
    snprintf(proposal.shades[0].code, sizeof proposal.shades[0].code, "%s", code);
    proposal.shades[0].lab = shade;
    snprintf(report.client, sizeof report.client, "%s", client);
    wm_error err = { 0 };
    if (wm_report_to_json(out, &report, &err))
        fail_msg("%s", err.text);
}

static void add_visit(wm_book *book, const char *client, wm_lab hair, const char *installed)
{
    wm_buf json = { 0 };
    int64_t id = 0;
    report_of(&json, client, hair, "old", (wm_lab){ 40, 5, 12 });
    assert_int_equal(wm_book_client_add(&id, book, client, "", "2025-05-01", NULL), WM_OK);
    wm_visit visit = { .client_id = id,
                       .date = "2025-05-14",
                       .report_json = { (unsigned char *)json.data, json.size },
                       .installed = stack_of(installed) };
    assert_int_equal(wm_book_visit_save(&id, book, &visit, NULL), WM_OK);
    wm_buf_free(&json);
}

static const char CATALOGUE[] = "code,L,a,b,u\nnew,30,5,10,0.3\nother,60,4,18,0.3\n";

typedef struct desk {
    wm_book *book;
    wm_catalogue catalogue;
    wm_settings settings;
} desk;

static void open_desk(desk *d)
{
    wm_error err = { 0 };
    if (wm_book_open(&d->book, folder_file("r.book"), WM_BOOK_CREATE, &err) ||
        wm_catalogue_parse_csv(&d->catalogue, CATALOGUE, strlen(CATALOGUE), "c.csv", NULL, &err))
        fail_msg("%s", err.text);
    d->settings = wm_settings_default();
    add_visit(d->book, "Carla", (wm_lab){ 40, 5, 12 }, "");        /* the old shade was right for her */
    add_visit(d->book, "Anna", (wm_lab){ 30, 5, 10 }, "");         /* 10 darker than what was proposed: new is hers */
    add_visit(d->book, "Berta", (wm_lab){ 31, 5, 10 }, "old,old"); /* installed twice over */
    add_visit(d->book, "Dora", (wm_lab){ 31, 5, 10 }, "lost");     /* a code that nobody knows any more */
}

static wm_rechecked *recheck(desk *d, int jobs, size_t *count)
{
    wm_rechecked *items = NULL;
    wm_error err = { 0 };
    wm_recheck_input input = { .book = d->book, .catalogue = &d->catalogue, .settings = &d->settings, .jobs = jobs };
    if (wm_recheck(&items, count, &input, &err))
        fail_msg("%s", err.text);
    return items;
}

static void close_desk(desk *d)
{
    wm_book_close(d->book);
    wm_catalogue_free(&d->catalogue);
}

static void same_codes(const wm_recheck_codes *got, const char *want)
{
    assert_int_equal(got->count, 1);
    assert_string_equal(got->codes[0], want);
}

static void M32_who_gains_stands_first(void **state)
{
    (void)state;
    desk d = { 0 };
    size_t count = 0;
    open_desk(&d);
    wm_rechecked *r = recheck(&d, 1, &count);
    assert_int_equal(count, 4);
    assert_string_equal(r[0].client, "Berta"); /* two layers of the wrong shade hide more of her than Anna's one */
    assert_int_equal(r[0].held_by, WM_HELD_INSTALLED);
    assert_string_equal(r[1].client, "Anna");
    assert_int_equal(r[1].held_by, WM_HELD_PROPOSED);
    for (size_t i = 0; i < 2; i++) {
        same_codes(&r[i].held, "old");
        same_codes(&r[i].best, "new");
        assert_true(r[i].earned && r[i].gain > 5);
        near("better whatever the photo hides", r[i].better_in, 1, 0);
        assert_true(r[i].held_de00 > r[i].best_de00 + 5);
    }
    assert_string_equal(r[2].client, "Carla");
    assert_false(r[2].earned);
    same_codes(&r[2].best, "old");
    near("she keeps what she wears", r[2].gain, 0, 0);
    assert_string_equal(r[3].client, "Dora"); /* what can't be compared stands last */
    assert_int_equal(r[3].held_by, WM_HELD_UNKNOWN);
    assert_non_null(strstr(r[3].said, "lost"));
    same_codes(&r[3].best, "new");
    free(r);
    close_desk(&d);
}

/* M31, continuity: it takes more than 1.0 of the gap to leave what she wears, however sure it is. */
static void M31_a_small_gain_leaves_what_she_wears(void **state)
{
    (void)state;
    static const char NEARLY[] = "code,L,a,b,u\nnearer,40.6,5,12,0.1\n";
    desk d = { 0 };
    size_t count = 0;
    wm_error err = { 0 };
    if (wm_book_open(&d.book, folder_file("s.book"), WM_BOOK_CREATE, &err) ||
        wm_catalogue_parse_csv(&d.catalogue, NEARLY, strlen(NEARLY), "c.csv", NULL, &err))
        fail_msg("%s", err.text);
    d.settings = wm_settings_default();
    add_visit(d.book, "Anna", (wm_lab){ 40.6, 5, 12 }, "old");
    wm_rechecked *r = recheck(&d, 1, &count);
    assert_int_equal(count, 1);
    assert_false(r[0].earned);
    assert_int_equal(r[0].held_by, WM_HELD_INSTALLED);
    same_codes(&r[0].best, "old");
    free(r);
    close_desk(&d);
}

static void a_catalogue_without_hair_is_refused(void **state)
{
    (void)state;
    static const char BEADS[] = "code,kind,L,a,b\nbead,bead,30,5,10\n";
    desk d = { 0 };
    wm_rechecked *items = NULL;
    size_t count = 77;
    wm_error err = { 0 };
    open_desk(&d);
    wm_catalogue_free(&d.catalogue);
    d.catalogue = (wm_catalogue){ 0 };
    assert_int_equal(wm_catalogue_parse_csv(&d.catalogue, BEADS, strlen(BEADS), "c.csv", NULL, &err), WM_OK);
    wm_recheck_input input = { .book = d.book, .catalogue = &d.catalogue, .settings = &d.settings, .jobs = 1 };
    assert_int_equal(wm_recheck(&items, &count, &input, &err), WM_E_INPUT);
    assert_int_equal(count, 77);
    close_desk(&d);
}

/* As it may come out of another book: the others are judged all the same. */
static void a_visit_without_a_measured_zone_is_left_out(void **state)
{
    (void)state;
    desk d;
    int64_t id = 0;
    size_t count = 0;
    char none[] = "{\"format\":1}";
    open_desk(&d);
    assert_int_equal(wm_book_client_add(&id, d.book, "Ella", "", "2025-05-01", NULL), WM_OK);
    wm_visit visit = { .client_id = id,
                       .date = "2025-05-14",
                       .report_json = { (unsigned char *)none, sizeof none - 1 } };
    assert_int_equal(wm_book_visit_save(&id, d.book, &visit, NULL), WM_OK);
    wm_rechecked *items = recheck(&d, 2, &count);
    assert_int_equal(count, 4);
    for (size_t i = 0; i < count; i++)
        assert_string_not_equal(items[i].client, "Ella");
    free(items);
    close_desk(&d);
}

static void threads_do_not_show_in_the_result(void **state)
{
    (void)state;
    desk d = { 0 };
    size_t one = 0, many = 0;
    open_desk(&d);
    wm_rechecked *a = recheck(&d, 1, &one), *b = recheck(&d, 7, &many);
    assert_int_equal(one, many);
    for (size_t i = 0; i < one; i++) {
        assert_int_equal(a[i].visit_id, b[i].visit_id);
        assert_memory_equal(&a[i], &b[i], sizeof a[i]);
    }
    free(a);
    free(b);
    close_desk(&d);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    const struct CMUnitTest tests[] = { IN_FOLDER(M32_who_gains_stands_first),
                                        IN_FOLDER(M31_a_small_gain_leaves_what_she_wears),
                                        IN_FOLDER(a_catalogue_without_hair_is_refused),
                                        IN_FOLDER(a_visit_without_a_measured_zone_is_left_out),
                                        IN_FOLDER(threads_do_not_show_in_the_result) };
    return cmocka_run_group_tests_name("recheck", tests, NULL, NULL);
}

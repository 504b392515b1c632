/* The main job through the public face: the answer, what is wrong with a question, and the way into a book and back. */
#include "support/near.h"
#include "support/folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "weftmatch/weftmatch.h"

typedef struct desk {
    wm_photo *photo;
    wm_zones *zones;
    wm_catalogue *catalogue;
    wm_consultation *done;
} desk;

static desk at;

static const char *sample(const char *name)
{
    static char out[400];
    snprintf(out, sizeof out, "%s/%s", getenv("SAMPLES_DIR"), name);
    return out;
}

static wm_consult_options question(void)
{
    wm_consult_options options = WM_CONSULT_OPTIONS_INIT;
    options.photo = at.photo;
    options.zones = at.zones;
    options.catalogue = at.catalogue;
    options.date = "2025-05-14";
    options.arcs_cm[options.row_count++] = 29;
    return options;
}

static int sit_down(void **state)
{
    (void)state;
    wm_error err = { .code = WM_OK };
    assert_int_equal(wm_photo_open(&at.photo, sample("client.jpg"), NULL, &err), WM_OK);
    assert_int_equal(wm_zones_open(&at.zones, &err), WM_OK);
    assert_int_equal(wm_zones_load(at.zones, sample("client.zones.json"), &err), WM_OK);
    assert_int_equal(wm_catalogue_open(&at.catalogue, sample("swatches.csv"), &err), WM_OK);
    wm_consult_options options = question();
    if (wm_match(&at.done, &options, &err))
        fail_msg("%s", err.text);
    return 0;
}

static int stand_up(void **state)
{
    (void)state;
    wm_consultation_close(at.done);
    wm_consultation_close(NULL);
    wm_catalogue_close(at.catalogue);
    wm_zones_close(at.zones);
    wm_photo_close(at.photo);
    return 0;
}

static void the_answer_can_be_read(void **state)
{
    (void)state;
    char *text = NULL, *page = NULL;
    const char *code = NULL;
    size_t size = 0;
    const char *json = wm_consultation_json(at.done, &size);
    assert_int_equal(strlen(json), size);
    assert_non_null(strstr(json, "\"proposals\":["));
    assert_int_equal(wm_consultation_text(&text, at.done, NULL), WM_OK);
    assert_non_null(strstr(text, "Where"));
    assert_int_equal(wm_consultation_html(&page, at.done, NULL), WM_OK);
    assert_non_null(strstr(page, "data:image/jpeg"));
    size_t warnings = 0;
    while (wm_consultation_warning(at.done, warnings, &code))
        warnings++;
    assert_null(wm_consultation_warning(at.done, warnings, NULL));
    printf("# %zu warnings, answers: %d\n", warnings, wm_consultation_answers(at.done));
    free(text);
    free(page);
}

static void a_document_reads_back_as_it_was(void **state)
{
    (void)state;
    wm_consultation *again = NULL;
    char *first = NULL, *second = NULL;
    size_t size = 0;
    const char *json = wm_consultation_json(at.done, &size);
    assert_int_equal(wm_consultation_read(&again, json, size, NULL), WM_OK);
    assert_string_equal(wm_consultation_json(again, NULL), json);
    assert_int_equal(wm_consultation_text(&first, at.done, NULL), WM_OK);
    assert_int_equal(wm_consultation_text(&second, again, NULL), WM_OK);
    assert_string_equal(first, second);
    assert_int_equal(wm_consultation_answers(again), wm_consultation_answers(at.done));
    wm_consultation_close(again);
    again = NULL;
    assert_int_equal(wm_consultation_read(&again, json, size / 2, NULL), WM_E_BOOK);
    assert_int_equal(wm_consultation_read(&again, "", 0, NULL), WM_E_BOOK);
    assert_null(again);
    free(first);
    free(second);
}

static void a_bad_question_is_refused(void **state)
{
    (void)state;
    wm_consult_options bad[9];
    for (size_t i = 0; i < 9; i++)
        bad[i] = question();
    bad[0].size = 0;
    bad[1].photo = NULL;
    bad[2].zones = NULL;
    bad[3].catalogue = NULL;
    bad[4].date = "14 May";
    bad[5].worn = "sideways";
    bad[6].row_count = WM_OPTIONS_ROWS + 1;
    bad[7].places[0] = "elbow";
    bad[8].goal = "fame";
    for (size_t i = 0; i < 9; i++) {
        wm_consultation *none = NULL;
        wm_error err = { .code = WM_OK };
        assert_int_equal(wm_match(&none, &bad[i], &err), WM_E_USAGE);
        assert_null(none);
        assert_true(strchr(err.text, ';') && !strchr(err.text, '\n'));
        assert_int_equal(wm_match(&none, &bad[i], NULL), WM_E_USAGE);
    }
}

static void a_visit_is_saved_and_compared_with(void **state)
{
    wm_book *book = NULL;
    wm_consultation *saved = NULL, *now = NULL;
    int64_t client = 0, visit = 0, last = 0;
    wm_error err = { .code = WM_OK };
    folder_make(state);
    assert_int_equal(wm_book_open(&book, folder_file("salon.book"), WM_BOOK_CREATE, &err), WM_OK);
    assert_int_equal(wm_book_client_add(&client, book, "Anna Berg", NULL, "2025-05-01", &err), WM_OK);
    assert_int_equal(wm_book_last_visit(&last, book, client, &err), WM_OK);
    assert_int_equal(last, 0);
    assert_int_equal(wm_book_save(&visit, book, client, at.done, &err), WM_OK);
    assert_int_equal(wm_book_client_id(&client, book, "anna", &err), WM_OK);
    assert_int_equal(wm_book_last_visit(&last, book, client, &err), WM_OK);
    assert_int_equal(last, visit);
    assert_int_equal(wm_book_load(&saved, book, visit + 1, &err), WM_E_BOOK);
    assert_int_equal(wm_book_load(&saved, book, visit, &err), WM_OK);
    assert_string_equal(wm_consultation_json(saved, NULL), wm_consultation_json(at.done, NULL));
    char *before = NULL, *after = NULL;
    assert_int_equal(wm_consultation_html(&before, at.done, &err), WM_OK);
    assert_int_equal(wm_consultation_html(&after, saved, &err), WM_OK);
    assert_string_equal(before, after);
    wm_consult_options options = question();
    options.previous = saved;
    options.date = "2025-06-25";
    assert_int_equal(wm_match(&now, &options, &err), WM_OK);
    assert_non_null(strstr(wm_consultation_json(now, NULL), "\"since_last_visit\":{\"date\":\"2025-05-14\""));
    wm_consultation_close(now);
    now = NULL;
    assert_int_equal(wm_measure(&now, &options, &err), WM_OK);
    assert_null(strstr(wm_consultation_json(now, NULL), "\"proposals\""));
    wm_consultation_close(now);
    wm_consultation_close(saved);
    wm_book_close(book);
    free(before);
    free(after);
    folder_remove(state);
}

static void kept_zones_give_the_same_answer(void **state)
{
    (void)state;
    wm_kept_zones *kept = NULL;
    assert_int_equal(wm_kept_zones_open(&kept, at.photo, NULL), WM_OK);
    for (int time = 0; time < 3; time++) {
        static char *first;
        wm_consultation *colours = NULL;
        wm_consult_options options = question();
        options.kept = time ? kept : NULL;
        assert_int_equal(wm_measure(&colours, &options, NULL), WM_OK);
        if (time)
            assert_string_equal(wm_consultation_json(colours, NULL), first);
        else
            first = strdup(wm_consultation_json(colours, NULL));
        if (time == 2)
            free(first);
        wm_consultation_close(colours);
    }
    wm_kept_zones_close(kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(the_answer_can_be_read),
                                        cmocka_unit_test(a_document_reads_back_as_it_was),
                                        cmocka_unit_test(a_bad_question_is_refused),
                                        cmocka_unit_test(a_visit_is_saved_and_compared_with),
                                        cmocka_unit_test(kept_zones_give_the_same_answer) };
    return cmocka_run_group_tests_name("consultation", tests, sit_down, stand_up);
}

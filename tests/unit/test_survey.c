/* survey, with target and remarks: the sample photos (each rendered for one aid or one warning; see samples/README.md)
 * and made pictures from photo and zones to measured zones. The truth of the sample photos is not asked here but by
 * tests/photo. */
#include "support/near.h"
#include "support/pictures.h"

#include "support/folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "consult/survey_warnings.h"
#include "measure/zones_file.h"

typedef struct job {
    wm_photo *photo;
    wm_zones zones;
    wm_catalogue catalogue;
    wm_survey survey;
    bool surveyed;
} job;

static void path_of(char *out, size_t size, const char *name)
{
    const char *folder = getenv("SAMPLES_DIR");
    snprintf(out, size, "%s/%s", folder ? folder : "samples", name);
}

/* A sample photo with its zones and the salon's catalogue. */
static void open_sample(job *j, const char *name)
{
    char path[600], file[200];
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    *j = (job){ 0 };
    snprintf(file, sizeof file, "%s.jpg", name), path_of(path, sizeof path, file);
    if (wm_photo_open(&j->photo, path, NULL, &err))
        fail_msg("%s", err.text);
    snprintf(file, sizeof file, "%s.zones.json", name), path_of(path, sizeof path, file);
    if (wm_zones_add_file(&j->zones, path, &warnings, &err))
        fail_msg("%s", err.text);
    path_of(path, sizeof path, "swatches.csv");
    if (wm_catalogue_load(&j->catalogue, path, &warnings, &err))
        fail_msg("%s", err.text);
    wm_warnings_free(&warnings);
}

static void survey(job *j)
{
    wm_error err = { 0 };
    if (wm_survey_zones(&j->survey, &(wm_survey_marked){ j->photo, &j->zones, &j->catalogue, NULL }, &err))
        fail_msg("%s", err.text);
    j->surveyed = true;
}

static void finish(job *j)
{
    if (j->surveyed)
        wm_survey_free(&j->survey);
    wm_photo_close(j->photo);
    wm_zones_free(&j->zones);
    wm_catalogue_free(&j->catalogue);
}

static const char *note(const wm_survey *s, const char *code)
{
    for (size_t i = 0; i < s->warnings.count; i++)
        if (strcmp(s->warnings.items[i].code, code) == 0)
            return s->warnings.items[i].text;
    return NULL;
}

static const wm_surveyed_zone *zone_named(const wm_survey *s, const char *name)
{
    for (size_t i = 0; i < s->zone_count; i++)
        if (strcmp(s->zones[i].zone->name, name) == 0)
            return &s->zones[i];
    fail_msg("no zone %s", name);
    return NULL;
}

/* Each sample: the aid that counts, a warning it must give and one it must not. */
static void samples_say_what_they_are_for(void **state)
{
    (void)state;
    const struct {
        const char *name, *aid, *says, *not ;
    } rows[] = { { "client", "swatches", NULL, "no_swatch_at_zone" },
                 { "photos/card", "card", "no_swatch_at_zone", "no_aid" },
                 { "photos/cards", "cards+swatches", NULL, "light_unknown" },
                 { "photos/target", "target", "light_unknown", "target_turned" },
                 { "photos/target-turned", "none", "target_turned", "aid_dropped" },
                 { "photos/nothing", "none", "no_aid", "no_swatch_at_zone" },
                 { "photos/clipped", NULL, "clipped_zone", "too_dark" },
                 { "photos/dark", NULL, "too_dark", "noisy" },
                 { "photos/noisy", "swatches", "noisy", "photo_compressed" },
                 { "photos/flash", "swatches", "flash_fired", "photo_resized" },
                 { "photos/uneven", "swatches", "uneven_light_on_head", "flash_fired" }, /* M20 */
                 { "photos/uneven-card", "none", "card_uneven", "clipped_aid" },
                 { "photos/one-missing", "swatches", "no_swatch_at_zone", "no_aid" },
                 { "photos/mislabelled", "swatches", "swatch_mislabelled", "few_swatches" },
                 { "photos/wet", "swatches", "hair_wet_or_shiny", "noisy" },
                 { "photos/resized", "swatches", "photo_resized", "hair_wet_or_shiny" },
                 { "photos/compressed", "swatches", "photo_compressed", "photo_resized" } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        job j;
        open_sample(&j, rows[i].name);
        survey(&j);
        printf("# %s: %s, %zu warnings\n", rows[i].name, wm_aid_set_name(j.survey.calibration.aid),
               j.survey.warnings.count);
        if (rows[i].aid)
            assert_string_equal(wm_aid_set_name(j.survey.calibration.aid), rows[i].aid);
        if (rows[i].says && !note(&j.survey, rows[i].says))
            fail_msg("%s does not say %s", rows[i].name, rows[i].says);
        if (note(&j.survey, rows[i].not ))
            fail_msg("%s says %s", rows[i].name, rows[i].not );
        finish(&j);
    }
}

/* Both ways round: the hint names the corner at which the right marking of the other sample starts. */
static void c18_turned_target_says_where_to_start(void **state)
{
    (void)state;
    job j;
    open_sample(&j, "photos/target");
    wm_zone *target = &j.zones.items[j.zones.count - 1];
    assert_int_equal(target->kind, WM_ZONE_TARGET);
    const wm_point first = target->points[0], last = target->points[3];
    for (int turn = 1; turn < 8; turn++) { /* 1 to 3: started at another corner; 4 to 7: the other way round */
        wm_point given[4], right[4] = { first, target->points[1], target->points[2], last };
        for (int i = 0; i < 4; i++)
            given[i] = right[turn < 4 ? (turn + i) % 4 : (turn + 4 - i) % 4];
        wm_point *kept = target->points;
        target->points = given;
        survey(&j);
        char want[60];
        snprintf(want, sizeof want, "at %.0f,%.0f%s", first.x, first.y, turn < 4 ? "" : ", and go the other way round");
        const char *said = note(&j.survey, "target_turned");
        if (!said || !strstr(said, want))
            fail_msg("turn %d: want \"%s\", got \"%s\"", turn, want, said ? said : "nothing");
        assert_string_equal(wm_aid_set_name(j.survey.calibration.aid), "none");
        wm_survey_free(&j.survey);
        j.surveyed = false;
        target->points = kept;
    }
    finish(&j);
}

static void zones_keep_their_order_and_the_reference_is_marked(void **state)
{
    (void)state;
    job j;
    open_sample(&j, "client");
    survey(&j);
    size_t k = 0;
    for (size_t i = 0; i < j.zones.count; i++)
        if (wm_zone_is_client(j.zones.items[i].kind))
            assert_ptr_equal(j.survey.zones[k++].zone, &j.zones.items[i]);
    assert_int_equal(j.survey.zone_count, k);
    assert_true(zone_named(&j.survey, "mid")->is_reference);
    assert_false(zone_named(&j.survey, "temple")->is_reference);
    const wm_surveyed_zone *temple = zone_named(&j.survey, "temple");
    assert_true(temple->place && temple->kept <= temple->pixels && temple->kept > 0);
    if (temple->gray.status == WM_GRAY_MEASURED)
        assert_true(temple->base_known && temple->gray_known && temple->gray_fibres.lab.L > temple->base.lab.L);
    finish(&j);
}

static void same_input_same_colours(void **state)
{
    (void)state;
    job a, b;
    open_sample(&a, "client"), open_sample(&b, "client");
    survey(&a), survey(&b);
    for (size_t i = 0; i < a.survey.zone_count; i++)
        assert_memory_equal(&a.survey.zones[i].body, &b.survey.zones[i].body, sizeof a.survey.zones[i].body);
    finish(&a), finish(&b);
}

/* What swatch add and compare do: a zone of their own, by the calibration that stands. */
static void a_further_zone_by_the_same_calibration(void **state)
{
    (void)state;
    job j;
    open_sample(&j, "client");
    survey(&j);
    const wm_surveyed_zone *mid = zone_named(&j.survey, "mid");
    const wm_survey_look look = { .calibration = &j.survey.calibration };
    wm_surveyed_zone again;
    assert_int_equal(wm_survey_measure(&again, j.photo, mid->zone, &look, NULL), WM_OK);
    near("body", wm_de00(again.body.lab, mid->body.lab), 0,
         0.5); /* blind here, so that G6 may draw its limit elsewhere */
    const wm_rgb swatch = wm_lab_to_rgb((wm_lab){ 68, 1, 6 });
    const wm_survey_look with_swatch = { .calibration = &j.survey.calibration, .gray_swatch = &swatch };
    const wm_lab before = again.body.lab;
    assert_int_equal(wm_survey_measure_again(&again, &with_swatch, NULL), WM_OK);
    near("the body stays", wm_de00(again.body.lab, before), 0, 0.5);
    wm_surveyed_zone_free(&again);
    finish(&j);
}

/* --- what can't be --- */

static void unknown_codes(void **state)
{
    (void)state;
    job j;
    wm_error err = { 0 };
    wm_survey s;
    open_sample(&j, "client");
    assert_int_equal(wm_survey_zones(&s, &(wm_survey_marked){ j.photo, &j.zones, NULL, NULL }, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "--swatches"));
    for (size_t i = 0; i < j.zones.count; i++)
        if (j.zones.items[i].kind == WM_ZONE_SWATCH) {
            free(j.zones.items[i].code);
            j.zones.items[i].code = wm_text_copy("umberr");
        }
    assert_int_equal(wm_survey_zones(&s, &(wm_survey_marked){ j.photo, &j.zones, &j.catalogue, NULL }, &err),
                     WM_E_INPUT);
    assert_non_null(strstr(err.text, "'umberr'"));
    assert_non_null(strstr(err.text, "'umber'"));
    finish(&j);
}

static void target_references(void **state)
{
    char path[600];
    wm_lab *labs = NULL;
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    path_of(path, sizeof path, "target.txt");
    assert_int_equal(wm_target_references(&labs, path, 4, 6, &warnings, &err), WM_OK);
    assert_true(wm_lab_valid(labs[23]));
    free(labs);
    labs = NULL;
    assert_int_equal(wm_target_references(&labs, path, 4, 5, &warnings, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "24 patches"));
    assert_int_equal(wm_target_references(&labs, folder_file("missing.txt"), 4, 6, &warnings, &err), WM_E_INPUT);
    static const char far[] =
        "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\n"
        "BEGIN_DATA\n1 120 0 0\nEND_DATA\n";
    folder_write("far.txt", far, sizeof far - 1);
    assert_int_equal(wm_target_references(&labs, folder_file("far.txt"), 1, 1, &warnings, &err), WM_E_INPUT);
    assert_int_equal(err.line, 8);
    assert_null(labs);
    wm_warnings_free(&warnings);
    (void)state;
}

/* Two halves: one blown out, one plain. */
static void open_halves(job *j, const char *zones)
{
    wm_warnings warnings = { 0 };
    const unsigned char colours[2][3] = { { 255, 255, 255 }, { 120, 90, 70 } };
    picture p = picture_patches(colours, 2, 1, 80);
    png_how how = { 0 };
    wm_bytes png = png_make(&p, &how);
    *j = (job){ 0 };
    folder_write("halves.png", png.data, png.size);
    assert_int_equal(wm_photo_open(&j->photo, folder_file("halves.png"), NULL, NULL), WM_OK);
    assert_int_equal(wm_zones_add_json(&j->zones, zones, strlen(zones), "zones", &warnings, NULL), WM_OK);
    wm_warnings_free(&warnings);
    wm_bytes_free(&png);
    picture_free(&p);
}

static void c15_burnt_out_zone_has_no_colour(void **state)
{
    (void)state;
    job j;
    wm_error err = { 0 };
    wm_survey s;
    open_halves(
        &j,
        "{\"format\":1,\"zones\":[{\"kind\":\"root\",\"rect\":[0,0,80,80]},{\"kind\":\"mid\",\"gray_free\":true,\"rect\":[80,0,80,80]}]}");
    survey(&j);
    assert_true(j.survey.zones[0].refused && !j.survey.zones[1].refused);
    assert_non_null(note(&j.survey, "clipped_zone"));
    near("no body", j.survey.zones[0].body.lab.L, 0, 0);
    assert_true(j.survey.zones[1].is_reference);
    assert_int_equal(j.survey.zones[1].body.claim, WM_CLAIM_ROUGH);
    finish(&j);

    open_halves(&j, "{\"format\":1,\"zones\":[{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[0,0,80,80]}]}");
    assert_int_equal(wm_survey_zones(&s, &(wm_survey_marked){ j.photo, &j.zones, NULL, NULL }, &err), WM_E_PHOTO);
    assert_non_null(strstr(err.text, "crown"));
    finish(&j);

    open_halves(&j, "{\"format\":1,\"zones\":[{\"kind\":\"card\",\"rect\":[0,0,80,80],\"lab\":[50,0,0]}]}");
    assert_int_equal(wm_survey_zones(&s, &(wm_survey_marked){ j.photo, &j.zones, NULL, NULL }, &err), WM_E_INPUT);
    finish(&j);
}

/* A zone that reaches into the white half by 2 or 8 of its columns. */
static void c15_blown_out_parts_from_both_sides(void **state)
{
    (void)state;
    static const struct {
        int white, width;
        bool warned, refused;
    } rows[] = { { 2, 42, false, false }, /* 4.8 % */
                 { 2, 38, true, false },  /* 5.3 % */
                 { 8, 41, true, false },  /* 19.5 % */
                 { 8, 39, true, true } }; /* 20.5 % */
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        job j;
        char zones[300];
        snprintf(zones, sizeof zones,
                 "{\"format\":1,\"zones\":[{\"kind\":\"mid\",\"hair\":true,\"rect\":[%d,0,%d,80]},"
                 "{\"kind\":\"ends\",\"hair\":true,\"rect\":[100,0,40,80]}]}",
                 80 - rows[i].white, rows[i].width);
        open_halves(&j, zones);
        survey(&j);
        assert_int_equal(note(&j.survey, "clipped_zone") != NULL, rows[i].warned);
        assert_int_equal(j.survey.zones[0].refused, rows[i].refused);
        finish(&j);
    }
}

/* M20: two zones whose lightness is set by hand. */
static void m20_zones_that_differ_by_twenty(void **state)
{
    (void)state;
    for (int apart = 19; apart <= 21; apart += 2) {
        job j;
        open_halves(&j, "{\"format\":1,\"zones\":[{\"kind\":\"root\",\"hair\":true,\"rect\":[80,0,40,80]},"
                        "{\"kind\":\"ends\",\"hair\":true,\"rect\":[120,0,40,80]}]}");
        survey(&j);
        assert_null(note(&j.survey, "uneven_light_on_head"));
        j.survey.zones[0].body.lab.L = 30;
        j.survey.zones[1].body.lab.L = 30 + apart;
        wm_survey_warn(&j.survey, j.photo);
        assert_int_equal(note(&j.survey, "uneven_light_on_head") != NULL, apart > 20);
        finish(&j);
    }
}

/* C16: a swatch that holds gray above 2 % has 2 dE00 more of its own. */
static void c16_mixed_swatches_are_weak(void **state)
{
    (void)state;
    for (int mixed = 0; mixed < 2; mixed++) {
        job j;
        open_sample(&j, "photos/uneven");
        for (size_t i = 0; i < j.catalogue.count; i++)
            j.catalogue.items[i].gray_share = mixed ? 0.021 : 0.019;
        survey(&j);
        assert_true(j.survey.calibration.used_count > 0);
        for (size_t i = 0; i < j.survey.calibration.used_count; i++)
            near("variance", j.survey.calibration.pairs[i].weakness, mixed ? 4 : 0, 1e-12);
        finish(&j);
    }
}

/* H6: what may be no hair is sure to no better than 4.5: a flat gray, measured by a card of its own pixels. */
static void h6_a_doubtful_zone_names_no_shade(void **state)
{
    (void)state;
    job j;
    open_halves(&j, "{\"format\":1,\"zones\":[{\"kind\":\"mid\",\"rect\":[84,4,72,72]},"
                    "{\"kind\":\"card\",\"rect\":[90,10,40,40],\"lab\":[50,0,0]}]}");
    survey(&j);
    assert_int_equal(j.survey.zones[0].hair.verdict, WM_HAIR_DOUBTFUL);
    near("u", j.survey.zones[0].body.u_de00, 4.5, 1e-9);
    assert_int_equal(j.survey.zones[0].body.claim, WM_CLAIM_ROUGH);
    finish(&j);
}

/* What is said of a survey that was changed by hand. */
static const char *said(wm_survey *s, const wm_photo *photo, const char *code)
{
    wm_warnings_free(&s->warnings);
    wm_survey_warn(s, photo);
    return note(s, code);
}

/* Lengths 59 degrees from upright hang, 61 degrees from it they lie; hair without a direction tells nothing. */
static void lengths_that_all_lie_tell_of_a_turned_photo(void **state)
{
    (void)state;
    static const double degree = 0.017453292519943295;
    job j;
    open_sample(&j, "client");
    survey(&j);
    wm_surveyed_zone *zones = j.survey.zones;
    assert_string_equal(zones[2].zone->name, "mid");
    assert_null(note(&j.survey, "photo_turned"));
    zones[2].cleaning.direction_rad = 61 * degree, zones[3].cleaning.direction_rad = -61 * degree;
    assert_non_null(said(&j.survey, j.photo, "photo_turned"));
    zones[3].cleaning.direction_rad = 59 * degree;
    assert_null(said(&j.survey, j.photo, "photo_turned"));
    zones[3].cleaning.direction_rad = 90 * degree, zones[2].cleaning.coherence = 0.31;
    assert_non_null(said(&j.survey, j.photo, "photo_turned"));
    zones[2].cleaning.coherence = 0.29; /* one length is too few */
    assert_null(said(&j.survey, j.photo, "photo_turned"));
    finish(&j);
}

static void move_zone(const job *j, size_t i, double up)
{
    const wm_zone *zone = j->survey.zones[i].zone;
    for (size_t k = 0; k < zone->point_count; k++)
        zone->points[k].y -= up;
}

/* The demo's crown reaches from 161 down, its temple from 282; its mid to 732, its ends to 972. */
static void ends_above_the_roots_tell_of_a_photo_upside_down(void **state)
{
    (void)state;
    job j;
    open_sample(&j, "client");
    survey(&j);
    move_zone(&j, 0, -839), move_zone(&j, 1, -718); /* both begin at 1000 */
    assert_non_null(said(&j.survey, j.photo, "photo_turned"));
    move_zone(&j, 0, 30); /* beside the ends */
    assert_null(said(&j.survey, j.photo, "photo_turned"));
    move_zone(&j, 0, -30);
    wm_zone ends = *j.survey.zones[3].zone;
    j.survey.zones[3].zone = &ends;
    ends.kind = WM_ZONE_MID; /* two lengths tell as much as ends */
    assert_non_null(said(&j.survey, j.photo, "photo_turned"));
    ends.kind = WM_ZONE_GRAY; /* one tells nothing, wherever it is */
    move_zone(&j, 3, -300);
    assert_null(said(&j.survey, j.photo, "photo_turned"));
    finish(&j);
}

static void less_gray_in_the_gray_zone_asks_whether_zones_were_exchanged(void **state)
{
    (void)state;
    job j;
    open_sample(&j, "client");
    survey(&j);
    wm_surveyed_zone *temple = &j.survey.zones[1], *mid = &j.survey.zones[2];
    assert_string_equal(temple->zone->name, "temple");
    assert_null(note(&j.survey, "zones_swapped"));
    temple->gray.u_share = mid->gray.u_share = 0.03;
    temple->gray.status = WM_GRAY_NONE_SEEN, temple->gray.share = 0.01;
    mid->gray.status = WM_GRAY_MEASURED, mid->gray.share = 0.36;
    const char *text = said(&j.survey, j.photo, "zones_swapped");
    assert_non_null(text);
    assert_non_null(strstr(text, "temple and mid"));
    temple->gray.status = WM_GRAY_NOT_RESOLVED; /* nothing is known of it */
    assert_null(said(&j.survey, j.photo, "zones_swapped"));
    temple->gray.status = WM_GRAY_MEASURED;
    temple->gray.share = 0.20, temple->gray.u_share = 0.03, mid->gray.u_share = 0.04; /* 0.05 together */
    mid->gray.share = 0.28;                                                           /* 1.6 of that more */
    assert_null(said(&j.survey, j.photo, "zones_swapped"));
    mid->gray.share = 0.285; /* 1.7 of it */
    assert_non_null(said(&j.survey, j.photo, "zones_swapped"));
    finish(&j);
}

/* A card that is blown out and a swatch's worth of plain colour: flat pictures are no special case. */
static void flat_colours(void **state)
{
    (void)state;
    job j;
    open_halves(
        &j,
        "{\"format\":1,\"zones\":[{\"kind\":\"mid\",\"rect\":[84,4,72,72]},{\"kind\":\"card\",\"rect\":[90,10,40,40],\"lab\":[50,0,0]}]}");
    survey(&j);
    const wm_lab lab = j.survey.zones[0].body.lab; /* the same pixels as the card: gray of the card's lightness */
    near("L", lab.L, 50, 1e-3), near("a", lab.a, 0, 1e-3), near("b", lab.b, 0, 1e-3);
    finish(&j);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(samples_say_what_they_are_for),
        cmocka_unit_test(c18_turned_target_says_where_to_start),
        cmocka_unit_test(zones_keep_their_order_and_the_reference_is_marked),
        cmocka_unit_test(same_input_same_colours),
        cmocka_unit_test(a_further_zone_by_the_same_calibration),
        cmocka_unit_test(unknown_codes),
        cmocka_unit_test_setup_teardown(target_references, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(c15_burnt_out_zone_has_no_colour, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(c15_blown_out_parts_from_both_sides, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(m20_zones_that_differ_by_twenty, folder_make, folder_remove),
        cmocka_unit_test(c16_mixed_swatches_are_weak),
        cmocka_unit_test(lengths_that_all_lie_tell_of_a_turned_photo),
        cmocka_unit_test(ends_above_the_roots_tell_of_a_photo_upside_down),
        cmocka_unit_test(less_gray_in_the_gray_zone_asks_whether_zones_were_exchanged),
        cmocka_unit_test_setup_teardown(h6_a_doubtful_zone_names_no_shade, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(flat_colours, folder_make, folder_remove)
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

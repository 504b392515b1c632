/* match without memory: the catalogue, what is looked up in it, what to sew. */
#include "match/decision.h"
#include "match/swatch_out.h"
#include "starve.h"
#include "support/near.h"

#include <string.h>

static const char CSV[] =
    "code,name,L,a,b,shelf\noat,Oat,52,5,21,left\nrye,,53,5,21,\npeat,Peat,27,6,14,right\nmist,,68,1.5,5,\n";
static const char CGATS[] =
    "CGATS.17\nNUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B XYZ_Y\nEND_DATA_FORMAT\n"
    "NUMBER_OF_SETS 1\nBEGIN_DATA\noat 52 5 21 20\nEND_DATA\n";
static wm_catalogue catalogue; /* read while there is memory */

typedef wm_status parser(wm_catalogue *, const char *, size_t, const char *, wm_warnings *, wm_error *);

static bool parse(parser *call, const char *text)
{
    wm_catalogue out = { .count = 77 };
    wm_error err = { 0 };
    bool done = good(call(&out, text, strlen(text), "test", NULL, &err), &err);
    if (done)
        wm_catalogue_free(&out);
    else
        assert_int_equal(out.count, 77);
    return done;
}

static bool parse_csv(void)
{
    return parse(wm_catalogue_parse_csv, CSV);
}

static bool parse_cgats(void)
{
    return parse(wm_catalogue_parse_cgats, CGATS);
}

static bool put(void)
{
    wm_catalogue copy = { 0 };
    wm_error err = { 0 };
    wm_swatch oat = wm_swatch_new("oat", "", (wm_lab){ 52, 5, 21 }),
              rye = wm_swatch_new("rye", "", (wm_lab){ 53, 5, 21 });
    bool done = good(wm_catalogue_put(&copy, &oat, false, &err), &err);
    if (done) {
        done = good(wm_catalogue_put(&copy, &rye, false, &err), &err);
        assert_int_equal(copy.count, done ? 2 : 1);
    }
    wm_catalogue_free(&copy);
    return done;
}

static bool write_cgats(void)
{
    wm_buf out = { 0 };
    wm_error err = { 0 };
    bool done =
        good(wm_catalogue_write_cgats(&out, &catalogue, true, &err), &err) && good(wm_buf_status(&out, &err), &err);
    wm_buf_free(&out);
    return done;
}

static bool find_twins(void)
{
    wm_twins twins = { .count = 77 };
    wm_error err = { 0 };
    bool done = good(wm_catalogue_twins(&twins, &catalogue, WM_TWIN_DE00, &err), &err);
    assert_int_equal(twins.count, done ? 1 : 77);
    if (done)
        wm_twins_free(&twins);
    return done;
}

static bool decide(void)
{
    static wm_decision found;
    wm_shades shades;
    wm_error err = { 0 };
    if (!good(wm_shades_of(&shades, &catalogue, WM_SWATCH_HAIR, &(wm_filter){ 0 }, &err), &err))
        return false;
    const wm_head_zone zone = {
        .kind = WM_ZONE_MID, .name = "mid", .lab = { 40, 6, 15 }, .sigma = { 0.5, 0.4, 0.4 }, .u_de00 = 0.8
    };
    wm_decision_input ask = WM_DECISION_INPUT_INIT;
    ask.zones = &zone;
    ask.zone_count = 1;
    ask.hair = &shades;
    found = (wm_decision){ .inside_costs = 77 };
    bool done = good(wm_decide(&found, &ask, &err), &err);
    assert_true(done ? found.has_proposal : found.inside_costs > 76);
    wm_shades_free(&shades);
    return done;
}

static int read_catalogue(void **state)
{
    (void)state;
    return (int)wm_catalogue_parse_csv(&catalogue, CSV, strlen(CSV), "test", NULL, NULL);
}

static int free_catalogue(void **state)
{
    (void)state;
    wm_catalogue_free(&catalogue);
    return 0;
}

static void catalogues(void **state)
{
    (void)state;
    starve("parse CSV", parse_csv);
    starve("parse CGATS.17", parse_cgats);
    starve("put", put);
    starve("write CGATS.17", write_cgats);
    starve("twins", find_twins);
}

static void deciding(void **state)
{
    (void)state;
    starve("decide", decide);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(catalogues), cmocka_unit_test(deciding) };
    return cmocka_run_group_tests_name("match_memory", tests, read_catalogue, free_catalogue);
}

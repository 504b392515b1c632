/* What we write, we read back the same; LittleCMS's own IT8 reader is the second opinion on our CGATS.17. Shades are
 * invented. */
#include "support/near.h"

#include <lcms2.h>
#include <stdio.h>
#include <string.h>

#include "match/swatch_out.h"

static const char FULL[] =
    "code,name,kind,L,a,b,length_cm,pieces_per_pack,piece_width_cm,pack_weight_g,pack_price,cuttable,stock,u,gray_share,frame,u_frame,photos,measured,source,shelf\r\n"
    "oat,\"Oat, rolled\",hair,52.5,4.8,21.3,50,2,30,60,89.90,no,2.5,0.4,0,7e1fb084,6.5,2,2024-02-29,own,\"upper \"\"left\"\"\"\r\n"
    "peat,,hair,27.5,-6.25,14.123456789,,,,,8.8750,yes,,,,,,,,,\r\n"
    "umber,Umber,bead,30,3,8,,,,,0.005,yes,0,,,,,,,,lower\r\n";

static wm_catalogue parsed(const char *text)
{
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    if (wm_catalogue_parse_csv(&catalogue, text, strlen(text), "test.csv", NULL, &err))
        fail_msg("%ld:%ld: %s", err.line, err.column, err.text);
    return catalogue;
}

static void csv_comes_back_byte_for_byte(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(FULL);
    wm_buf buf = { 0 };
    wm_catalogue_write_csv(&buf, &catalogue);
    assert_string_equal(buf.data, FULL);
    wm_buf_free(&buf);
    wm_catalogue_free(&catalogue);
}

static void csv_has_only_columns_that_hold_something(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed("a,stock,b,code,L,name,length_in\n4.8,,21.3,oat,52.50,,20\n");
    wm_buf buf = { 0 };
    wm_catalogue_write_csv(&buf, &catalogue);
    assert_string_equal(buf.data, "code,L,a,b,length_cm\r\noat,52.5,4.8,21.3,50.8\r\n");
    wm_buf_free(&buf);
    wm_catalogue_free(&catalogue);
}

static void puts_new_rows_and_new_colours(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(FULL);
    wm_swatch mist = wm_swatch_new("mist", "Mist", (wm_lab){ 68, 1.5, 5 }),
              oat = wm_swatch_new("oat", "", (wm_lab){ 53, 5, 20 });
    oat.u = 0.3;
    wm_error err = { 0 };
    assert_int_equal(wm_catalogue_put(&catalogue, &mist, false, &err), WM_OK);
    assert_int_equal(catalogue.count, 4);
    assert_string_equal(catalogue.items[3].code, "mist");
    assert_int_equal(wm_catalogue_put(&catalogue, &oat, false, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "'oat' is in the catalogue already"));
    assert_int_equal(wm_catalogue_put(&catalogue, &oat, true, &err), WM_OK);
    assert_int_equal(catalogue.count, 4);
    near("new L", catalogue.items[0].lab.L, 53, 0);
    near("new u", catalogue.items[0].u, 0.3, 0);
    assert_string_equal(catalogue.items[0].name, "Oat, rolled");
    assert_int_equal(catalogue.items[0].pack_price_milli, 89900);
    wm_buf buf = { 0 };
    wm_catalogue_write_csv(&buf, &catalogue);
    wm_catalogue again = parsed(buf.data);
    assert_int_equal(again.count, 4);
    wm_catalogue_free(&again);
    wm_buf_free(&buf);
    wm_catalogue empty = { 0 };
    assert_int_equal(wm_catalogue_put(&empty, &mist, false, &err), WM_OK);
    assert_int_equal(empty.count, 1);
    wm_catalogue_free(&empty);
    wm_catalogue_free(&catalogue);
}

static void cgats_comes_back(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(
                     "code,name,L,a,b\noat 2,\"Oat \"\"two\"\" # 2\",52.5,4.8,21.3\nmist,,68.123456789,-1.5,5\n"),
                 again = { 0 };
    wm_buf buf = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_catalogue_write(&buf, &catalogue, "out.TXT", false, &err), WM_OK);
    if (wm_catalogue_parse_cgats(&again, buf.data, buf.size, "out.txt", NULL, &err))
        fail_msg("%ld:%ld %s", err.line, err.column, err.text);
    assert_int_equal(again.count, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_string_equal(again.items[i].code, catalogue.items[i].code);
        assert_string_equal(again.items[i].name, catalogue.items[i].name);
        near("L", again.items[i].lab.L, catalogue.items[i].lab.L, 0);
        near("a", again.items[i].lab.a, catalogue.items[i].lab.a, 0);
        near("b", again.items[i].lab.b, catalogue.items[i].lab.b, 0);
    }
    wm_buf_free(&buf);
    wm_catalogue_free(&again);
    wm_catalogue_free(&catalogue);
}

static void littlecms_reads_our_cgats(void **state)
{
    (void)state;
    wm_catalogue catalogue =
        parsed("code,name,L,a,b\noat 2,Oat # 2,52.5,4.8,21.3\nmist,,68.123456789,-1.5,5\n1,,0,127,-128\n");
    wm_buf buf = { 0 };
    assert_int_equal(wm_catalogue_write_cgats(&buf, &catalogue, false, NULL), WM_OK);
    cmsHANDLE it8 = cmsIT8LoadFromMem(NULL, buf.data, (cmsUInt32Number)buf.size);
    assert_non_null(it8);
    assert_string_equal(cmsIT8GetSheetType(it8), "CGATS.17");
    near("sets", cmsIT8GetPropertyDbl(it8, "NUMBER_OF_SETS"), 3, 0);
    for (size_t i = 0; i < catalogue.count; i++) {
        const wm_swatch *swatch = &catalogue.items[i];
        if (swatch->name[0]) /* for an empty string LittleCMS 2.14 repeats the cell before it */
            assert_string_equal(cmsIT8GetData(it8, swatch->code, "SAMPLE_NAME"), swatch->name);
        near("L", cmsIT8GetDataDbl(it8, swatch->code, "LAB_L"), swatch->lab.L, 1e-8); /* LittleCMS keeps ten digits */
        near("a", cmsIT8GetDataDbl(it8, swatch->code, "LAB_A"), swatch->lab.a, 1e-12);
        near("b", cmsIT8GetDataDbl(it8, swatch->code, "LAB_B"), swatch->lab.b, 1e-12);
    }
    cmsIT8Free(it8);
    wm_buf_free(&buf);
    wm_catalogue_free(&catalogue);
}

static void we_read_the_cgats_of_littlecms(void **state)
{
    (void)state;
    static char text[4000];
    cmsHANDLE it8 = cmsIT8Alloc(NULL);
    cmsIT8SetSheetType(it8, "CGATS.17");
    cmsIT8SetPropertyDbl(it8, "NUMBER_OF_FIELDS", 4);
    cmsIT8SetPropertyDbl(it8, "NUMBER_OF_SETS", 2);
    static const char *const fields[] = { "SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B" };
    static const char *const codes[] = { "oat 2", "mist" };
    for (int i = 0; i < 4; i++)
        assert_true(cmsIT8SetDataFormat(it8, i, fields[i]));
    for (int i = 0; i < 2; i++) {
        assert_true(cmsIT8SetDataRowCol(it8, i, 0, codes[i]));
        for (int j = 1; j < 4; j++)
            assert_true(cmsIT8SetDataRowColDbl(it8, i, j, 10.25 * (i + 1) + j));
    }
    cmsUInt32Number size = sizeof text;
    assert_true(cmsIT8SaveToMem(it8, text, &size));
    cmsIT8Free(it8);
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    if (wm_catalogue_parse_cgats(&catalogue, text, strlen(text), "lcms.txt", NULL, &err))
        fail_msg("%ld:%ld %s\n%s", err.line, err.column, err.text, text);
    assert_int_equal(catalogue.count, 2);
    assert_string_equal(catalogue.items[0].code, "oat 2");
    near("b", catalogue.items[1].lab.b, 23.5, 1e-9);
    wm_catalogue_free(&catalogue);
}

static void cgats_says_what_it_can_not_carry(void **state)
{
    (void)state;
    static const struct {
        const char *csv, *text;
    } cases[] = {
        { "code,L,a,b,kind\noat,50,4,12,hair\number,30,3,8,bead\n", "the column kind" },
        { "code,L,a,b,length_cm\noat,50,4,12,40\noat,50,4,12,50\n", "the column length_cm" },
        { "code,L,a,b,u\noat,50,4,12,0.5\n", "the column u" },
        { "code,L,a,b,pack_price\noat,50,4,12,0\n", "the column pack_price" },
        { "code,L,a,b,shelf\noat,50,4,12,left\n", "the column 'shelf'" },
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wm_catalogue catalogue = parsed(cases[i].csv);
        wm_buf buf = { 0 };
        wm_error err = { 0 };
        assert_int_equal(wm_catalogue_write_cgats(&buf, &catalogue, false, &err), WM_E_INPUT);
        if (!strstr(err.text, cases[i].text) || !strstr(err.text, "--lossy"))
            fail_msg("'%s' lacks '%s'", err.text, cases[i].text);
        assert_int_equal(buf.size, 0);
        assert_int_equal(wm_catalogue_write_cgats(&buf, &catalogue, true, &err), WM_OK);
        assert_non_null(strstr(buf.data, "NUMBER_OF_SETS\t1\n")); /* one row a code, no beads */
        assert_null(strstr(buf.data, "umber"));
        wm_buf_free(&buf);
        wm_catalogue_free(&catalogue);
    }
}

static void refuses_other_endings(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(FULL);
    wm_buf buf = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_catalogue_write(&buf, &catalogue, "out.ods", false, &err), WM_E_USAGE);
    assert_int_equal(wm_catalogue_write(&buf, &catalogue, "out", false, &err), WM_E_USAGE);
    assert_int_equal(wm_catalogue_write(&buf, &catalogue, "out.csv", false, &err), WM_OK);
    wm_buf_free(&buf);
    wm_catalogue_free(&catalogue);
}

/* C36: colours measured among themselves are no measured colours to others: only with --lossy, and said in the head. */
static void c36_a_frame_is_not_exported_as_absolute(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed("code,L,a,b,frame\r\noat,52.5,4.8,21.3,7e1fb084\r\n");
    wm_buf buf = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_catalogue_write_cgats(&buf, &catalogue, false, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "frame"));
    wm_buf_free(&buf);
    buf = (wm_buf){ 0 };
    assert_int_equal(wm_catalogue_write_cgats(&buf, &catalogue, true, &err), WM_OK);
    assert_non_null(strstr(buf.data, "no absolute colours"));
    wm_buf_free(&buf);
    wm_catalogue_free(&catalogue);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(c36_a_frame_is_not_exported_as_absolute),
        cmocka_unit_test(csv_comes_back_byte_for_byte),
        cmocka_unit_test(csv_has_only_columns_that_hold_something),
        cmocka_unit_test(puts_new_rows_and_new_colours),
        cmocka_unit_test(cgats_comes_back),
        cmocka_unit_test(littlecms_reads_our_cgats),
        cmocka_unit_test(we_read_the_cgats_of_littlecms),
        cmocka_unit_test(cgats_says_what_it_can_not_carry),
        cmocka_unit_test(refuses_other_endings),
    };
    return cmocka_run_group_tests_name("swatch_out", tests, NULL, NULL);
}

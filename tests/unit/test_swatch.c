/* The catalogue at the door: what is read, and every fault with its place and what to do. The demo shades are invented.
 */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "match/swatch.h"

static const char FULL[] =
    "stock,b,a,L,code,name,kind,length_cm,pieces_per_pack,piece_width_cm,pack_weight_g,pack_price,cuttable,u,gray_share,measured,source,shelf\r\n"
    "2.5,21.30,4.80,52.50,oat,\"Oat, rolled\",hair,50,2,30,60,89.90,no,0.4,0,2024-02-29,own measurement,\"upper \"\"left\"\"\"\r\n"
    ",14.1,6.2,27.5,peat,,,,,,,,,,,,,\r\n"
    ",14.1,6.2,27.5,peat,,,60,,,,,,,,,,\r\n"
    "0,8,3,30,umber,Umber,bead,,,,,0.005,yes,,,,,lower\r\n";

static wm_catalogue parsed(const char *text)
{
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    if (wm_catalogue_parse_csv(&catalogue, text, strlen(text), "test.csv", NULL, &err))
        fail_msg("%ld:%ld: %s", err.line, err.column, err.text);
    return catalogue;
}

static void reads_every_column_in_any_order(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(FULL);
    assert_int_equal(catalogue.count, 4);
    const wm_swatch *oat = &catalogue.items[0], *peat = &catalogue.items[1], *umber = &catalogue.items[3];
    assert_string_equal(oat->code, "oat");
    assert_string_equal(oat->name, "Oat, rolled");
    assert_int_equal(oat->kind, WM_SWATCH_HAIR);
    near("L", oat->lab.L, 52.5, 0);
    near("a", oat->lab.a, 4.8, 0);
    near("b", oat->lab.b, 21.3, 0);
    near("stock", oat->stock_packs, 2.5, 0);
    near("length", oat->length_cm, 50, 0);
    near("width", oat->piece_width_cm, 30, 0);
    near("weight", oat->pack_weight_g, 60, 0);
    near("u", oat->u, 0.4, 0);
    near("gray share", oat->gray_share, 0, 0);
    assert_int_equal(oat->pieces_per_pack, 2);
    assert_int_equal(oat->pack_price_milli, 89900);
    assert_false(oat->cuttable);
    assert_string_equal(oat->measured, "2024-02-29");
    assert_string_equal(oat->source, "own measurement");
    assert_int_equal(oat->line, 2);
    /* what is not written is unknown */
    assert_true(peat->u < 0 && peat->length_cm < 0 && peat->pieces_per_pack < 0 && peat->piece_width_cm < 0 &&
                peat->pack_weight_g < 0);
    assert_true(peat->pack_price_milli < 0 && peat->stock_packs < 0 && peat->gray_share < 0 && peat->cuttable);
    assert_string_equal(peat->name, "");
    assert_int_equal(umber->kind, WM_SWATCH_BEAD);
    assert_int_equal(umber->pack_price_milli, 5);
    assert_false(wm_swatch_in_stock(umber));
    assert_true(wm_swatch_in_stock(oat));
    /* a column that we do not know is kept */
    assert_int_equal(catalogue.extra_count, 1);
    assert_string_equal(catalogue.extra_names[0], "shelf");
    assert_string_equal(catalogue.extra[0], "upper \"left\"");
    assert_null(catalogue.extra[1]);
    assert_string_equal(catalogue.extra[3], "lower");
    wm_catalogue_free(&catalogue);
}

static void turns_inches_into_centimetres(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed("code,L,a,b,length_in,piece_width_in\noat,52,4,21,20,11.5\n");
    near("length", catalogue.items[0].length_cm, 50.8, 1e-12);
    near("width", catalogue.items[0].piece_width_cm, 29.21, 1e-12);
    wm_catalogue_free(&catalogue);
}

static void takes_what_spreadsheets_leave(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed("\xef\xbb\xbf"
                                    "code,L,a,b,,\r\n oat , 52.5 ,+4.8,2.13e1,,\r\n,,,,,\r\n\r\n");
    assert_int_equal(catalogue.count, 1);
    assert_string_equal(catalogue.items[0].code, "oat");
    near("b", catalogue.items[0].lab.b, 21.3, 1e-12);
    assert_int_equal(catalogue.extra_count, 0);
    wm_catalogue_free(&catalogue);
}

/* B15 with the pack of 60 g in two pieces of 30 cm by 50 cm is its check value BV14. */
static void knows_u_and_tau(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(FULL);
    near("M2 u written", wm_swatch_u(&catalogue.items[0]), 0.4, 0);
    near("M2 u default", wm_swatch_u(&catalogue.items[1]), 0.6, 0);
    near("BV14 from the pack", wm_swatch_tau(&catalogue.items[0]), 2.7559, 5e-5);
    near("M11 tau default", wm_swatch_tau(&catalogue.items[1]), 2.76, 0);
    wm_catalogue_free(&catalogue);
}

typedef struct fault {
    const char *data;
    long line, column;
    const char *text;
} fault;

#define ROW "code,L,a,b\noat,"
static const fault FAULTS[] = {
    { "", 0, 0, "empty" },
    { "code,L,a,b\n", 0, 0, "no swatches" },
    { "code,L,a\noat,1,2\n", 1, 0, "column b is missing" },
    { "L,a,b\n1,2,3\n", 1, 0, "column code is missing" },
    { "code,l,a,b\noat,1,2,3\n", 1, 0, "column L is missing; write 'L' for 'l' in the header" },
    { "sep=;\r\ncode;L;a;b\noat;1,5,2;2;3\n", 3, 5, "1,5,2" },
    { "code,L,a,b,L\noat,1,2,3,4\n", 1, 12, "'L' is named twice" },
    { "code,L,a,b,x,x\noat,1,2,3,4,5\n", 1, 14, "'x' is named twice" },
    { "code,L,a,b,length_cm,length_in\noat,1,2,3,4,5\n", 1, 0, "both length_cm and length_in" },
    { "code,L,a,b,piece_width_in,piece_width_cm\noat,1,2,3,4,5\n", 1, 0, "both piece_width_cm and piece_width_in" },
    { "code\tL\ta\tb\noat\t1,5\t2\t3\n", 1, 1, "tabs" },
    { "code;L;a;b\noat;1,5,2;2;3\n", 2, 5, "1,5,2" },
    { "code;L;a;b;pack_price\noat;50;2;3;1.250\n", 2, 12, "could be 1.25 or 1250" },
    { "code;L;a;b;pack_price\noat;50;2;3;1,250\n", 2, 12, "could be 1.25 or 1250" },
    { "code,L,a,b,pack_price\noat,50,2,3,1.200\n", 2, 12, "could be 1.2 or 1200" },
    { "code,L,a,b,pack_price\noat,50,2,3,8.875\n", 2, 12, "could be 8.8750 or 8875" },
    { "code\tL\ta\tb\n", 1, 1, "tabs" },
    { ROW "52,5,4.8,21.3\n", 2, 14, "5 cells where the header has 4" },
    { ROW "52.5,4.8\n", 2, 10, "3 cells where the header has 4" },
    { ROW "\"52,5\",4.8,21.3\n", 2, 5, "decimal comma" },
    { ROW "nan,4.8,21.3\n", 2, 5, "not a number" },
    { ROW "52.5,inf,21.3\n", 2, 10, "not a number" },
    { ROW "52.5,4.8,1e999\n", 2, 14, "not a number" },
    { ROW "52.5 %,4.8,21\n", 2, 5, "without a unit" },
    { ROW "0x1p3,4.8,21\n", 2, 5, "not a number" },
    { ROW "100.5,4.8,21.3\n", 2, 5, "from 0 to 100" },
    { ROW "-1,4.8,21.3\n", 2, 5, "from 0 to 100" },
    { ROW "50,-128.1,21.3\n", 2, 8, "from -128 to 127" },
    { ROW "50,4,127.5\n", 2, 10, "from -128 to 127" },
    { ROW ",4,12\n", 2, 5, "column L is empty" },
    { "code,L,a,b\n,50,4,12\n", 2, 1, "column code is empty" },
    { "code,L,a,b\na\tb\x01,50,4,12\n", 2, 1, "control character" },
    { "code,L,a,b\na\xe2\x80\xae,50,4,12\n", 2, 1, "control character" }, /* turns the direction of writing */
    { "code,L,a,b\na\xc2\x9b,50,4,12\n", 2, 1, "control character" },
    { "code,L,a,b\n\"a\nb\",50,4,12\n", 2, 1, "line break" },
    { "code,L,a,b\naaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa,50,4,12\n", 2, 1,
      "longer than 63 bytes" },
    { "code,L,a,b,u\noat,50,4,12,-0.1\n", 2, 13, "from 0 to 100" },
    { "code,L,a,b,gray_share\noat,50,4,12,33\n", 2, 13, "from 0 to 1" },
    { "code,L,a,b,length_cm\noat,50,4,12,0\n", 2, 13, "from 1 to 300" },
    { "code,L,a,b,length_in\noat,50,4,12,0.1\n", 2, 13, "from 0.40 to 118" },
    { "code,L,a,b,length_cm\noat,50,4,12,50 cm\n", 2, 13, "without a unit" },
    { "code,L,a,b,pieces_per_pack\noat,50,4,12,1.5\n", 2, 13, "whole number from 1 to 1000" },
    { "code,L,a,b,pieces_per_pack\noat,50,4,12,0\n", 2, 13, "whole number from 1 to 1000" },
    { "code,L,a,b,pack_price\noat,50,4,12,\"89,90\"\n", 2, 13, "decimal comma" },
    { "code,L,a,b,pack_price\noat,50,4,12,\"1,250.00\"\n", 2, 13, "has thousands marked; write it like 1250.50" },
    { "code,L,a,b,pack_price\noat,50,4,12,89.9001\n", 2, 13, "at most three decimals" },
    { "code,L,a,b,pack_price\noat,50,4,12,9e1\n", 2, 13, "at most three decimals" },
    { "code,L,a,b,pack_price\noat,50,4,12,-1\n", 2, 13, "from 0 to 1000000000" },
    { "code,L,a,b,stock\noat,50,4,12,-1\n", 2, 13, "from 0 to 1000000" },
    { "code,L,a,b,cuttable\noat,50,4,12,maybe\n", 2, 13, "write yes or no" },
    { "code,L,a,b,kind\noat,50,4,12,clip\n", 2, 13, "write hair or bead" },
    { "code,L,a,b,measured\noat,50,4,12,2023-02-29\n", 2, 13, "not a date" },
    { "code,L,a,b,measured\noat,50,4,12,29.02.2024\n", 2, 13, "not a date" },
    { "code,L,a,b,measured\noat,50,4,12,1900-02-29\n", 2, 13, "not a date" },
    { "code,L,a,b,measured\noat,50,4,12,2024-13-01\n", 2, 13, "not a date" },
    { "code,L,a,b,\noat,50,4,12,left\n", 2, 13, "no column name" },
    { "code,L,a,b\noat,50,4,12\npeat,30,4,12\noat,50,4,12\n", 4, 0, "'oat' of this length is on line 2 already" },
    { "code,L,a,b,length_cm\noat,50,4,12,40\noat,50,4,12,50\noat,50,4,12,40\n", 4, 0, "on line 2 already" },
    { "code,L,a,b,length_cm\noat,50,4,12,40\noat,50,4,12.1,50\n", 3, 0, "another colour on line 2" },
    { "code,L,a,b,length_cm,pieces_per_pack,piece_width_cm,pack_weight_g\noat,50,4,12,50,1,1,500\n", 2, 0,
      "too heavy" },
    { ROW "\"50,4,12\n", 2, 5, "never closed" },
};

static void names_every_fault(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof FAULTS / sizeof *FAULTS; i++) {
        const fault *f = &FAULTS[i];
        wm_catalogue catalogue = { .count = 77 };
        wm_error err = { 0 };
        wm_status status = wm_catalogue_parse_csv(&catalogue, f->data, strlen(f->data), "test.csv", NULL, &err);
        if (status != WM_E_INPUT || err.line != f->line || err.column != f->column || !strstr(err.text, f->text))
            fail_msg("%s\nwant %ld:%ld %s\ngot %d %ld:%ld %s", f->data, f->line, f->column, f->text, status, err.line,
                     err.column, err.text);
        if (!strchr(err.text, ';') || strchr(err.text, '\n'))
            fail_msg("'%s' must be one line that says what to do", err.text);
        assert_string_equal(err.file, "test.csv");
        assert_int_equal(catalogue.count, 77); /* untouched */
    }
    printf("# %zu faults\n", sizeof FAULTS / sizeof *FAULTS);
}

static void notes_a_catalogue_of_beads(void **state)
{
    (void)state;
    const char *text = "code,L,a,b,kind\number,30,3,8,bead\n";
    wm_catalogue catalogue = { 0 };
    wm_warnings warnings = { 0 };
    assert_int_equal(wm_catalogue_parse_csv(&catalogue, text, strlen(text), "test.csv", &warnings, NULL), WM_OK);
    assert_int_equal(warnings.count, 1);
    assert_string_equal(warnings.items[0].code, "beads_only");
    wm_warnings_free(&warnings);
    wm_catalogue_free(&catalogue);
}

/* One warning, and which. */
static void expect_warned(const char *text, const char *code, const char *said)
{
    wm_catalogue catalogue = { 0 };
    wm_warnings warnings = { 0 };
    assert_int_equal(wm_catalogue_parse_csv(&catalogue, text, strlen(text), "test.csv", &warnings, NULL), WM_OK);
    assert_int_equal(warnings.count, code != NULL);
    if (code) {
        assert_string_equal(warnings.items[0].code, code);
        assert_non_null(strstr(warnings.items[0].text, said));
    }
    wm_warnings_free(&warnings);
    wm_catalogue_free(&catalogue);
}

#define PACK "code,L,a,b,length_cm,pieces_per_pack,piece_width_cm,pack_weight_g\noat,50,4,12,50,2,30,"
static void doubts_a_weight_in_ounces_and_a_column_nearly_ours(void **state)
{
    (void)state;
    expect_warned(PACK "60\n", NULL, NULL);
    expect_warned(PACK "9.1\n", NULL, NULL); /* 0.003 g a square centimetre */
    expect_warned(PACK "8.9\n", "weight_doubted", "no pack of oat weighs 8.9 g");
    expect_warned(PACK "2.1\n", "weight_doubted", "an ounce is 28.3");
    expect_warned(PACK "449\n", NULL, NULL); /* 0.15 */
    expect_warned(PACK "451\n", "weight_doubted", "451.0 g");
    expect_warned("code,L,a,b,Stock\noat,50,4,12,3\n", "column_unread", "column 'Stock' is not read; if it is stock");
    expect_warned("code,L,a,b,pack_weight_oz\noat,50,4,12,3\n", "column_unread", "if it is pack_weight_g, call it so");
    expect_warned("code,L,a,b,name,names\noat,50,4,12,x,y\n", NULL, NULL); /* it has that one */
    expect_warned("code,L,a,b,shelf\noat,50,4,12,x\n", NULL, NULL);
}

static void refuses_too_many_rows(void **state)
{
    (void)state;
    wm_buf buf = { 0 };
    wm_buf_text(&buf, "code,L,a,b\n");
    for (int i = 0; i <= WM_CATALOGUE_ROWS; i++)
        wm_buf_format(&buf, "s%d,50,4,12\n", i);
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_catalogue_parse_csv(&catalogue, buf.data, buf.size, "test.csv", NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "more than 100000 rows"));
    assert_int_equal(err.line, WM_CATALOGUE_ROWS + 2);
    wm_buf_free(&buf);
}

/* ---- CGATS.17 ---- */

static wm_status parse_cgats(wm_catalogue *out, const char *text, wm_error *err)
{
    return wm_catalogue_parse_cgats(out, text, strlen(text), "test.txt", NULL, err);
}

static void reads_cgats(void **state)
{
    (void)state;
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    const char *text =
        "CGATS.17\nNUMBER_OF_FIELDS 6\nBEGIN_DATA_FORMAT\nLAB_B LAB_A LAB_L SAMPLE_ID SAMPLE_NAME XYZ_Y\nEND_DATA_FORMAT\n"
        "NUMBER_OF_SETS 2\nBEGIN_DATA\n21.3 4.8 52.5 \"oat 2\" \"Oat \"\"two\"\"\" 20.1\n5 1.5 68 mist \"\" 38.1\nEND_DATA\n";
    if (parse_cgats(&catalogue, text, &err))
        fail_msg("%ld:%ld %s", err.line, err.column, err.text);
    assert_int_equal(catalogue.count, 2);
    assert_string_equal(catalogue.items[0].code, "oat 2");
    assert_string_equal(catalogue.items[0].name, "Oat \"two\"");
    near("L", catalogue.items[0].lab.L, 52.5, 0);
    near("a", catalogue.items[1].lab.a, 1.5, 0);
    assert_int_equal(catalogue.items[1].line, 9);
    assert_string_equal(catalogue.extra_names[0], "XYZ_Y");
    assert_string_equal(catalogue.extra[1], "38.1");
    wm_catalogue_free(&catalogue);
}

#define FORMAT "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
static const fault CGATS_FAULTS[] = {
    { "CGATS.17\nNUMBER_OF_FIELDS 3\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\na 1 2\nEND_DATA\n",
      0, 0, "LAB_B is missing" },
    { FORMAT "NUMBER_OF_SETS 1\nBEGIN_DATA\na 52,5 2 3\nEND_DATA\n", 8, 3, "decimal comma" },
    { FORMAT "NUMBER_OF_SETS 1\nBEGIN_DATA\na 52.5 nan 3\nEND_DATA\n", 8, 8, "not a number" },
    { FORMAT "NUMBER_OF_SETS 1\nBEGIN_DATA\na 52.5 2 300\nEND_DATA\n", 8, 10, "from -128 to 127" },
    { FORMAT "NUMBER_OF_SETS 2\nBEGIN_DATA\na 52 2 3\na 52 2 3\nEND_DATA\n", 9, 1, "on line 8 already" },
    { FORMAT "NUMBER_OF_SETS 2\nBEGIN_DATA\na 52 2 3\na 52 2 4\nEND_DATA\n", 9, 1, "on line 8 already" },
};

static void names_every_fault_of_cgats(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof CGATS_FAULTS / sizeof *CGATS_FAULTS; i++) {
        const fault *f = &CGATS_FAULTS[i];
        wm_catalogue catalogue = { 0 };
        wm_error err = { 0 };
        wm_status status = parse_cgats(&catalogue, f->data, &err);
        if (status != WM_E_INPUT || err.line != f->line || err.column != f->column || !strstr(err.text, f->text))
            fail_msg("%s\nwant %ld:%ld %s\ngot %d %ld:%ld %s", f->data, f->line, f->column, f->text, status, err.line,
                     err.column, err.text);
    }
}

static void loads_by_the_ending(void **state)
{
    (void)state;
    char path[1024];
    snprintf(path, sizeof path, "%s/cgats/ok_minimal.txt", getenv("REFERENCE_DIR"));
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    if (wm_catalogue_load(&catalogue, path, NULL, &err))
        fail_msg("%s", err.text);
    assert_int_equal(catalogue.count, 3);
    wm_catalogue_free(&catalogue);
    assert_int_equal(wm_catalogue_load(&catalogue, "swatches.ods", NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, ".csv or .txt"));
    assert_int_equal(wm_catalogue_load(&catalogue, "not-there.csv", NULL, &err), WM_E_INPUT);
    assert_string_equal(err.file, "not-there.csv");
}

/* As a spreadsheet of many a country saves it. */
static void semicolons_go_with_decimal_commas(void **state)
{
    (void)state;
    static const char TEXT[] = "code;name;L;a;b;pack_price;length_cm\noat;Oat, rolled;52,5;4,8;-21,25;89,50;50\n";
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    if (wm_catalogue_parse_csv(&catalogue, TEXT, strlen(TEXT), "c.csv", NULL, &err))
        fail_msg("%ld:%ld: %s", err.line, err.column, err.text);
    assert_string_equal(catalogue.items[0].name, "Oat, rolled");
    near("L", catalogue.items[0].lab.L, 52.5, 0);
    near("b", catalogue.items[0].lab.b, -21.25, 0);
    assert_int_equal(catalogue.items[0].pack_price_milli, 89500);
    wm_catalogue_free(&catalogue);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(semicolons_go_with_decimal_commas),
        cmocka_unit_test(reads_every_column_in_any_order),
        cmocka_unit_test(turns_inches_into_centimetres),
        cmocka_unit_test(takes_what_spreadsheets_leave),
        cmocka_unit_test(knows_u_and_tau),
        cmocka_unit_test(names_every_fault),
        cmocka_unit_test(notes_a_catalogue_of_beads),
        cmocka_unit_test(doubts_a_weight_in_ounces_and_a_column_nearly_ours),
        cmocka_unit_test(refuses_too_many_rows),
        cmocka_unit_test(reads_cgats),
        cmocka_unit_test(names_every_fault_of_cgats),
        cmocka_unit_test(loads_by_the_ending),
    };
    return cmocka_run_group_tests_name("swatch", tests, NULL, NULL);
}

/* The door of the catalogue: any bytes as CSV and as CGATS.17. What is refused gets one line and leaves nothing behind;
 * what is taken keeps every promise of swatch.h, comes back from our own writing the same, and can be matched without a
 * NaN. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "match/decision.h"
#include "match/swatch_out.h"
#include "support/measured.h"

const fuzz_seed fuzz_seeds[] = {
    SEED(
        "code,name,kind,L,a,b,length_cm,pieces_per_pack,piece_width_cm,pack_weight_g,pack_price,cuttable,stock,u,gray_share,measured,source,shelf\r\n"
        "oat,\"Oat, rolled\",hair,52.5,4.8,21.3,50,2,30,60,89.90,no,2.5,0.4,0,2024-02-29,own,\"upper \"\"left\"\"\"\r\n"
        "peat,,hair,27.5,-6.25,14.1,,,,,120,yes,,,,,,\r\n"
        "umber,Umber,bead,30,3,8,,,,,0.005,yes,0,,,,,lower\r\n"),
    SEED("b,a,L,code,length_in\n21,4,52,oat,20\n21,4,52,oat,22\n5,1.5,68,mist,\n"),
    SEED(
        "CGATS.17\nNUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\n"
        "BEGIN_DATA\noat \"Oat # 2\" 52.5 4.8 21.3\n\"mist \"\"2\"\"\" \"\" 68 1.5 5\nEND_DATA\n"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { ",",
                                   "\"",
                                   "\"\"",
                                   "\n",
                                   "\r\n",
                                   "\r",
                                   ";",
                                   "\t",
                                   "nan",
                                   "inf",
                                   "1e999",
                                   "-0",
                                   "0x1",
                                   "1,5",
                                   "1.5",
                                   "100",
                                   "-128",
                                   "127",
                                   "1e-320",
                                   "bead",
                                   "hair",
                                   "yes",
                                   "2023-02-29",
                                   "code",
                                   "L",
                                   "a",
                                   "b",
                                   "u",
                                   "length_cm",
                                   "length_in",
                                   "stock",
                                   "pack_price",
                                   "\xef\xbb\xbf",
                                   "\xff\xfe",
                                   "\xc3\xa4",
                                   "\xff",
                                   "SAMPLE_ID",
                                   "LAB_L",
                                   "END_DATA",
                                   "NUMBER_OF_SETS 999999999",
                                   "NUMBER_OF_FIELDS -1",
                                   "#",
                                   NULL };

static int is_one_line(const wm_error *err)
{
    return err->text[0] && !strpbrk(err->text, "\r\n") && err->line >= 0 && err->column >= 0;
}

static int in_range(double value, double low, double high)
{
    return value >= low && value <= high;
}

static void check_swatch(const wm_swatch *s)
{
    fuzz_check(s->code[0] && strlen(s->code) < WM_CODE_SIZE && wm_utf8_valid(s->code, strlen(s->code)),
               "a code is text that fits");
    fuzz_check(wm_lab_valid(s->lab), "a colour is within its ranges");
    fuzz_check(in_range(wm_swatch_u(s), 0, 100) && in_range(wm_swatch_tau(s), 0, 30), "u and tau are within theirs");
    fuzz_check(in_range(s->gray_share, -1, 1) && s->pieces_per_pack != 0 && isfinite(s->stock_packs),
               "the rest is within its own");
}

/* Rank and decide on few shades: every number must come out finite. */
static void match_them(const wm_catalogue *catalogue)
{
    enum { FEW = 8 };
    wm_shades shades;
    fuzz_check(wm_shades_of(&shades, catalogue, WM_SWATCH_HAIR, &(wm_filter){ .min_length_cm = 40 }, NULL) == WM_OK,
               "shades");
    wm_twins twins;
    fuzz_check(wm_catalogue_twins(&twins, catalogue, WM_TWIN_DE00, NULL) == WM_OK, "twins");
    wm_twins_free(&twins);
    shades.count = shades.count < FEW ? shades.count : FEW;
    if (shades.count) {
        static wm_decision found;
        const wm_head_zone zone = {
            .kind = WM_ZONE_MID, .name = "mid", .lab = { 40, 6, 15 }, .sigma = { 0.5, 0.4, 0.4 }, .u_de00 = 0.8
        };
        const wm_measured target = measured(zone.lab, zone.sigma, zone.u_de00);
        wm_decision_input ask = WM_DECISION_INPUT_INIT;
        wm_ranked ranked[FEW];
        ask.zones = &zone;
        ask.zone_count = 1;
        ask.hair = &shades;
        wm_rank(ranked, &shades, &(wm_rank_target){ &target, NULL, 1 }, &ask.verdict);
        fuzz_check(isfinite(ranked[0].de00) && isfinite(ranked[0].u_de00), "a ranking is finite");
        fuzz_check(!wm_decide(&found, &ask, NULL) && found.has_proposal, "a decision");
        fuzz_check(isfinite(found.proposal.gap) && isfinite(found.proposal.far) && found.proposal.why[0],
                   "a proposal is finite");
    }
    wm_shades_free(&shades);
}

/* Written and read again, a catalogue writes the same bytes. */
static void write_and_read(const wm_catalogue *catalogue)
{
    wm_buf once = { 0 }, twice = { 0 }, cgats = { 0 };
    wm_catalogue again = { 0 };
    wm_catalogue_write_csv(&once, catalogue);
    fuzz_check(wm_catalogue_parse_csv(&again, once.data, once.size, "again.csv", NULL, NULL) == WM_OK,
               "our own CSV is read");
    wm_catalogue_write_csv(&twice, &again);
    fuzz_check(again.count == catalogue->count && strcmp(once.data, twice.data) == 0,
               "our own CSV comes back the same");
    wm_catalogue_free(&again);
    if (!wm_catalogue_write_cgats(&cgats, catalogue, true, NULL)) {
        fuzz_check(wm_catalogue_parse_cgats(&again, cgats.data, cgats.size, "again.txt", NULL, NULL) == WM_OK,
                   "our own CGATS.17 is read");
        wm_catalogue_free(&again);
    }
    wm_buf_free(&once);
    wm_buf_free(&twice);
    wm_buf_free(&cgats);
}

typedef wm_status parser(wm_catalogue *, const char *, size_t, const char *, wm_warnings *, wm_error *);

static void try_parser(parser *parse, const char *data, size_t size)
{
    wm_catalogue catalogue = { .count = 77 };
    wm_error err = { 0 };
    wm_warnings warnings = { 0 };
    wm_status status = parse(&catalogue, data, size, "fuzz", &warnings, &err);
    if (status) {
        fuzz_check(status == WM_E_INPUT && is_one_line(&err), "a refusal is one line");
        fuzz_check(catalogue.count == 77 && !catalogue.items, "a refusal leaves the output alone");
    } else {
        fuzz_check(catalogue.count > 0, "there are swatches");
        for (size_t i = 0; i < catalogue.count; i++)
            check_swatch(&catalogue.items[i]);
        write_and_read(&catalogue);
        match_them(&catalogue);
        wm_catalogue_free(&catalogue);
    }
    wm_warnings_free(&warnings);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *copy = malloc(size + 1); /* its end is the heap block's own: reading past it is seen */
    if (!copy)
        return 0;
    if (size)
        memcpy(copy, data, size);
    char *exact = realloc(copy, size ? size : 1);
    copy = exact ? exact : copy;
    try_parser(wm_catalogue_parse_csv, copy, size);
    try_parser(wm_catalogue_parse_cgats, copy, size);
    free(copy);
    return 0;
}

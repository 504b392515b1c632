/* The door of the colour target: any bytes as its CGATS.17 reference, against any rows, columns and corners. What is
 * refused gets one line; what is taken has a finite colour or a reason for each patch. The input: rows, columns, four
 * corners of two bytes each, then the reference. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "measure/target.h"
#include "measure/zone_internal.h"
#include "support/pictures.h"

enum { HEAD = 2 + 8, SIZE = 10, PATCHES_WIDE = 6, PATCHES_HIGH = 4 };

#define LINES                                                                                                           \
    "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 4\n" \
    "BEGIN_DATA\nA1 95 0 0\nA2 50 0 0.5\nB1 40 20 -30\nB2 20.5 -0.25 1e0\nEND_DATA\n"
const fuzz_seed fuzz_seeds[] = { SEED("\2\2\5\5\67\5\67\43\5\43" LINES),
                                 SEED("\2\2\67\5\67\43\5\43\5\5" LINES),
                                 SEED("\2\2\20\4\60\10\54\42\2\40" LINES),
                                 { NULL, 0 } };
const char *const fuzz_words[] = { "LAB_L",
                                   "LAB_A",
                                   "LAB_B",
                                   "SAMPLE_ID",
                                   "BEGIN_DATA\n",
                                   "END_DATA",
                                   "NUMBER_OF_SETS 999999999",
                                   "NUMBER_OF_FIELDS -1",
                                   "\"",
                                   "#",
                                   "\t",
                                   "\n",
                                   "100",
                                   "-128",
                                   "127.001",
                                   "nan",
                                   "1e999",
                                   "0x1",
                                   "A1 50 0 0\n",
                                   "\1",
                                   "\144",
                                   "\377",
                                   "\0",
                                   NULL };

static wm_photo *the_photo;

static void end(void)
{
    wm_photo_close(the_photo);
}

/* Patches of every lightness, one of them blown out, one uneven. */
static wm_photo *start(void)
{
    static const wm_photo_limits small = { .max_megapixels = 0.1, .max_file_mib = 1 };
    unsigned char colours[PATCHES_WIDE * PATCHES_HIGH][3];
    wm_photo *photo = NULL;
    wm_error err = { 0 };
    for (int i = 0; i < PATCHES_WIDE * PATCHES_HIGH; i++)
        for (int k = 0; k < 3; k++)
            colours[i][k] = (unsigned char)(i == 0 ? 255 : (i * 41 + k * k * 17) % 256);
    picture p = picture_patches((const unsigned char(*)[3])colours, PATCHES_WIDE, PATCHES_HIGH, SIZE);
    picture_at(&p, 15, 5)[0] ^= 0x80;
    wm_bytes png = png_make(&p, &(png_how){ 0 });
    if (wm_photo_open_in_process(&photo, &png, "target.png", &small, &err))
        fuzz_check(0, err.text);
    wm_bytes_free(&png);
    picture_free(&p);
    atexit(end);
    return photo;
}

static void check_read(const wm_zone *zone, const wm_lab *references)
{
    wm_target target = { 0 };
    wm_error err = { 0 };
    wm_neutral neutrals[WM_STAGE1_MAX_NEUTRALS];
    double e_green[WM_STAGE1_MAX_NEUTRALS];
    wm_status status = wm_target_read(&target, the_photo, zone, references, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_INPUT);
        return;
    }
    for (int i = 0; i < target.rows * target.columns; i++) {
        const wm_patch *p = &target.patches[i];
        fuzz_check(*p->why ||
                       (isfinite(p->mean.r) && isfinite(p->mean.g) && isfinite(p->mean.b) && isfinite(p->e_green)),
                   "a patch has a colour or a reason");
        fuzz_check(wm_lab_valid(p->reference), "and a colour that it should have");
    }
    fuzz_check(wm_target_neutrals(&target, neutrals, e_green) <= WM_STAGE1_MAX_NEUTRALS, "neutrals fit");
    fuzz_check(!target.turned || target.hint[0], "who is told that it is turned is told how to turn it");
    wm_target_free(&target);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wm_point corners[4];
    char name[] = "target";
    wm_lab *references = NULL;
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    if (size < HEAD)
        return 0;
    the_photo = the_photo ? the_photo : start();
    for (int i = 0; i < 4; i++)
        corners[i] = (wm_point){ data[2 + 2 * i] * 0.75 - 10, data[3 + 2 * i] * 0.75 - 10 };
    wm_zone zone = { .kind = WM_ZONE_TARGET, .name = name, .points = corners, .point_count = 4 };
    zone.rows = 2 + data[0] % 99; /* what the zones file lets in */
    zone.columns = 2 + data[1] % 99;
    if (data[0] < 100 && data[1] < 100) {
        zone.rows = data[0] > 2 ? data[0] : 2;
        zone.columns = data[1] > 2 ? data[1] : 2;
    }
    const char *path = fuzz_file("target.txt");
    fuzz_write(path, data + HEAD, size - HEAD);
    wm_status status = wm_target_references(&references, path, zone.rows, zone.columns, &warnings, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_INPUT);
        fuzz_check(!references, "a refusal leaves the output alone");
    } else if (!wm_zone_corners_fault(corners))
        check_read(&zone, references);
    free(references);
    wm_warnings_free(&warnings);
    return 0;
}

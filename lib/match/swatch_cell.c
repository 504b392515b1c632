#include "match/swatch_cell.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/plain.h"

const char *const WM_SWATCH_NAMES[WM_SWATCH_COLUMNS] = { "code",
                                                         "name",
                                                         "kind",
                                                         "L",
                                                         "a",
                                                         "b",
                                                         "length_cm",
                                                         "length_in",
                                                         "pieces_per_pack",
                                                         "piece_width_cm",
                                                         "piece_width_in",
                                                         "pack_weight_g",
                                                         "pack_price",
                                                         "cuttable",
                                                         "stock",
                                                         "u",
                                                         "gray_share",
                                                         "frame",
                                                         "u_frame",
                                                         "photos",
                                                         "measured",
                                                         "source",
                                                         "supplier" };

bool wm_swatch_column_required(wm_swatch_column column)
{
    return column == WM_SWATCH_CODE || column == WM_SWATCH_L || column == WM_SWATCH_A || column == WM_SWATCH_B;
}

/* The columns that are one number: where it goes, its range as written, and what makes it centimetres. */
typedef struct number_column {
    wm_swatch_column column;
    size_t offset;
    double low, high, factor;
} number_column;

#define CM_PER_INCH 2.54
static const number_column NUMBERS[] = {
    { WM_SWATCH_L, offsetof(wm_swatch, lab.L), 0, 100, 1 },
    { WM_SWATCH_A, offsetof(wm_swatch, lab.a), -128, 127, 1 },
    { WM_SWATCH_B, offsetof(wm_swatch, lab.b), -128, 127, 1 },
    { WM_SWATCH_LENGTH_CM, offsetof(wm_swatch, length_cm), 1, 300, 1 },
    { WM_SWATCH_LENGTH_IN, offsetof(wm_swatch, length_cm), 0.4, 118, CM_PER_INCH },
    { WM_SWATCH_WIDTH_CM, offsetof(wm_swatch, piece_width_cm), 0.1, 1000, 1 },
    { WM_SWATCH_WIDTH_IN, offsetof(wm_swatch, piece_width_cm), 0.04, 390, CM_PER_INCH },
    { WM_SWATCH_WEIGHT, offsetof(wm_swatch, pack_weight_g), 0.1, 10000, 1 },
    { WM_SWATCH_STOCK, offsetof(wm_swatch, stock_packs), 0, 1e6, 1 },
    { WM_SWATCH_U, offsetof(wm_swatch, u), 0, 100, 1 },
    { WM_SWATCH_GRAY, offsetof(wm_swatch, gray_share), 0, 1, 1 },
    { WM_SWATCH_U_FRAME, offsetof(wm_swatch, u_frame), 0, 100, 1 },
};
enum {
    NUMBER_COLUMNS = sizeof NUMBERS / sizeof *NUMBERS,
    MAX_PIECES = 1000,
    MAX_PHOTOS = 1000,
    MAX_PRICE = 1000000000
};

static double *number_at(wm_swatch *swatch, const number_column *number)
{
    return (double *)(void *)((char *)swatch + number->offset);
}

static const number_column *number_of(wm_swatch_column column)
{
    for (size_t i = 0; i < NUMBER_COLUMNS; i++)
        if (NUMBERS[i].column == column)
            return &NUMBERS[i];
    return NULL;
}

#define FAIL_CELL(cell, err, ...) wm_fail_at(err, WM_E_INPUT, (cell)->file, (cell)->line, (cell)->at, __VA_ARGS__)

/* The number as it is read: with a point for its comma, where the file's columns are not separated by commas. */
static const char *with_point(char out[64], const wm_swatch_cell *cell)
{
    snprintf(out, 64, "%s", cell->text);
    char *comma = cell->decimal_comma ? strchr(out, ',') : NULL;
    if (comma && !strpbrk(comma + 1, ",.") && !memchr(out, '.', (size_t)(comma - out)))
        *comma = '.';
    return out;
}

static wm_status parse_number(double *out, const wm_swatch_cell *cell, wm_error *err)
{
    char text[64];
    if (strlen(cell->text) < sizeof text && wm_number_parse(with_point(text, cell), out))
        return WM_OK;
    if (strchr(cell->text, ',') && strchr(cell->text, '.'))
        return FAIL_CELL(cell, err, "'%.40s' in column %s has thousands marked; write it like 1250.50", cell->text,
                         cell->title);
    if (strchr(cell->text, ','))
        return FAIL_CELL(cell, err, "'%.40s' in column %s has a decimal comma; write a point", cell->text, cell->title);
    return FAIL_CELL(cell, err, "'%.40s' in column %s is not a number; write it like 27.5, without a unit", cell->text,
                     cell->title);
}

static wm_status read_number(wm_swatch *swatch, const number_column *number, const wm_swatch_cell *cell, wm_error *err)
{
    double value;
    wm_status status = parse_number(&value, cell, err);
    if (status)
        return status;
    if (!(value >= number->low && value <= number->high)) {
        char low[40], high[40];
        return FAIL_CELL(cell, err, "%.40s in column %s is out of range; it must be from %s to %s", cell->text,
                         cell->title, wm_number_text(low, number->low, number->low - floor(number->low) > 0 ? 2 : 0),
                         wm_number_text(high, number->high, 0));
    }
    *number_at(swatch, number) = value * number->factor;
    return WM_OK;
}

static wm_status read_whole(int *out, const wm_swatch_cell *cell, int most, wm_error *err)
{
    long whole;
    if (!wm_whole_parse(cell->text, 1, most, &whole))
        return FAIL_CELL(cell, err, "'%.40s' in column %s is not a whole number from 1 to %d; correct it", cell->text,
                         cell->title, most);
    *out = (int)whole;
    return WM_OK;
}

/* Money stays exact: digits and at most three decimals are counted, never rounded. */
static wm_status read_price(wm_swatch *swatch, const wm_swatch_cell *cell, wm_error *err)
{
    double value;
    wm_status status = parse_number(&value, cell, err);
    if (status)
        return status;
    char text[64], decimals[WM_TWO_WAYS_SIZE], thousands[WM_TWO_WAYS_SIZE];
    const char *point = strchr(with_point(text, cell), '.');
    if (wm_number_two_ways(decimals, thousands, cell->text))
        return FAIL_CELL(cell, err, "'%.40s' in column %s could be %s or %s; write it as one of these", cell->text,
                         cell->title, decimals, thousands);
    if (strpbrk(cell->text, "eE") || (point && strlen(point + 1) > 3 && point[4 + strspn(point + 4, "0")]))
        return FAIL_CELL(cell, err, "'%.40s' in column %s is not a price; write it with at most three decimals",
                         cell->text, cell->title);
    if (!(value >= 0 && value <= MAX_PRICE))
        return FAIL_CELL(cell, err, "%.40s in column %s is out of range; it must be from 0 to %d", cell->text,
                         cell->title, MAX_PRICE);
    swatch->pack_price_milli = llround(value * 1000);
    return WM_OK;
}

static bool real_date(const char *text)
{
    static const int days_of[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    if (strlen(text) != 10 || strspn(text, "0123456789-") != 10 || text[4] != '-' || text[7] != '-')
        return false;
    char part[3][5] = { { 0 } };
    memcpy(part[0], text, 4);
    memcpy(part[1], text + 5, 2);
    memcpy(part[2], text + 8, 2);
    long year, month, day;
    if (!wm_whole_parse(part[0], 1900, 9999, &year) || !wm_whole_parse(part[1], 1, 12, &month))
        return false;
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return wm_whole_parse(part[2], 1, days_of[month - 1] + (month == 2 && leap), &day);
}

static wm_status read_text(char *out, size_t size, const wm_swatch_cell *cell, wm_error *err)
{
    if (!wm_plain_line(cell->text))
        return FAIL_CELL(cell, err, "a line break or control character in column %s; remove it", cell->title);
    if (strlen(cell->text) >= size)
        return FAIL_CELL(cell, err, "'%.20s...' in column %s is longer than %zu bytes; shorten it", cell->text,
                         cell->title, size - 1);
    memcpy(out, cell->text, strlen(cell->text) + 1);
    return WM_OK;
}

/* C28 */
static wm_status read_frame(wm_swatch *swatch, const wm_swatch_cell *cell, wm_error *err)
{
    if (strlen(cell->text) != WM_FRAME_SIZE - 1 || strspn(cell->text, "0123456789abcdef") != WM_FRAME_SIZE - 1)
        return FAIL_CELL(cell, err,
                         "'%.40s' in column %s names no sheet; it is 8 digits of 0-9 and a-f, or empty for colours "
                         "that an instrument measured",
                         cell->text, cell->title);
    return read_text(swatch->frame, sizeof swatch->frame, cell, err);
}

/* One of two words. */
static wm_status read_choice(bool *second, const wm_swatch_cell *cell, const char *first_word, const char *second_word,
                             wm_error *err)
{
    if (strcmp(cell->text, first_word) != 0 && strcmp(cell->text, second_word) != 0)
        return FAIL_CELL(cell, err, "'%.40s' in column %s is not known; write %s or %s", cell->text, cell->title,
                         first_word, second_word);
    *second = strcmp(cell->text, second_word) == 0;
    return WM_OK;
}

wm_status wm_swatch_read_cell(wm_swatch *swatch, const wm_swatch_cell *cell, wm_error *err)
{
    const number_column *number = number_of(cell->column);
    wm_status status;
    bool second = false;
    if (number)
        return read_number(swatch, number, cell, err);
    switch (cell->column) {
    case WM_SWATCH_CODE: return read_text(swatch->code, sizeof swatch->code, cell, err);
    case WM_SWATCH_NAME: return read_text(swatch->name, sizeof swatch->name, cell, err);
    case WM_SWATCH_SOURCE: return read_text(swatch->source, sizeof swatch->source, cell, err);
    case WM_SWATCH_SUPPLIER: return read_text(swatch->supplier, sizeof swatch->supplier, cell, err);
    case WM_SWATCH_PIECES: return read_whole(&swatch->pieces_per_pack, cell, MAX_PIECES, err);
    case WM_SWATCH_PHOTOS: return read_whole(&swatch->photos, cell, MAX_PHOTOS, err);
    case WM_SWATCH_FRAME: return read_frame(swatch, cell, err);
    case WM_SWATCH_PRICE: return read_price(swatch, cell, err);
    case WM_SWATCH_KIND:
        status = read_choice(&second, cell, "hair", "bead", err);
        swatch->kind = !status && second ? WM_SWATCH_BEAD : WM_SWATCH_HAIR;
        return status;
    case WM_SWATCH_CUTTABLE:
        status = read_choice(&second, cell, "yes", "no", err);
        swatch->cuttable = status || !second;
        return status;
    case WM_SWATCH_MEASURED:
        if (!real_date(cell->text))
            return FAIL_CELL(cell, err, "'%.40s' in column %s is not a date; write it like 2024-02-29", cell->text,
                             cell->title);
        return read_text(swatch->measured, sizeof swatch->measured, cell, err);
    default: return WM_E_BUG;
    }
}

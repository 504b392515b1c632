#include "match/swatch.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/cgats.h"
#include "core/file.h"
#include "match/csv.h"
#include "match/mixing.h"

/* ---- columns ---- */

typedef enum column_id {
    CODE, NAME, KIND, L, A, B, LENGTH_CM, LENGTH_IN, PIECES, WIDTH_CM, WIDTH_IN, WEIGHT, PRICE, CUTTABLE, STOCK, U, GRAY, MEASURED, SOURCE, COLUMNS,
    EXTRA = -1, NAMELESS = -2
} column_id;

static const char *const CSV_NAMES[COLUMNS] = {
    "code", "name", "kind", "L", "a", "b", "length_cm", "length_in", "pieces_per_pack", "piece_width_cm", "piece_width_in", "pack_weight_g",
    "pack_price", "cuttable", "stock", "u", "gray_share", "measured", "source"};
static const char *const CGATS_NAMES[] = {"SAMPLE_ID", "SAMPLE_NAME", NULL, "LAB_L", "LAB_A", "LAB_B"}; /* in the order of the enum */
static const column_id REQUIRED[] = {CODE, L, A, B};

/* The columns that are one number: where it goes, its range as written, and what makes it centimetres. */
typedef struct number_column {
    column_id column;
    size_t offset;
    double low, high, factor;
} number_column;

#define CM_PER_INCH 2.54
static const number_column NUMBERS[] = {
    {L, offsetof(wm_swatch, lab.L), 0, 100, 1},
    {A, offsetof(wm_swatch, lab.a), -128, 127, 1},
    {B, offsetof(wm_swatch, lab.b), -128, 127, 1},
    {LENGTH_CM, offsetof(wm_swatch, length_cm), 1, 300, 1},
    {LENGTH_IN, offsetof(wm_swatch, length_cm), 0.4, 120, CM_PER_INCH},
    {WIDTH_CM, offsetof(wm_swatch, piece_width_cm), 0.1, 1000, 1},
    {WIDTH_IN, offsetof(wm_swatch, piece_width_cm), 0.04, 400, CM_PER_INCH},
    {WEIGHT, offsetof(wm_swatch, pack_weight_g), 0.1, 10000, 1},
    {STOCK, offsetof(wm_swatch, stock_packs), 0, 1e6, 1},
    {U, offsetof(wm_swatch, u), 0, 100, 1},
    {GRAY, offsetof(wm_swatch, gray_share), 0, 1, 1},
};
enum { NUMBER_COLUMNS = sizeof NUMBERS / sizeof *NUMBERS, MAX_PIECES = 1000, MAX_PRICE = 1000000000 };

static double *number_at(wm_swatch *swatch, const number_column *number)
{
    return (double *)(void *)((char *)swatch + number->offset);
}

static const number_column *number_of(column_id column)
{
    for (size_t i = 0; i < NUMBER_COLUMNS; i++)
        if (NUMBERS[i].column == column)
            return &NUMBERS[i];
    return NULL;
}

/* ---- one cell ---- */

/* A cell under a known column, with its place. */
typedef struct cell_text {
    column_id column;
    const char *text, *file, *title;
    long line, at;
} cell_text;

#define FAIL_CELL(cell, err, ...) wm_fail_at(err, WM_E_INPUT, (cell)->file, (cell)->line, (cell)->at, __VA_ARGS__)

static wm_status parse_number(double *out, const cell_text *cell, wm_error *err)
{
    if (wm_number_parse(cell->text, out))
        return WM_OK;
    if (strchr(cell->text, ','))
        return FAIL_CELL(cell, err, "'%.40s' in column %s has a decimal comma; write a point", cell->text, cell->title);
    return FAIL_CELL(cell, err, "'%.40s' in column %s is not a number; write it like 27.5, without a unit", cell->text, cell->title);
}

static wm_status read_number(wm_swatch *swatch, const number_column *number, const cell_text *cell, wm_error *err)
{
    double value;
    wm_status status = parse_number(&value, cell, err);
    if (status)
        return status;
    if (!(value >= number->low && value <= number->high)) {
        char low[40], high[40];
        return FAIL_CELL(cell, err, "%.40s in column %s is out of range; it must be from %s to %s", cell->text, cell->title,
                         wm_number_text(low, number->low, number->low - floor(number->low) > 0 ? 2 : 0), wm_number_text(high, number->high, 0));
    }
    *number_at(swatch, number) = value * number->factor;
    return WM_OK;
}

static wm_status read_pieces(wm_swatch *swatch, const cell_text *cell, wm_error *err)
{
    long pieces;
    if (!wm_whole_parse(cell->text, 1, MAX_PIECES, &pieces))
        return FAIL_CELL(cell, err, "'%.40s' in column %s is not a whole number from 1 to %d; correct it", cell->text, cell->title, MAX_PIECES);
    swatch->pieces_per_pack = (int)pieces;
    return WM_OK;
}

/* Money stays exact: digits and at most three decimals are counted, never rounded. */
static wm_status read_price(wm_swatch *swatch, const cell_text *cell, wm_error *err)
{
    double value;
    wm_status status = parse_number(&value, cell, err);
    if (status)
        return status;
    const char *point = strchr(cell->text, '.');
    if (strpbrk(cell->text, "eE") || (point && strlen(point + 1) > 3))
        return FAIL_CELL(cell, err, "'%.40s' in column %s is no price; write it with at most three decimals", cell->text, cell->title);
    if (!(value >= 0 && value <= MAX_PRICE))
        return FAIL_CELL(cell, err, "%.40s in column %s is out of range; it must be from 0 to %d", cell->text, cell->title, MAX_PRICE);
    swatch->pack_price_milli = llround(value * 1000);
    return WM_OK;
}

static bool real_date(const char *text)
{
    static const int days_of[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (strlen(text) != 10 || strspn(text, "0123456789-") != 10 || text[4] != '-' || text[7] != '-')
        return false;
    char part[3][5] = {{0}};
    memcpy(part[0], text, 4);
    memcpy(part[1], text + 5, 2);
    memcpy(part[2], text + 8, 2);
    long year, month, day;
    if (!wm_whole_parse(part[0], 1900, 9999, &year) || !wm_whole_parse(part[1], 1, 12, &month))
        return false;
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return wm_whole_parse(part[2], 1, days_of[month - 1] + (month == 2 && leap), &day);
}

static wm_status read_text(char *out, size_t size, const cell_text *cell, wm_error *err)
{
    for (const char *p = cell->text; *p; p++)
        if ((unsigned char)*p < 0x20 || *p == 0x7f)
            return FAIL_CELL(cell, err, "a line break or control character in column %s; remove it", cell->title);
    if (strlen(cell->text) >= size)
        return FAIL_CELL(cell, err, "'%.20s...' in column %s is longer than %zu bytes; shorten it", cell->text, cell->title, size - 1);
    strcpy(out, cell->text);
    return WM_OK;
}

/* One of two words. */
static wm_status read_choice(bool *second, const cell_text *cell, const char *first_word, const char *second_word, wm_error *err)
{
    if (strcmp(cell->text, first_word) != 0 && strcmp(cell->text, second_word) != 0)
        return FAIL_CELL(cell, err, "'%.40s' in column %s is not known; write %s or %s", cell->text, cell->title, first_word, second_word);
    *second = strcmp(cell->text, second_word) == 0;
    return WM_OK;
}

static wm_status read_cell(wm_swatch *swatch, const cell_text *cell, wm_error *err)
{
    const number_column *number = number_of(cell->column);
    wm_status status;
    bool second;
    if (number)
        return read_number(swatch, number, cell, err);
    switch (cell->column) {
    case CODE: return read_text(swatch->code, sizeof swatch->code, cell, err);
    case NAME: return read_text(swatch->name, sizeof swatch->name, cell, err);
    case SOURCE: return read_text(swatch->source, sizeof swatch->source, cell, err);
    case PIECES: return read_pieces(swatch, cell, err);
    case PRICE: return read_price(swatch, cell, err);
    case KIND:
        status = read_choice(&second, cell, "hair", "bead", err);
        swatch->kind = status == WM_OK && second ? WM_SWATCH_BEAD : WM_SWATCH_HAIR;
        return status;
    case CUTTABLE:
        status = read_choice(&second, cell, "yes", "no", err);
        swatch->cuttable = status != WM_OK || !second;
        return status;
    case MEASURED:
        if (!real_date(cell->text))
            return FAIL_CELL(cell, err, "'%.40s' in column %s is no date; write it like 2024-02-29", cell->text, cell->title);
        return read_text(swatch->measured, sizeof swatch->measured, cell, err);
    default: return WM_E_BUG;
    }
}

/* ---- rows ---- */

wm_swatch wm_swatch_new(const char *code, const char *name, wm_lab lab)
{
    wm_swatch swatch = {.lab = lab, .u = -1, .length_cm = -1, .pieces_per_pack = -1, .piece_width_cm = -1, .pack_weight_g = -1,
                        .pack_price_milli = -1, .cuttable = true, .stock_packs = -1, .gray_share = -1};
    strncat(swatch.code, code, sizeof swatch.code - 1);
    strncat(swatch.name, name, sizeof swatch.name - 1);
    return swatch;
}

/* What is being read: which column of the file is which of ours, and the rows so far. */
typedef struct reader {
    const char *file;
    const char *const *titles;     /* our columns' names in this format */
    column_id columns[WM_CSV_CELLS];  /* of each column of the file */
    size_t extra_at[WM_CSV_CELLS]; /* of an EXTRA one, its index */
    size_t column_count;
    wm_catalogue catalogue;
    size_t capacity;
} reader;

static bool grow(reader *reading)
{
    if (reading->catalogue.count < reading->capacity)
        return true;
    size_t capacity = reading->capacity ? reading->capacity * 2 : 128, extras = reading->catalogue.extra_count;
    wm_swatch *items = realloc(reading->catalogue.items, capacity * sizeof *items);
    if (!items)
        return false;
    reading->catalogue.items = items;
    if (extras) {
        char **extra = realloc(reading->catalogue.extra, capacity * extras * sizeof *extra);
        if (!extra)
            return false;
        reading->catalogue.extra = extra;
    }
    reading->capacity = capacity;
    return true;
}

/* A whole row at once needs a tau within the domain of B15's users (B4). */
static wm_status check_row(const reader *reading, const wm_swatch *swatch, wm_error *err)
{
    if (!swatch->code[0])
        return wm_fail_at(err, WM_E_INPUT, reading->file, swatch->line, 0, "a row without a code; give the shade one");
    if (wm_swatch_tau(swatch) > 30)
        return wm_fail_at(err, WM_E_INPUT, reading->file, swatch->line, 0,
                          "the pack of '%s' is too heavy for its pieces, width and length; check the four numbers", swatch->code);
    return WM_OK;
}

static wm_status keep_extra(char **slot, const char *text, wm_error *err)
{
    if (!text[0])
        return WM_OK;
    *slot = wm_text_copy(text);
    return *slot ? WM_OK : wm_fail_memory(err);
}

static wm_status read_row(reader *reading, const wm_csv_cell *cells, wm_error *err)
{
    wm_catalogue *catalogue = &reading->catalogue;
    if (catalogue->count == WM_CATALOGUE_ROWS)
        return wm_fail_at(err, WM_E_INPUT, reading->file, cells[0].line, 0, "more than %d rows; split the catalogue", WM_CATALOGUE_ROWS);
    if (!grow(reading))
        return wm_fail_memory(err);
    wm_swatch swatch = wm_swatch_new("", "", (wm_lab){0, 0, 0});
    swatch.line = cells[0].line;
    char **extra = catalogue->extra_count ? catalogue->extra + catalogue->count * catalogue->extra_count : NULL;
    for (size_t i = 0; i < catalogue->extra_count; i++)
        extra[i] = NULL;
    catalogue->items[catalogue->count++] = swatch; /* from here on the catalogue frees the extras */
    for (size_t i = 0; i < reading->column_count; i++) {
        column_id column = reading->columns[i];
        if (column == NAMELESS) {
            if (cells[i].text[0])
                return wm_fail_at(err, WM_E_INPUT, reading->file, cells[i].line, cells[i].column,
                                  "'%.40s' stands under no column name; name the column in the header", cells[i].text);
            continue;
        }
        if (column == EXTRA) {
            wm_status status = keep_extra(&extra[reading->extra_at[i]], cells[i].text, err);
            if (status)
                return status;
            continue;
        }
        cell_text cell = {column, cells[i].text, reading->file, reading->titles[column], cells[i].line, cells[i].column};
        if (!cell.text[0] && (column == CODE || column == L || column == A || column == B))
            return FAIL_CELL(&cell, err, "column %s is empty in this row; every row needs one", cell.title);
        wm_status status = cell.text[0] ? read_cell(&swatch, &cell, err) : WM_OK;
        if (status)
            return status;
    }
    catalogue->items[catalogue->count - 1] = swatch;
    return check_row(reading, &swatch, err);
}

/* ---- header ---- */

static column_id column_named(const char *const *titles, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (titles[i] && strcmp(titles[i], name) == 0)
            return (column_id)i;
    return EXTRA;
}

static bool has_column(const reader *reading, column_id column)
{
    for (size_t i = 0; i < reading->column_count; i++)
        if (reading->columns[i] == column)
            return true;
    return false;
}

static wm_status check_header(const reader *reading, long line, wm_error *err)
{
    for (size_t i = 0; i < sizeof REQUIRED / sizeof *REQUIRED; i++)
        if (!has_column(reading, REQUIRED[i]))
            return wm_fail_at(err, WM_E_INPUT, reading->file, line, 0, "column %s is missing; the header must name %s, %s, %s and %s",
                              reading->titles[REQUIRED[i]], reading->titles[CODE], reading->titles[L], reading->titles[A], reading->titles[B]);
    static const column_id pairs[][2] = {{LENGTH_CM, LENGTH_IN}, {WIDTH_CM, WIDTH_IN}};
    for (size_t i = 0; i < 2; i++)
        if (has_column(reading, pairs[i][0]) && has_column(reading, pairs[i][1]))
            return wm_fail_at(err, WM_E_INPUT, reading->file, line, 0, "both %s and %s; keep one of them", CSV_NAMES[pairs[i][0]],
                              CSV_NAMES[pairs[i][1]]);
    return WM_OK;
}

/* title_count: how many of our columns this format has. */
static wm_status read_header(reader *reading, const wm_csv_cell *cells, size_t count, size_t title_count, wm_error *err)
{
    wm_catalogue *catalogue = &reading->catalogue;
    reading->column_count = count;
    catalogue->extra_names = calloc(count + 1, sizeof *catalogue->extra_names);
    if (!catalogue->extra_names)
        return wm_fail_memory(err);
    for (size_t i = 0; i < count; i++) {
        if (!cells[i].text[0]) { /* spreadsheets leave such columns behind */
            reading->columns[i] = NAMELESS;
            continue;
        }
        for (size_t j = 0; j < i; j++)
            if (strcmp(cells[i].text, cells[j].text) == 0)
                return wm_fail_at(err, WM_E_INPUT, reading->file, cells[i].line, cells[i].column, "column '%.40s' is named twice; keep one",
                                  cells[i].text);
        reading->columns[i] = column_named(reading->titles, title_count, cells[i].text);
        if (reading->columns[i] != EXTRA)
            continue;
        reading->extra_at[i] = catalogue->extra_count;
        char **name = &catalogue->extra_names[catalogue->extra_count++];
        if (!(*name = wm_text_copy(cells[i].text)))
            return wm_fail_memory(err);
    }
    return check_header(reading, cells[0].line, err);
}

/* ---- the whole ---- */

static int compare_rows(const void *a, const void *b)
{
    const wm_swatch *x = *(const wm_swatch *const *)a, *y = *(const wm_swatch *const *)b;
    int by_code = strcmp(x->code, y->code);
    if (by_code)
        return by_code;
    if (x->length_cm < y->length_cm || x->length_cm > y->length_cm)
        return x->length_cm < y->length_cm ? -1 : 1;
    return x < y ? -1 : x > y;
}

static bool same_lab(wm_lab a, wm_lab b)
{
    return !(a.L < b.L || a.L > b.L || a.a < b.a || a.a > b.a || a.b < b.b || a.b > b.b);
}

/* later: a row of sorted that breaks a rule against the one before it; the first of these in the file is reported. */
static wm_status check_unique(const wm_catalogue *catalogue, const char *file, wm_error *err)
{
    const wm_swatch **sorted = malloc(catalogue->count * sizeof *sorted), *later = NULL, *first = NULL;
    if (!sorted)
        return wm_fail_memory(err);
    for (size_t i = 0; i < catalogue->count; i++)
        sorted[i] = &catalogue->items[i];
    qsort(sorted, catalogue->count, sizeof *sorted, compare_rows);
    for (size_t i = 1; i < catalogue->count; i++) {
        const wm_swatch *a = sorted[i - 1] < sorted[i] ? sorted[i - 1] : sorted[i], *b = sorted[i - 1] < sorted[i] ? sorted[i] : sorted[i - 1];
        bool same_length = !(a->length_cm < b->length_cm || a->length_cm > b->length_cm);
        if (strcmp(a->code, b->code) == 0 && (same_length || !same_lab(a->lab, b->lab)) && (!later || b < later)) {
            first = a;
            later = b;
        }
    }
    free(sorted);
    if (!later)
        return WM_OK;
    if (!same_lab(first->lab, later->lab))
        return wm_fail_at(err, WM_E_INPUT, file, later->line, 0, "'%s' has another colour on line %ld; one code has one colour, so correct one of them",
                          later->code, first->line);
    return wm_fail_at(err, WM_E_INPUT, file, later->line, 0, "'%s' of this length is on line %ld already; remove one or give another length",
                      later->code, first->line);
}

static wm_status finish(wm_catalogue *out, reader *reading, wm_notes *notes, wm_error *err)
{
    wm_catalogue *catalogue = &reading->catalogue;
    if (catalogue->count == 0)
        return wm_fail_at(err, WM_E_INPUT, reading->file, 0, 0, "no swatches in it; add a row for each shade");
    wm_status status = check_unique(catalogue, reading->file, err);
    if (status)
        return status;
    bool hair = false;
    for (size_t i = 0; i < catalogue->count; i++)
        hair |= catalogue->items[i].kind == WM_SWATCH_HAIR;
    if (!hair && notes)
        wm_notes_add(notes, "beads_only", "the catalogue has beads only; add hair swatches to be able to match");
    *out = *catalogue;
    return WM_OK;
}

static wm_status read_csv_rows(reader *reading, wm_csv *csv, wm_error *err)
{
    wm_status status = wm_csv_next(csv, err);
    if (status)
        return status;
    if (csv->count == 0)
        return wm_fail_at(err, WM_E_INPUT, reading->file, 0, 0, "the file is empty; its first line must name the columns, e.g. code,L,a,b");
    if (csv->count == 1 && strpbrk(csv->cells[0].text, ";\t"))
        return wm_fail_at(err, WM_E_INPUT, reading->file, csv->cells[0].line, 1,
                          "the columns are separated by semicolons or tabs; save with commas between columns and points in numbers");
    status = read_header(reading, csv->cells, csv->count, COLUMNS, err);
    while (status == WM_OK && (status = wm_csv_next(csv, err)) == WM_OK && csv->count) {
        if (csv->count == reading->column_count)
            status = read_row(reading, csv->cells, err);
        else
            status = wm_fail_at(err, WM_E_INPUT, reading->file, csv->cells[0].line, csv->cells[csv->count < reading->column_count ? csv->count - 1 : reading->column_count].column,
                                "%zu cells where the header has %zu; check for decimal commas, and put text with a comma in quotes", csv->count,
                                reading->column_count);
    }
    return status;
}

wm_status wm_catalogue_parse_csv(wm_catalogue *out, const char *data, size_t size, const char *file, wm_notes *notes, wm_error *err)
{
    if (size > WM_CATALOGUE_BYTES)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "larger than 64 MiB; split the catalogue");
    reader reading = {.file = file, .titles = CSV_NAMES};
    wm_csv csv;
    wm_status status = wm_csv_open(&csv, data, size, file, err);
    if (status == WM_OK)
        status = read_csv_rows(&reading, &csv, err);
    if (status == WM_OK)
        status = finish(out, &reading, notes, err);
    if (status)
        wm_catalogue_free(&reading.catalogue);
    wm_csv_close(&csv);
    return status;
}

static wm_status read_cgats_rows(reader *reading, const wm_cgats *table, wm_error *err)
{
    if (table->fields > WM_CSV_CELLS)
        return wm_fail_at(err, WM_E_INPUT, reading->file, 0, 0, "more than %d fields; remove what is not needed", WM_CSV_CELLS);
    wm_csv_cell cells[WM_CSV_CELLS] = {{0}};
    for (size_t i = 0; i < table->fields; i++)
        cells[i] = (wm_csv_cell){.text = table->field_names[i]};
    wm_status status = read_header(reading, cells, table->fields, sizeof CGATS_NAMES / sizeof *CGATS_NAMES, err);
    for (size_t row = 0; status == WM_OK && row < table->rows; row++) {
        for (size_t i = 0; i < table->fields; i++) {
            size_t at = row * table->fields + i;
            cells[i] = (wm_csv_cell){table->cells[at], table->row_lines[row], table->cell_columns[at]};
        }
        status = read_row(reading, cells, err);
    }
    return status;
}

wm_status wm_catalogue_parse_cgats(wm_catalogue *out, const char *data, size_t size, const char *file, wm_notes *notes, wm_error *err)
{
    if (size > WM_CATALOGUE_BYTES)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "larger than 64 MiB; split the catalogue");
    reader reading = {.file = file, .titles = CGATS_NAMES};
    wm_cgats table;
    wm_status status = wm_cgats_parse(&table, data, size, file, notes, err);
    if (status)
        return status;
    status = read_cgats_rows(&reading, &table, err);
    if (status == WM_OK)
        status = finish(out, &reading, notes, err);
    if (status)
        wm_catalogue_free(&reading.catalogue);
    wm_cgats_free(&table);
    return status;
}

static bool ends_with(const char *path, const char *ending)
{
    size_t size = strlen(path), tail = strlen(ending);
    return size >= tail && strcasecmp(path + size - tail, ending) == 0;
}

wm_status wm_catalogue_load(wm_catalogue *out, const char *path, wm_notes *notes, wm_error *err)
{
    bool csv = ends_with(path, ".csv");
    if (!csv && !ends_with(path, ".txt"))
        return wm_fail_at(err, WM_E_INPUT, path, 0, 0, "a catalogue's name ends in .csv or .txt (CGATS.17); rename it");
    wm_bytes bytes;
    wm_status status = wm_file_read(&bytes, path, WM_CATALOGUE_BYTES, WM_E_INPUT, err);
    if (status)
        return status;
    const char *data = (const char *)bytes.data;
    status = csv ? wm_catalogue_parse_csv(out, data, bytes.size, path, notes, err)
                 : wm_catalogue_parse_cgats(out, data, bytes.size, path, notes, err);
    wm_bytes_free(&bytes);
    return status;
}

void wm_catalogue_free(wm_catalogue *catalogue)
{
    if (!catalogue)
        return;
    for (size_t i = 0; i < catalogue->count * catalogue->extra_count; i++)
        free(catalogue->extra[i]);
    for (size_t i = 0; i < catalogue->extra_count; i++)
        free(catalogue->extra_names[i]);
    free(catalogue->extra);
    free(catalogue->extra_names);
    free(catalogue->items);
    *catalogue = (wm_catalogue){0};
}

/* ---- what is not written in the row ---- */

double wm_swatch_u(const wm_swatch *swatch)
{
    return swatch->u >= 0 ? swatch->u : 0.6; /* M2 */
}

bool wm_swatch_in_stock(const wm_swatch *swatch)
{
    return swatch->stock_packs > 0;
}

double wm_swatch_tau(const wm_swatch *swatch)
{
    bool known = swatch->pack_weight_g > 0 && swatch->pieces_per_pack > 0 && swatch->piece_width_cm > 0 && swatch->length_cm > 0;
    if (!known)
        return WM_TAU_DEFAULT;
    return wm_tau_of_weft(swatch->pack_weight_g / swatch->pieces_per_pack, swatch->piece_width_cm * 10, swatch->length_cm * 10,
                          WM_HAIR_DIAMETER_MM);
}

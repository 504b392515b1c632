#include "match/swatch.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/cgats.h"
#include "core/file.h"
#include "match/csv.h"
#include "match/mixing.h"
#include "match/swatch_cell.h"

/* ---- rows ---- */

wm_swatch wm_swatch_new(const char *code, const char *name, wm_lab lab)
{
    wm_swatch swatch = { .lab = lab,
                         .u = -1,
                         .length_cm = -1,
                         .pieces_per_pack = -1,
                         .piece_width_cm = -1,
                         .pack_weight_g = -1,
                         .pack_price_milli = -1,
                         .cuttable = true,
                         .stock_packs = -1,
                         .gray_share = -1,
                         .u_frame = -1,
                         .photos = -1 };
    strncat(swatch.code, code, sizeof swatch.code - 1);
    strncat(swatch.name, name, sizeof swatch.name - 1);
    return swatch;
}

/* Column of a file that is none of ours: kept as text, or without a name. */
enum { EXTRA = -1, NAMELESS = -2 };

static const char *const CGATS_NAMES[] = {
    "SAMPLE_ID", "SAMPLE_NAME", NULL, "LAB_L", "LAB_A", "LAB_B"
}; /* in the order of wm_swatch_column */

/* What is being read: which column of the file is which of ours, and the rows so far. */
typedef struct reader {
    const char *file;
    const char *const *titles;     /* our columns' names in this format */
    int columns[WM_CSV_CELLS];     /* of each column of the file: a wm_swatch_column, EXTRA or NAMELESS */
    size_t extra_at[WM_CSV_CELLS]; /* of an EXTRA one, its index */
    size_t column_count;
    wm_catalogue catalogue;
    size_t capacity;
    bool decimal_comma; /* the columns are separated by semicolons */
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
                          "the pack of '%s' is too heavy for its pieces, width and length; check the four numbers",
                          swatch->code);
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
        return wm_fail_at(err, WM_E_INPUT, reading->file, cells[0].line, 0, "more than %d rows; split the catalogue",
                          WM_CATALOGUE_ROWS);
    if (!grow(reading))
        return wm_fail_memory(err);
    wm_swatch swatch = wm_swatch_new("", "", (wm_lab){ 0, 0, 0 });
    swatch.line = cells[0].line;
    char **extra = catalogue->extra_count ? catalogue->extra + catalogue->count * catalogue->extra_count : NULL;
    for (size_t i = 0; i < catalogue->extra_count; i++)
        extra[i] = NULL;
    catalogue->items[catalogue->count++] = swatch; /* from here on the catalogue frees the extras */
    for (size_t i = 0; i < reading->column_count; i++) {
        int column = reading->columns[i];
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
        wm_swatch_cell cell = { (wm_swatch_column)column, cells[i].text, reading->file,
                                reading->titles[column],  cells[i].line, cells[i].column,
                                reading->decimal_comma };
        if (!cell.text[0] && wm_swatch_column_required(cell.column))
            return wm_fail_at(err, WM_E_INPUT, cell.file, cell.line, cell.at,
                              "column %s is empty in this row; every row needs one", cell.title);
        wm_status status = cell.text[0] ? wm_swatch_read_cell(&swatch, &cell, err) : WM_OK;
        if (status)
            return status;
    }
    catalogue->items[catalogue->count - 1] = swatch;
    return check_row(reading, &swatch, err);
}

/* ---- header ---- */

static int column_named(const char *const *titles, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (titles[i] && strcmp(titles[i], name) == 0)
            return (int)i;
    return EXTRA;
}

static bool has_column(const reader *reading, int column)
{
    for (size_t i = 0; i < reading->column_count; i++)
        if (reading->columns[i] == column)
            return true;
    return false;
}

static wm_status check_header(const reader *reading, long line, wm_error *err)
{
    const char *const *titles = reading->titles;
    const wm_catalogue *c = &reading->catalogue;
    for (wm_swatch_column column = WM_SWATCH_CODE; column < WM_SWATCH_COLUMNS; column++) {
        if (!wm_swatch_column_required(column) || has_column(reading, (int)column))
            continue;
        const char *near = wm_near_miss(titles[column], (const char *const *)c->extra_names, c->extra_count);
        if (near)
            return wm_fail_at(err, WM_E_INPUT, reading->file, line, 0,
                              "column %s is missing; write '%s' for '%.40s' in the header", titles[column],
                              titles[column], near);
        return wm_fail_at(err, WM_E_INPUT, reading->file, line, 0,
                          "column %s is missing; the header must name %s, %s, %s and %s", titles[column],
                          titles[WM_SWATCH_CODE], titles[WM_SWATCH_L], titles[WM_SWATCH_A], titles[WM_SWATCH_B]);
    }
    static const wm_swatch_column pairs[][2] = { { WM_SWATCH_LENGTH_CM, WM_SWATCH_LENGTH_IN },
                                                 { WM_SWATCH_WIDTH_CM, WM_SWATCH_WIDTH_IN } };
    for (size_t i = 0; i < 2; i++)
        if (has_column(reading, (int)pairs[i][0]) && has_column(reading, (int)pairs[i][1]))
            return wm_fail_at(err, WM_E_INPUT, reading->file, line, 0, "both %s and %s; keep one of them",
                              titles[pairs[i][0]], titles[pairs[i][1]]);
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
                return wm_fail_at(err, WM_E_INPUT, reading->file, cells[i].line, cells[i].column,
                                  "column '%.40s' is named twice; keep one", cells[i].text);
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
        const wm_swatch *a = sorted[i - 1] < sorted[i] ? sorted[i - 1] : sorted[i],
                        *b = sorted[i - 1] < sorted[i] ? sorted[i] : sorted[i - 1];
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
        return wm_fail_at(err, WM_E_INPUT, file, later->line, 0,
                          "'%s' has another colour on line %ld; one code has one colour, so correct one of them",
                          later->code, first->line);
    return wm_fail_at(err, WM_E_INPUT, file, later->line, 0,
                      "'%s' of this length is on line %ld already; remove one or give another length", later->code,
                      first->line);
}

/* Grams of a square centimetre of weft: usual ones have 0.01 to 0.03, so that beyond these the weight is in another
 * unit, or of another thing than a pack. Common practice, no source. */
static const double LIGHTEST_WEFT = 0.003, HEAVIEST_WEFT = 0.15;

static void warn_of_weights(const wm_catalogue *catalogue, wm_warnings *warnings)
{
    for (size_t i = 0; i < catalogue->count; i++) {
        const wm_swatch *s = &catalogue->items[i];
        const double area = s->length_cm * s->piece_width_cm * s->pieces_per_pack;
        if (s->kind != WM_SWATCH_HAIR || s->pack_weight_g < 0 || s->length_cm <= 0 || s->piece_width_cm <= 0 ||
            s->pieces_per_pack <= 0 ||
            (s->pack_weight_g > LIGHTEST_WEFT * area && s->pack_weight_g < HEAVIEST_WEFT * area))
            continue;
        char weight[40];
        wm_warnings_add(warnings, "weight_doubted",
                        "line %ld: no pack of %s weighs %s g; the weight is in grams (an ounce is 28.3), the length in "
                        "centimetres",
                        s->line, s->code, wm_number_text(weight, s->pack_weight_g, 1));
        return; /* where one is, all are */
    }
}

/* A column of ours that the file lacks, and one that is nearly called so. */
static void warn_of_columns(const reader *reading, wm_warnings *warnings)
{
    const wm_catalogue *c = &reading->catalogue;
    for (size_t i = 0; i < c->extra_count; i++) {
        const char *near = wm_near_miss(c->extra_names[i], WM_SWATCH_NAMES, WM_SWATCH_COLUMNS);
        if (near && !has_column(reading, column_named(WM_SWATCH_NAMES, WM_SWATCH_COLUMNS, near)))
            wm_warnings_add(warnings, "column_unread", "column '%.40s' is not read; if it is %s, call it so",
                            c->extra_names[i], near);
    }
}

static wm_status finish(wm_catalogue *out, reader *reading, wm_warnings *warnings, wm_error *err)
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
    if (!hair && warnings)
        wm_warnings_add(warnings, "beads_only", "the catalogue has beads only; add hair swatches to be able to match");
    if (warnings)
        warn_of_weights(catalogue, warnings);
    if (warnings && reading->titles == WM_SWATCH_NAMES)
        warn_of_columns(reading, warnings);
    *out = *catalogue;
    return WM_OK;
}

static wm_status read_csv_rows(reader *reading, wm_csv *csv, wm_error *err)
{
    wm_status status = wm_csv_next(csv, err);
    if (status)
        return status;
    if (csv->count == 0)
        return wm_fail_at(err, WM_E_INPUT, reading->file, 0, 0,
                          "the file is empty; its first line must name the columns, e.g. code,L,a,b");
    if (csv->count == 1 && strpbrk(csv->cells[0].text, ";\t"))
        return wm_fail_at(err, WM_E_INPUT, reading->file, csv->cells[0].line, 1,
                          "the columns are separated by tabs; save with commas or semicolons between columns");
    reading->decimal_comma = csv->separator == ';';
    status = read_header(reading, csv->cells, csv->count, WM_SWATCH_COLUMNS, err);
    while (!status && (status = wm_csv_next(csv, err)) == WM_OK && csv->count) {
        if (csv->count == reading->column_count)
            status = read_row(reading, csv->cells, err);
        else
            status = wm_fail_at(
                err, WM_E_INPUT, reading->file, csv->cells[0].line,
                csv->cells[csv->count < reading->column_count ? csv->count - 1 : reading->column_count].column,
                "%zu cells where the header has %zu; check for decimal commas, and put text with a comma in quotes",
                csv->count, reading->column_count);
    }
    return status;
}

wm_status wm_catalogue_parse_csv(wm_catalogue *out, const char *data, size_t size, const char *file,
                                 wm_warnings *warnings, wm_error *err)
{
    if (size > WM_CATALOGUE_BYTES)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "larger than 64 MiB; split the catalogue");
    reader reading = { .file = file, .titles = WM_SWATCH_NAMES };
    wm_csv csv;
    wm_status status = wm_csv_open(&csv, data, size, file, err);
    if (!status)
        status = read_csv_rows(&reading, &csv, err);
    if (!status)
        status = finish(out, &reading, warnings, err);
    if (status)
        wm_catalogue_free(&reading.catalogue);
    wm_csv_close(&csv);
    return status;
}

static wm_status read_cgats_rows(reader *reading, const wm_cgats *table, wm_error *err)
{
    if (table->fields > WM_CSV_CELLS)
        return wm_fail_at(err, WM_E_INPUT, reading->file, 0, 0, "more than %d fields; remove what is not needed",
                          WM_CSV_CELLS);
    wm_csv_cell cells[WM_CSV_CELLS] = { { 0 } };
    for (size_t i = 0; i < table->fields; i++)
        cells[i] = (wm_csv_cell){ .text = table->field_names[i] };
    wm_status status = read_header(reading, cells, table->fields, sizeof CGATS_NAMES / sizeof *CGATS_NAMES, err);
    for (size_t row = 0; !status && row < table->rows; row++) {
        for (size_t i = 0; i < table->fields; i++) {
            size_t at = row * table->fields + i;
            cells[i] = (wm_csv_cell){ table->cells[at], table->row_lines[row], table->cell_columns[at] };
        }
        status = read_row(reading, cells, err);
    }
    return status;
}

wm_status wm_catalogue_parse_cgats(wm_catalogue *out, const char *data, size_t size, const char *file,
                                   wm_warnings *warnings, wm_error *err)
{
    if (size > WM_CATALOGUE_BYTES)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "larger than 64 MiB; split the catalogue");
    reader reading = { .file = file, .titles = CGATS_NAMES };
    wm_cgats table;
    wm_status status = wm_cgats_parse(&table, data, size, file, warnings, err);
    if (status)
        return status;
    status = read_cgats_rows(&reading, &table, err);
    if (!status)
        status = finish(out, &reading, warnings, err);
    if (status)
        wm_catalogue_free(&reading.catalogue);
    wm_cgats_free(&table);
    return status;
}

wm_status wm_catalogue_load(wm_catalogue *out, const char *path, wm_warnings *warnings, wm_error *err)
{
    bool csv = wm_file_ends_in(path, ".csv");
    if (!csv && !wm_file_ends_in(path, ".txt"))
        return wm_fail_at(err, WM_E_INPUT, path, 0, 0, "a catalogue's name ends in .csv or .txt (CGATS.17); rename it");
    wm_bytes bytes;
    wm_status status = wm_file_read(&bytes, path, WM_CATALOGUE_BYTES, WM_E_INPUT, err);
    if (status)
        return status;
    const char *data = (const char *)bytes.data;
    status = csv ? wm_catalogue_parse_csv(out, data, bytes.size, path, warnings, err)
                 : wm_catalogue_parse_cgats(out, data, bytes.size, path, warnings, err);
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
    *catalogue = (wm_catalogue){ 0 };
}

/* ---- what is not written in the row ---- */

static const double U_NOT_SAID = 0.6; /* M2 */

double wm_swatch_u(const wm_swatch *swatch)
{
    return swatch->u >= 0 ? swatch->u : U_NOT_SAID;
}

bool wm_swatch_in_stock(const wm_swatch *swatch)
{
    return swatch->stock_packs > 0;
}

double wm_swatch_weft_g_per_cm(const wm_swatch *swatch, double wanted_cm)
{
    bool known = swatch->pack_weight_g > 0 && swatch->pieces_per_pack > 0 && swatch->piece_width_cm > 0;
    double kept = wanted_cm > 0 && swatch->length_cm > wanted_cm ? wanted_cm / swatch->length_cm : 1;
    return known ? kept * swatch->pack_weight_g / (swatch->pieces_per_pack * swatch->piece_width_cm) : -1;
}

double wm_swatch_tau(const wm_swatch *swatch)
{
    bool known =
        swatch->pack_weight_g > 0 && swatch->pieces_per_pack > 0 && swatch->piece_width_cm > 0 && swatch->length_cm > 0;
    if (!known)
        return WM_TAU_DEFAULT;
    return wm_tau_of_weft(swatch->pack_weight_g / swatch->pieces_per_pack, swatch->piece_width_cm * 10,
                          swatch->length_cm * 10, WM_HAIR_DIAMETER_MM);
}

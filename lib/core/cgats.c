#include "core/cgats.h"

#include "core/buf.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_FIELDS = 256, MAX_KEYWORDS = 256, MAX_NOTES = 10 }; /* no file may make the searches below slow */

typedef struct token {
    enum { END_OF_FILE, END_OF_LINE, WORD } kind;
    char *text;
    bool quoted;
    long line, column;
} token;

typedef struct promise {
    long value, line; /* line 0: not seen */
} promise;

typedef struct parser {
    const char *p, *end, *file;
    long line, column; /* of p */
    char *text_end;    /* where the next word goes in table.text */
    wm_cgats table;
    size_t cells, cell_capacity, column_capacity, row_capacity;
    char *keywords[MAX_KEYWORDS]; /* declared by KEYWORD */
    size_t keyword_count, noted;
    promise number_of_fields, number_of_sets;
    wm_warnings *warnings;
    wm_error *err;
} parser;

#define FAIL(ps, at_line, at_column, ...) wm_fail_at((ps)->err, WM_E_INPUT, (ps)->file, at_line, at_column, __VA_ARGS__)

/* ---- words ---- */

static void step(parser *ps)
{
    if (((unsigned char)*ps->p & 0xc0) != 0x80)
        ps->column++;
    ps->p++;
}

static bool at_line_end(const parser *ps)
{
    return ps->p == ps->end || *ps->p == '\n' || *ps->p == '\r';
}

static bool at_space(const parser *ps)
{
    return at_line_end(ps) || *ps->p == ' ' || *ps->p == '\t';
}

static void skip_to_word(parser *ps)
{
    while (!at_line_end(ps) && at_space(ps))
        step(ps);
    if (!at_line_end(ps) && *ps->p == '#')
        while (!at_line_end(ps))
            step(ps);
}

static void take_line_end(parser *ps)
{
    ps->p += ps->end - ps->p >= 2 && ps->p[0] == '\r' && ps->p[1] == '\n' ? 2 : 1;
    ps->line++;
    ps->column = 1;
}

static void keep(parser *ps)
{
    *ps->text_end++ = *ps->p;
    step(ps);
}

static wm_status quoted_word(parser *ps, token *out)
{
    step(ps);
    while (!at_line_end(ps)) {
        if (*ps->p != '"') {
            keep(ps);
        } else if (ps->end - ps->p >= 2 && ps->p[1] == '"') {
            step(ps);
            keep(ps);
        } else {
            step(ps);
            if (at_space(ps))
                return WM_OK;
            return FAIL(ps, ps->line, ps->column,
                        "text goes on behind the closing quote; put a space there, or write the quote twice");
        }
    }
    return FAIL(ps, out->line, out->column, "this quote is not closed on its line; close it");
}

static wm_status plain_word(parser *ps)
{
    while (!at_space(ps)) {
        if (*ps->p == '"' || *ps->p == '#')
            return FAIL(ps, ps->line, ps->column, "%c in the middle of a word; put the whole word in quotes", *ps->p);
        keep(ps);
    }
    return WM_OK;
}

static wm_status next(parser *ps, token *out)
{
    skip_to_word(ps);
    *out = (token){ .kind = WORD, .text = ps->text_end, .line = ps->line, .column = ps->column };
    if (ps->p == ps->end) {
        out->kind = END_OF_FILE;
        return WM_OK;
    }
    if (at_line_end(ps)) {
        out->kind = END_OF_LINE;
        take_line_end(ps);
        return WM_OK;
    }
    out->quoted = *ps->p == '"';
    wm_status status = out->quoted ? quoted_word(ps, out) : plain_word(ps);
    *ps->text_end++ = '\0';
    return status;
}

/* An unquoted word of the language itself. */
static bool is(const token *t, const char *word)
{
    return t->kind == WORD && !t->quoted && strcmp(t->text, word) == 0;
}

/* ---- header ---- */

/* Of ISO 28178, from memory; others have to be declared by KEYWORD. */
static const char *const STANDARD_KEYWORDS[] = { "ORIGINATOR",
                                                 "FILE_DESCRIPTOR",
                                                 "CREATED",
                                                 "DESCRIPTOR",
                                                 "DIFFUSE_GEOMETRY",
                                                 "MANUFACTURER",
                                                 "MANUFACTURE",
                                                 "PROD_DATE",
                                                 "SERIAL",
                                                 "MATERIAL",
                                                 "INSTRUMENTATION",
                                                 "MEASUREMENT_SOURCE",
                                                 "MEASUREMENT_GEOMETRY",
                                                 "PRINT_CONDITIONS",
                                                 "SAMPLE_BACKING",
                                                 "CHISQ_DOF",
                                                 "FILTER",
                                                 "POLARIZATION",
                                                 "WEIGHTING_FUNCTION",
                                                 "COMPUTATIONAL_PARAMETER",
                                                 "TARGET_TYPE",
                                                 "COLORANT",
                                                 "TABLE_DESCRIPTOR",
                                                 "TABLE_NAME" };

static bool declared(const parser *ps, const char *keyword)
{
    for (size_t i = 0; i < sizeof STANDARD_KEYWORDS / sizeof *STANDARD_KEYWORDS; i++)
        if (strcmp(STANDARD_KEYWORDS[i], keyword) == 0)
            return true;
    for (size_t i = 0; i < ps->keyword_count; i++)
        if (strcmp(ps->keywords[i], keyword) == 0)
            return true;
    return false;
}

static wm_status declare(parser *ps, const token *value)
{
    if (value->kind != WORD)
        return FAIL(ps, value->line, value->column, "KEYWORD names no keyword; write one behind it in quotes");
    if (ps->keyword_count == MAX_KEYWORDS)
        return FAIL(ps, value->line, value->column, "more than %d KEYWORD lines; this is not a swatch or target table",
                    MAX_KEYWORDS);
    ps->keywords[ps->keyword_count++] = value->text;
    return WM_OK;
}

static void note_undeclared(parser *ps, const token *keyword)
{
    if (declared(ps, keyword->text) || ps->noted++ >= MAX_NOTES)
        return;
    wm_warnings_add(ps->warnings, "undeclared_keyword",
                    "%s, line %ld: the keyword %s is not declared by a KEYWORD line; it is ignored", ps->file,
                    keyword->line, keyword->text);
}

static wm_status read_count(parser *ps, const token *keyword, const token *value, promise *out)
{
    if (out->line)
        return FAIL(ps, keyword->line, keyword->column, "%s stands a second time; remove one", keyword->text);
    out->line = keyword->line;
    if (value->kind != WORD || !wm_whole_parse(value->text, 1, LONG_MAX, &out->value))
        return FAIL(ps, value->line, value->column, "%s needs a whole number above 0", keyword->text);
    return WM_OK;
}

/* The rest of a header line whose keyword has been read. Values that nobody asks for are skipped. */
static wm_status read_value(parser *ps, const token *keyword)
{
    token value;
    wm_status status = next(ps, &value);
    if (status)
        return status;
    if (is(keyword, "NUMBER_OF_FIELDS"))
        status = read_count(ps, keyword, &value, &ps->number_of_fields);
    else if (is(keyword, "NUMBER_OF_SETS"))
        status = read_count(ps, keyword, &value, &ps->number_of_sets);
    else if (is(keyword, "KEYWORD"))
        status = declare(ps, &value);
    else
        note_undeclared(ps, keyword);
    while (!status && value.kind == WORD)
        status = next(ps, &value);
    return status;
}

/* ---- fields and rows ---- */

/* items with room for one more than `used`; NULL when memory runs out, items are still there then. */
static void *grown(void *items, size_t used, size_t *capacity, size_t size)
{
    if (used < *capacity)
        return items;
    size_t larger = *capacity ? *capacity * 2 : 64;
    void *moved = realloc(items, larger * size);
    if (moved)
        *capacity = larger;
    return moved;
}

static wm_status add_field(parser *ps, const token *t)
{
    if (wm_cgats_field(&ps->table, t->text) >= 0)
        return FAIL(ps, t->line, t->column, "the field %s is named twice; remove one", t->text);
    if (ps->table.fields == MAX_FIELDS)
        return FAIL(ps, t->line, t->column, "more than %d fields; remove those that nobody needs", MAX_FIELDS);
    ps->table.field_names[ps->table.fields++] = t->text;
    return WM_OK;
}

static wm_status read_format(parser *ps, const token *begin)
{
    if (ps->table.field_names)
        return FAIL(ps, begin->line, begin->column, "a second BEGIN_DATA_FORMAT; keep one table in a file");
    ps->table.field_names = calloc(MAX_FIELDS, sizeof *ps->table.field_names);
    if (!ps->table.field_names)
        return wm_fail_memory(ps->err);
    for (;;) {
        token t;
        wm_status status = next(ps, &t);
        if (status)
            return status;
        if (is(&t, "END_DATA_FORMAT"))
            break;
        if (t.kind == END_OF_FILE || is(&t, "BEGIN_DATA") || is(&t, "NUMBER_OF_SETS"))
            return FAIL(ps, t.line, t.column, "END_DATA_FORMAT is missing; write it behind the last field name");
        status = t.kind == WORD ? add_field(ps, &t) : WM_OK;
        if (status)
            return status;
    }
    return ps->table.fields ? WM_OK
                            : FAIL(ps, begin->line, begin->column, "the data format names no field; write the names");
}

static wm_status add_cell(parser *ps, const token *t)
{
    char **cells = grown(ps->table.cells, ps->cells, &ps->cell_capacity, sizeof *cells);
    if (!cells)
        return wm_fail_memory(ps->err);
    ps->table.cells = cells;
    long *columns = grown(ps->table.cell_columns, ps->cells, &ps->column_capacity, sizeof *columns);
    if (!columns)
        return wm_fail_memory(ps->err);
    ps->table.cell_columns = columns;
    cells[ps->cells] = t->text;
    columns[ps->cells++] = t->column;
    return WM_OK;
}

static wm_status add_row(parser *ps, long line)
{
    long *lines = grown(ps->table.row_lines, ps->table.rows, &ps->row_capacity, sizeof *lines);
    if (!lines)
        return wm_fail_memory(ps->err);
    ps->table.row_lines = lines;
    lines[ps->table.rows++] = line;
    return WM_OK;
}

/* One line from its first word on. */
static wm_status read_row(parser *ps, token t)
{
    size_t first = ps->cells;
    long line = t.line;
    wm_status status = WM_OK;
    while (!status && t.kind == WORD) {
        if (ps->cells - first == ps->table.fields)
            return FAIL(ps, t.line, t.column, "this row has more values than the %zu fields; remove what is too much",
                        ps->table.fields);
        status = add_cell(ps, &t);
        if (!status)
            status = next(ps, &t);
    }
    if (status)
        return status;
    if (ps->cells - first < ps->table.fields)
        return FAIL(ps, line, t.column, "this row has %zu of %zu values; fill in %s", ps->cells - first,
                    ps->table.fields, ps->table.field_names[ps->cells - first]);
    return add_row(ps, line);
}

static wm_status read_rows(parser *ps, const token *begin)
{
    if (!ps->table.field_names)
        return FAIL(ps, begin->line, begin->column, "BEGIN_DATA before the field names; write BEGIN_DATA_FORMAT first");
    for (;;) {
        token t;
        wm_status status = next(ps, &t);
        if (status)
            return status;
        if (is(&t, "END_DATA"))
            return WM_OK;
        if (t.kind == END_OF_FILE)
            return FAIL(ps, t.line, t.column,
                        "END_DATA is missing; the file may be cut off: write it behind the last row");
        status = t.kind == WORD ? read_row(ps, t) : WM_OK;
        if (status)
            return status;
    }
}

/* ---- the whole file ---- */

static wm_status check_bytes(parser *ps)
{
    long line = 1, column = 1;
    for (const char *p = ps->p; p < ps->end;) {
        size_t length = wm_utf8_step(p, (size_t)(ps->end - p));
        unsigned char byte = (unsigned char)*p;
        if (!length)
            return FAIL(ps, line, column, "not UTF-8 text; save the file as UTF-8");
        if (length == 1 && (byte == 0x7f || (byte < 0x20 && byte != '\t' && byte != '\n' && byte != '\r')))
            return FAIL(ps, line, column, "the control byte 0x%02x does not belong into a text file; remove it", byte);
        bool ends_line = byte == '\n' || (byte == '\r' && !(p + 1 < ps->end && p[1] == '\n'));
        column = ends_line ? 1 : column + 1;
        line += ends_line;
        p += length;
    }
    return WM_OK;
}

static wm_status read_identifier(parser *ps)
{
    token t;
    wm_status status = next(ps, &t);
    if (status)
        return status;
    if (t.kind == END_OF_FILE)
        return FAIL(ps, 1, 1, "the file is empty; it should be a CGATS.17 table");
    if (t.kind != WORD || t.quoted || strncmp(t.text, "CGATS.17", 8) != 0)
        return FAIL(ps, 1, 1, "the first line is not CGATS.17; export the table as CGATS.17 (ISO 28178)");
    status = next(ps, &t);
    if (!status && t.kind == WORD)
        status = FAIL(ps, t.line, t.column, "the first line goes on behind CGATS.17; put the rest on lines of its own");
    return status;
}

/* Everything up to END_DATA. */
static wm_status read_table(parser *ps)
{
    for (;;) {
        token t;
        wm_status status = next(ps, &t);
        if (status)
            return status;
        if (t.kind == END_OF_FILE)
            return FAIL(ps, t.line, t.column, "there is no %s; the file may be cut off",
                        ps->table.field_names ? "BEGIN_DATA with rows" : "BEGIN_DATA_FORMAT");
        if (is(&t, "BEGIN_DATA"))
            return read_rows(ps, &t);
        if (t.quoted)
            return FAIL(ps, t.line, t.column, "a quoted text where a keyword should be; begin the line with a keyword");
        if (is(&t, "BEGIN_DATA_FORMAT"))
            status = read_format(ps, &t);
        else if (t.kind == WORD)
            status = read_value(ps, &t);
        if (status)
            return status;
    }
}

static wm_status read_end(parser *ps)
{
    token t;
    do {
        wm_status status = next(ps, &t);
        if (status)
            return status;
    } while (t.kind == END_OF_LINE);
    if (t.kind == WORD)
        return FAIL(ps, t.line, t.column, "more text behind END_DATA; keep one table in a file");
    return WM_OK;
}

static wm_status check_counts(parser *ps)
{
    const wm_cgats *table = &ps->table;
    if (!ps->number_of_fields.line)
        return FAIL(ps, 0, 0, "NUMBER_OF_FIELDS is missing; write NUMBER_OF_FIELDS %zu before the field names",
                    table->fields);
    if (!ps->number_of_sets.line)
        return FAIL(ps, 0, 0, "NUMBER_OF_SETS is missing; write NUMBER_OF_SETS %zu before BEGIN_DATA", table->rows);
    if ((size_t)ps->number_of_fields.value != table->fields)
        return FAIL(ps, ps->number_of_fields.line, 0,
                    "NUMBER_OF_FIELDS is %ld, but there are %zu field names; correct one of them",
                    ps->number_of_fields.value, table->fields);
    if ((size_t)ps->number_of_sets.value != table->rows)
        return FAIL(ps, ps->number_of_sets.line, 0,
                    "NUMBER_OF_SETS is %ld, but there are %zu rows; correct the number or add what is missing",
                    ps->number_of_sets.value, table->rows);
    return WM_OK;
}

typedef struct id {
    const char *text;
    size_t row;
} id;

static int by_text_and_row(const void *a, const void *b)
{
    const id *x = a, *y = b;
    int order = strcmp(x->text, y->text);
    return order ? order : (x->row > y->row) - (x->row < y->row);
}

static wm_status check_ids(parser *ps)
{
    const wm_cgats *table = &ps->table;
    long field = wm_cgats_field(table, "SAMPLE_ID");
    if (field < 0)
        return WM_OK;
    id *ids = calloc(table->rows, sizeof *ids);
    if (!ids)
        return wm_fail_memory(ps->err);
    for (size_t i = 0; i < table->rows; i++)
        ids[i] = (id){ table->cells[i * table->fields + (size_t)field], i };
    qsort(ids, table->rows, sizeof *ids, by_text_and_row);
    wm_status status = WM_OK;
    for (size_t i = 1; i < table->rows && !status; i++)
        if (strcmp(ids[i - 1].text, ids[i].text) == 0)
            status =
                FAIL(ps, table->row_lines[ids[i].row], table->cell_columns[ids[i].row * table->fields + (size_t)field],
                     "SAMPLE_ID %s stands on line %ld already; give each row an id of its own", ids[i].text,
                     table->row_lines[ids[i - 1].row]);
    free(ids);
    return status;
}

wm_status wm_cgats_parse(wm_cgats *out, const char *data, size_t size, const char *file, wm_warnings *warnings,
                         wm_error *err)
{
    if (size >= 3 && memcmp(data, "\xef\xbb\xbf", 3) == 0) {
        data += 3;
        size -= 3;
    }
    parser ps = {
        .p = data, .end = data + size, .file = file, .line = 1, .column = 1, .warnings = warnings, .err = err
    };
    wm_status status = check_bytes(&ps);
    if (status)
        return status;
    ps.table.text = ps.text_end =
        malloc(size + 2); /* a word's NUL takes the place of what ends it; the last one may end with the file */
    if (!ps.table.text)
        return wm_fail_memory(err);
    wm_status (*const steps[])(parser *) = { read_identifier, read_table, read_end, check_counts, check_ids };
    for (size_t i = 0; i < sizeof steps / sizeof *steps && !status; i++)
        status = steps[i](&ps);
    if (status)
        wm_cgats_free(&ps.table);
    else
        *out = ps.table;
    return status;
}

void wm_cgats_free(wm_cgats *table)
{
    if (!table)
        return;
    free(table->field_names);
    free(table->cells);
    free(table->row_lines);
    free(table->cell_columns);
    free(table->text);
    *table = (wm_cgats){ 0 };
}

/* ---- reading ---- */

long wm_cgats_field(const wm_cgats *table, const char *name)
{
    for (size_t i = 0; i < table->fields; i++)
        if (strcmp(table->field_names[i], name) == 0)
            return (long)i;
    return -1;
}

wm_status wm_cgats_number(const wm_cgats *table, size_t row, size_t field, const char *file, double *out, wm_error *err)
{
    size_t cell = row * table->fields + field;
    if (wm_number_parse(table->cells[cell], out))
        return WM_OK;
    const char *hint =
        strchr(table->cells[cell], ',') ? "write a decimal point, not a comma" : "write a number such as 41.5";
    return wm_fail_at(err, WM_E_INPUT, file, table->row_lines[row], table->cell_columns[cell],
                      "%s: '%s' is not a number; %s", table->field_names[field], table->cells[cell], hint);
}

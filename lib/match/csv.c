#include "match/csv.h"

#include <stdlib.h>
#include <string.h>

static wm_status fail_encoding(const wm_csv *csv, const char *data, size_t size, wm_error *err)
{
    if (size >= 2 && ((data[0] == '\xff' && data[1] == '\xfe') || (data[0] == '\xfe' && data[1] == '\xff')))
        return wm_fail_at(err, WM_E_INPUT, csv->file, 1, 1, "saved as UTF-16; save it as CSV in UTF-8");
    long line = 1;
    const char *start = data, *end = data + size;
    for (const char *feed; (feed = memchr(start, '\n', (size_t)(end - start))) != NULL; start = feed + 1, line++)
        if (!wm_utf8_valid(start, (size_t)(feed - start)))
            break;
    return wm_fail_at(err, WM_E_INPUT, csv->file, line, 0,
                      "this line is not text in UTF-8; save the file as CSV in UTF-8");
}

static bool ends_line(char c)
{
    return c == '\0' || c == '\n' || c == '\r';
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* One byte on, keeping the place; continuation bytes of UTF-8 take no column, CR LF is one line end. */
static void advance(wm_csv *csv)
{
    char c = *csv->at++;
    if (c == '\n' || (c == '\r' && *csv->at != '\n')) {
        csv->line++;
        csv->column = 1;
    } else if (((unsigned char)c & 0xc0) != 0x80) {
        csv->column++;
    }
}

static void skip_blanks(wm_csv *csv)
{
    while (is_blank(*csv->at))
        advance(csv);
}

static void skip_line_end(wm_csv *csv)
{
    if (*csv->at == '\r')
        advance(csv);
    if (*csv->at == '\n') /* a lone CR never has one behind it */
        advance(csv);
}

/* What stands on the first line; some spreadsheets write a line "sep=;" before it. */
static void set_separator(wm_csv *csv)
{
    const char said = strncmp(csv->at, "sep=", 4) == 0 ? csv->at[4] : '\0';
    if ((said == ';' || said == ',') && strchr("\r\n", csv->at[5])) {
        csv->separator = said;
        csv->at += 5;
        skip_line_end(csv);
        return;
    }
    const char *end = csv->at + strcspn(csv->at, "\r\n"), *comma = strchr(csv->at, ',');
    const char *semicolon = strchr(csv->at, ';');
    csv->separator = semicolon && semicolon < end && (!comma || comma >= end) ? ';' : ',';
}

wm_status wm_csv_open(wm_csv *csv, const char *data, size_t size, const char *file, wm_error *err)
{
    *csv = (wm_csv){ .file = file, .line = 1, .column = 1 };
    if (!wm_utf8_valid(data, size))
        return fail_encoding(csv, data, size, err);
    csv->data = malloc(size + 1);
    if (!csv->data)
        return wm_fail_memory(err);
    if (size)
        memcpy(csv->data, data, size);
    csv->data[size] = '\0';
    csv->at = csv->data;
    if (size >= 3 && memcmp(data, "\xef\xbb\xbf", 3) == 0)
        csv->at += 3;
    set_separator(csv);
    return WM_OK;
}

void wm_csv_close(wm_csv *csv)
{
    free(csv->data);
    *csv = (wm_csv){ 0 };
}

static wm_status fail_here(const wm_csv *csv, wm_error *err, const char *text)
{
    return wm_fail_at(err, WM_E_INPUT, csv->file, csv->line, csv->column, "%s", text);
}

/* A quoted cell, shifted left over its doubled quotes. *end is where its text stops. */
static wm_status read_quoted(wm_csv *csv, wm_csv_cell *cell, char **end, wm_error *err)
{
    advance(csv);
    char *out = csv->at;
    cell->text = out;
    for (;; advance(csv)) {
        if (*csv->at == '\0')
            return wm_fail_at(
                err, WM_E_INPUT, csv->file, cell->line, cell->column,
                "the quote that opens here is never closed; close it, or write a quote inside a cell twice");
        if (*csv->at == '"') {
            advance(csv);
            if (*csv->at != '"')
                break;
        }
        *out++ = *csv->at;
    }
    *end = out;
    skip_blanks(csv);
    if (*csv->at != csv->separator && !ends_line(*csv->at))
        return fail_here(csv, err,
                         "text follows a closing quote; put the whole cell in quotes, and a quote inside it twice");
    return WM_OK;
}

static wm_status read_plain(wm_csv *csv, wm_csv_cell *cell, char **end, wm_error *err)
{
    cell->text = csv->at;
    for (; *csv->at != csv->separator && !ends_line(*csv->at); advance(csv))
        if (*csv->at == '"')
            return fail_here(
                csv, err,
                "a quote inside a cell without quotes; put the whole cell in quotes, and the quote inside it twice");
    *end = csv->at;
    while (*end > cell->text && is_blank((*end)[-1]))
        (*end)--;
    return WM_OK;
}

static wm_status read_cell(wm_csv *csv, bool *more, wm_error *err)
{
    skip_blanks(csv);
    if (csv->count == WM_CSV_CELLS)
        return wm_fail_at(err, WM_E_INPUT, csv->file, csv->line, csv->column,
                          "more than %d columns; remove what is not needed", WM_CSV_CELLS);
    wm_csv_cell *cell = &csv->cells[csv->count];
    *cell = (wm_csv_cell){ .line = csv->line, .column = csv->column };
    char *end = NULL;
    wm_status status = *csv->at == '"' ? read_quoted(csv, cell, &end, err) : read_plain(csv, cell, &end, err);
    if (status)
        return status;
    if (end - cell->text > WM_CSV_CELL_BYTES)
        return wm_fail_at(err, WM_E_INPUT, csv->file, cell->line, cell->column,
                          "a cell of more than %d bytes; shorten it", WM_CSV_CELL_BYTES);
    csv->count++;
    *more = *csv->at == csv->separator;
    if (*more)
        advance(csv);
    else
        skip_line_end(csv);
    *end = '\0'; /* only now: it may stand on the separator */
    return WM_OK;
}

static bool is_empty(const wm_csv *csv)
{
    for (size_t i = 0; i < csv->count; i++)
        if (csv->cells[i].text[0])
            return false;
    return true;
}

wm_status wm_csv_next(wm_csv *csv, wm_error *err)
{
    do {
        csv->count = 0;
        if (*csv->at == '\0')
            return WM_OK;
        for (bool more = true; more;) {
            wm_status status = read_cell(csv, &more, err);
            if (status)
                return status;
        }
    } while (is_empty(csv));
    return WM_OK;
}

void wm_csv_write(wm_buf *out, const char *text)
{
    size_t size = strlen(text);
    bool padded = size && (is_blank(text[0]) || is_blank(text[size - 1]));
    if (!padded && !strpbrk(text, ",\"\r\n")) {
        wm_buf_text(out, text);
        return;
    }
    wm_buf_text(out, "\"");
    for (; *text; text++)
        wm_buf_bytes(out, *text == '"' ? "\"\"" : text, *text == '"' ? 2 : 1);
    wm_buf_text(out, "\"");
}

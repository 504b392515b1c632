#include "report/json_fields.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "colour/colour.h"
#include "core/words.h"
#include "plan/calendar.h"

/* ---- writing ---- */

static void write_lab(wm_buf *out, const wm_lab *lab)
{
    const double v[3] = { lab->L, lab->a, lab->b };
    wm_buf_numbers(out, v, 3, 4);
}

static void write_number(wm_buf *out, double value, int decimals, bool null_when_negative)
{
    wm_buf_json_number(out, "", !null_when_negative || !(value < 0), value, decimals);
}

static void write_text_or_null(wm_buf *out, const char *text)
{
    if (*text)
        wm_buf_json_string(out, text);
    else
        wm_buf_text(out, "null");
}

static void write_date(wm_buf *out, const wm_date *date)
{
    char text[WM_DATE_SIZE];
    write_text_or_null(out, wm_date_text(text, *date));
}

static void write_warnings(wm_buf *out, const wm_warnings *warnings, bool with_code)
{
    wm_buf_text(out, "[");
    for (size_t i = 0; i < warnings->count; i++) {
        wm_buf_text(out, i ? ",\n  " : "\n  ");
        if (with_code) {
            wm_buf_text(out, "{\"code\":");
            wm_buf_json_string(out, warnings->items[i].code);
            wm_buf_text(out, ",\"text\":");
        }
        wm_buf_json_string(out, warnings->items[i].text);
        if (with_code)
            wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]");
}

/* Number of elements of an array field. */
static size_t count_of(const wm_field *f, const char *base)
{
    size_t n = f->length;
    if (f->count)
        memcpy(&n, base + f->count - 1, sizeof n);
    return n;
}

static void write_value(wm_buf *out, const wm_field *f, const char *base);

static void write_array(wm_buf *out, const wm_field *f, const char *base)
{
    const char *items = base + f->offset;
    if (f->kind == FIELD_LIST)
        memcpy(&items, base + f->offset, sizeof items);
    size_t count = count_of(f, base);
    wm_buf_text(out, "[");
    for (size_t i = 0; i < count; i++) {
        bool plain = f->sub[0].key == NULL;
        wm_buf_text(out, i ? "," : "");
        wm_buf_text(out, plain ? "" : "\n  ");
        if (plain)
            write_value(out, f->sub, items + i * f->size);
        else
            wm_fields_write(out, f->sub, items + i * f->size);
    }
    wm_buf_text(out, "]");
}

static void write_value(wm_buf *out, const wm_field *f, const char *base)
{
    const char *at = base + f->offset;
    switch (f->kind) {
    case FIELD_NUMBER:
    case FIELD_NUMBER_NULL:
        write_number(out, *(const double *)(const void *)at, f->detail, f->kind == FIELD_NUMBER_NULL);
        break;
    case FIELD_NUMBERS: wm_buf_numbers(out, (const double *)(const void *)at, f->length, f->detail); break;
    case FIELD_WHOLE: write_number(out, *(const int *)(const void *)at, 0, true); break;
    case FIELD_SIZE: wm_buf_format(out, "%zu", *(const size_t *)(const void *)at); break;
    case FIELD_INT64: wm_buf_format(out, "%lld", (long long)*(const int64_t *)(const void *)at); break;
    case FIELD_BOOLEAN: wm_buf_text(out, *(const bool *)at ? "true" : "false"); break;
    case FIELD_TEXT: wm_buf_json_string(out, at); break;
    case FIELD_TEXT_NULL: write_text_or_null(out, at); break;
    case FIELD_LAB: write_lab(out, (const wm_lab *)(const void *)at); break;
    case FIELD_WORD: wm_buf_json_string(out, wm_word_of(f->words, *(const unsigned *)(const void *)at)); break;
    case FIELD_DATE: write_date(out, (const wm_date *)(const void *)at); break;
    case FIELD_OBJECT: wm_fields_write(out, f->sub, at); break;
    case FIELD_FIXED:
    case FIELD_LIST: write_array(out, f, base); break;
    case FIELD_WARNINGS:
    case FIELD_SENTENCES: write_warnings(out, (const wm_warnings *)(const void *)at, f->kind == FIELD_WARNINGS); break;
    }
}

static bool is_null(const wm_field *f, const char *base)
{
    return f->has && *(const bool *)(base + f->has - 1) == f->has_inverted;
}

/* Keys are our own words: nothing in them needs an escape. */
static void write_key(wm_buf *out, const char *key)
{
    char text[64];
    const size_t length = strnlen(key, sizeof text - 3);
    text[0] = '"';
    memcpy(text + 1, key, length);
    memcpy(text + 1 + length, "\":", 2);
    wm_buf_bytes(out, text, length + 3);
}

void wm_fields_write_members(wm_buf *out, const wm_field *fields, const char *base, const char *between)
{
    for (const wm_field *f = fields; f->key; f++) {
        if (out->size && out->data[out->size - 1] != '{')
            wm_buf_text(out, between);
        write_key(out, f->key);
        if (is_null(f, base))
            wm_buf_text(out, "null");
        else
            write_value(out, f, base);
    }
}

void wm_fields_write(wm_buf *out, const wm_field *fields, const char *base)
{
    wm_buf_text(out, "{");
    wm_fields_write_members(out, fields, base, ",");
    wm_buf_text(out, "}");
}

/* ---- reading ---- */

static bool read_double(const wm_json *value, double *out)
{
    return wm_json_number(value, out);
}

/* A colour may lie somewhat outside of what hair can be, a measured aid does; never so far that arithmetic on it fails.
 */
static bool read_lab(const wm_json *value, wm_lab *out)
{
    const double far = 1000;
    double v[3];
    if (wm_json_count(value) != 3)
        return false;
    for (size_t i = 0; i < 3; i++)
        if (!read_double(wm_json_at(value, i), &v[i]) || fabs(v[i]) > far)
            return false;
    *out = (wm_lab){ v[0], v[1], v[2] };
    return true;
}

static bool read_numbers(const wm_json *value, double *out, size_t count)
{
    if (wm_json_count(value) != count)
        return false;
    for (size_t i = 0; i < count; i++)
        if (!read_double(wm_json_at(value, i), &out[i]))
            return false;
    return true;
}

static bool read_whole(const wm_json *value, double low, double high, double *out)
{
    return read_double(value, out) && *out >= low && *out <= high && fabs(*out - floor(*out)) <= 0;
}

/* Cuts at the size, never within a character. */
static bool read_text(const wm_json *value, char *out, size_t size)
{
    const char *text = wm_json_text(value);
    if (!text)
        return false;
    size_t n = strlen(text);
    if (n >= size)
        for (n = size - 1; n > 0 && ((unsigned char)text[n] & 0xc0) == 0x80; n--)
            ;
    memcpy(out, text, n);
    out[n] = '\0';
    return true;
}

static bool read_word(const wm_json *value, const char *const *words, char *at)
{
    unsigned place = 0;
    bool found = wm_word_find(words, wm_json_text(value), &place);
    if (found)
        memcpy(at, &place, sizeof place);
    return found;
}

static bool read_date(const wm_json *value, wm_date *out)
{
    if (wm_json_kind_of(value) == WM_JSON_NULL)
        return true;
    return wm_json_text(value) && wm_date_parse(out, wm_json_text(value));
}

static bool read_warnings(const wm_json *value, wm_warnings *out, bool with_code)
{
    if (wm_json_kind_of(value) != WM_JSON_ARRAY)
        return false;
    for (size_t i = 0; i < wm_json_count(value); i++) {
        const wm_json *item = wm_json_at(value, i);
        const char *code = with_code ? wm_json_text(wm_json_get(item, "code")) : "caution";
        const char *text = wm_json_text(with_code ? wm_json_get(item, "text") : item);
        if (!code || !text)
            return false;
        wm_warnings_add(out, code, "%s", text);
    }
    return true;
}

static bool read_value(const wm_field *f, char *base, const wm_json *value, wm_fields_trouble *bad);

static bool read_array(const wm_field *f, char *base, const wm_json *value, wm_fields_trouble *bad)
{
    size_t count = wm_json_count(value);
    char *items = base + f->offset;
    if (wm_json_kind_of(value) != WM_JSON_ARRAY || (f->kind == FIELD_FIXED && count > f->length))
        return false;
    if (f->kind == FIELD_LIST) {
        items = count ? calloc(count, f->size) : NULL;
        if (count && !items) {
            bad->status = WM_E_MEMORY;
            return false;
        }
        memcpy(base + f->offset, &items, sizeof items);
    }
    if (f->count)
        memcpy(base + f->count - 1, &count, sizeof count);
    for (size_t i = 0; i < count; i++) {
        char *item = items + i * f->size;
        const wm_json *element = wm_json_at(value, i);
        if (f->sub[0].key ? !wm_fields_read(f->sub, item, element, bad) : !read_value(f->sub, item, element, bad))
            return false;
    }
    return true;
}

static bool read_value(const wm_field *f, char *base, const wm_json *value, wm_fields_trouble *bad)
{
    char *at = base + f->offset;
    double number = -1;
    bool null = wm_json_kind_of(value) == WM_JSON_NULL, good = true;
    switch (f->kind) {
    case FIELD_NUMBER: return read_double(value, (double *)(void *)at);
    case FIELD_NUMBER_NULL:
        good = null || read_double(value, &number);
        memcpy(at, &number, sizeof number);
        return good;
    case FIELD_NUMBERS: return read_numbers(value, (double *)(void *)at, f->length);
    case FIELD_WHOLE: {
        good = null || read_whole(value, INT32_MIN, INT32_MAX, &number);
        int n = good ? (int)number : 0;
        memcpy(at, &n, sizeof n);
        return good;
    }
    case FIELD_SIZE: {
        good = read_whole(value, 0, 9007199254740992.0, &number);
        size_t n = good ? (size_t)number : 0;
        memcpy(at, &n, sizeof n);
        return good;
    }
    case FIELD_INT64: {
        good = read_whole(value, -9007199254740992.0, 9007199254740992.0, &number);
        int64_t n = good ? (int64_t)number : 0;
        memcpy(at, &n, sizeof n);
        return good;
    }
    case FIELD_BOOLEAN:
        *(bool *)at = wm_json_kind_of(value) == WM_JSON_TRUE;
        return *(bool *)at || wm_json_kind_of(value) == WM_JSON_FALSE;
    case FIELD_TEXT: return read_text(value, at, f->size);
    case FIELD_TEXT_NULL: return null || read_text(value, at, f->size);
    case FIELD_LAB: return read_lab(value, (wm_lab *)(void *)at);
    case FIELD_WORD: return read_word(value, f->words, at);
    case FIELD_DATE: return read_date(value, (wm_date *)(void *)at);
    case FIELD_OBJECT: return wm_fields_read(f->sub, at, value, bad);
    case FIELD_FIXED:
    case FIELD_LIST: return read_array(f, base, value, bad);
    case FIELD_WARNINGS:
    case FIELD_SENTENCES: return read_warnings(value, (wm_warnings *)(void *)at, f->kind == FIELD_WARNINGS);
    }
    return false;
}

/* A key that is absent keeps zero: older writers' documents stay readable. */
bool wm_fields_read(const wm_field *fields, char *base, const wm_json *object, wm_fields_trouble *bad)
{
    if (wm_json_kind_of(object) != WM_JSON_OBJECT)
        return false;
    for (const wm_field *f = fields; f->key; f++) {
        const wm_json *value = wm_json_get(object, f->key);
        if (!value)
            continue;
        bool null = f->has && wm_json_kind_of(value) == WM_JSON_NULL;
        if (f->has)
            *(bool *)(base + f->has - 1) = null == f->has_inverted;
        if (!null && !read_value(f, base, value, bad)) {
            bad->key = bad->key ? bad->key : f->key;
            return false;
        }
    }
    return true;
}

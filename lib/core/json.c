#include "core/json.h"

#include <errno.h>
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A wm_json is jansson's value under another name; wm_json itself is never defined. */
struct wm_json_document {
    json_t *root;
};

enum { MAX_KEYS = 4096 }; /* an object's i-th key is found by walking: no file may make that slow */

static const json_t *inner(const wm_json *value)
{
    return (const json_t *)value;
}

static const wm_json *outer(const json_t *value)
{
    return (const wm_json *)value;
}

/* jansson's macros want a plain pointer to read. */
static json_t *plain(const wm_json *value)
{
    union {
        const json_t *in;
        json_t *out;
    } same = { inner(value) };
    return same.out;
}

static wm_status fail_parse(const json_error_t *fault, const char *file, wm_status code, wm_error *err)
{
    enum json_error_code kind = json_error_code(fault);
    if (kind == json_error_out_of_memory || errno == ENOMEM) /* jansson calls many a failed allocation a syntax error */
        return wm_fail_memory(err);
    long line = fault->line > 0 ? fault->line : 0, column = fault->column > 0 ? fault->column : 0;
    if (kind == json_error_stack_overflow)
        return wm_fail_at(err, code, file, line, column,
                          "nested too deeply for any file of ours; correct the JSON here");
    if (kind == json_error_null_character || kind == json_error_null_byte_in_key)
        return wm_fail_at(err, code, file, line, column, "a text with \\u0000 in it; take that out");
    return wm_fail_at(err, code, file, line, column, "not valid JSON (%s); correct the text here", fault->text);
}

/* Recursion is safe: jansson has limited the depth. */
static bool too_many_keys(json_t *value)
{
    if (json_object_size(value) > MAX_KEYS)
        return true;
    const char *key;
    json_t *member;
    json_object_foreach(value, key, member) if (too_many_keys(member)) return true;
    size_t i;
    json_array_foreach(value, i, member) if (too_many_keys(member)) return true;
    return false;
}

wm_status wm_json_parse(wm_json_document **out, const char *data, size_t size, const char *file, wm_status code,
                        wm_error *err)
{
    if (size >= 3 && memcmp(data, "\xef\xbb\xbf", 3) == 0) {
        data += 3;
        size -= 3;
    }
    json_error_t fault;
    errno = 0;
    json_t *root = json_loadb(data, size, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &fault);
    if (!root)
        return fail_parse(&fault, file, code, err);
    if (too_many_keys(root)) {
        json_decref(root);
        return wm_fail_at(err, code, file, 0, 0, "an object has more than %d keys; this is not a weftmatch file",
                          MAX_KEYS);
    }
    wm_json_document *document = malloc(sizeof *document);
    if (!document) {
        json_decref(root);
        return wm_fail_memory(err);
    }
    document->root = root;
    *out = document;
    return WM_OK;
}

void wm_json_free(wm_json_document *document)
{
    if (!document)
        return;
    json_decref(document->root);
    free(document);
}

const wm_json *wm_json_root(const wm_json_document *document)
{
    return document ? outer(document->root) : NULL;
}

/* ---- finding a member without reading ---- */

/* What ends a run of bytes that may be passed over: in a string, outside of one, and there within brackets. */
static const unsigned char ENDS_STRING[256] = { ['"'] = 1, ['\\'] = 1 };
static const unsigned char ENDS_PLAIN[256] = { ['"'] = 1, [','] = 1, ['{'] = 1, ['['] = 1, ['}'] = 1, [']'] = 1 };
static const unsigned char ENDS_INSIDE[256] = { ['"'] = 1, ['{'] = 1, ['['] = 1, ['}'] = 1, [']'] = 1 };

static size_t past_run(const char *data, size_t size, size_t i, const unsigned char ends[256])
{
    const unsigned char *at = (const unsigned char *)data;
    for (; i + 4 <= size; i += 4) {
        if (ends[at[i]])
            return i;
        if (ends[at[i + 1]])
            return i + 1;
        if (ends[at[i + 2]])
            return i + 2;
        if (ends[at[i + 3]])
            return i + 3;
    }
    while (i < size && !ends[at[i]])
        i++;
    return i;
}

/* Behind the string that begins at i. */
static size_t past_string(const char *data, size_t size, size_t i)
{
    for (i++; i < size; i += 2) {
        i = past_run(data, size, i, ENDS_STRING);
        if (i < size && data[i] == '"')
            return i + 1;
    }
    return size;
}

/* Behind the value that begins at i: where its brackets are closed, a comma follows, or those around it close. */
static size_t past_value(const char *data, size_t size, size_t i)
{
    size_t depth = 0;
    while ((i = past_run(data, size, i, depth > 0 ? ENDS_INSIDE : ENDS_PLAIN)) < size) {
        const char c = data[i];
        if (c == '"') {
            i = past_string(data, size, i);
            continue;
        }
        if (depth == 0 && c != '{' && c != '[')
            return i;
        depth += c == '{' || c == '[';
        depth -= c == '}' || c == ']';
        i++;
    }
    return size;
}

size_t wm_json_value_ends(const char *data, size_t size, size_t start)
{
    return past_value(data, size, start);
}

static size_t past_blanks(const char *data, size_t size, size_t i)
{
    while (i < size && (data[i] == ' ' || data[i] == '\t' || data[i] == '\n' || data[i] == '\r'))
        i++;
    return i;
}

static bool begins_line(const char *data, size_t size, size_t comma)
{
    return size - comma > 2 && memcmp(data + comma, ",\n\"", 3) == 0;
}

/* Behind the value that begins at i, where each member of the outermost object begins a line and nothing else does so
 * with a quotation mark: as we write. A list of many lines is passed over by the line. */
static size_t past_lines(const char *data, size_t size, size_t i)
{
    const char *end;
    for (size_t from = i; (end = memchr(data + from, '\n', size - from)); from = (size_t)(end - data) + 1)
        if (end > data + i && begins_line(data, size, (size_t)(end - data) - 1))
            return (size_t)(end - data) - 1;
    return past_value(data, size, i);
}

bool wm_json_member_lies(size_t *start, size_t *end, const char *data, size_t size, const char *key)
{
    const size_t length = strlen(key);
    size_t i = past_blanks(data, size, 0);
    bool by_lines = false;
    if (i == size || data[i] != '{')
        return false;
    while (i < size) {
        const size_t name = past_blanks(data, size, i + 1); /* behind a bracket or a comma */
        if (name == size || data[name] != '"')
            return false;
        const size_t behind = past_string(data, size, name), colon = past_blanks(data, size, behind);
        if (colon == size || data[colon] != ':')
            return false;
        const size_t value = past_blanks(data, size, colon + 1);
        i = (by_lines ? past_lines : past_value)(data, size, value);
        by_lines = i < size && begins_line(data, size, i);
        if (behind - name == length + 2 && memcmp(data + name + 1, key, length) == 0) {
            *start = value;
            *end = i;
            return i < size;
        }
    }
    return false;
}

wm_json_kind wm_json_kind_of(const wm_json *value)
{
    if (!value)
        return WM_JSON_NULL;
    switch (json_typeof(inner(value))) {
    case JSON_FALSE: return WM_JSON_FALSE;
    case JSON_TRUE: return WM_JSON_TRUE;
    case JSON_INTEGER:
    case JSON_REAL: return WM_JSON_NUMBER;
    case JSON_STRING: return WM_JSON_STRING;
    case JSON_ARRAY: return WM_JSON_ARRAY;
    case JSON_OBJECT: return WM_JSON_OBJECT;
    case JSON_NULL: break;
    }
    return WM_JSON_NULL;
}

const char *wm_json_kind_name(const wm_json *value)
{
    static const char *const names[] = { "null", "false", "true", "a number", "a text", "a list", "an object" };
    return names[wm_json_kind_of(value)];
}

const wm_json *wm_json_get(const wm_json *object, const char *key)
{
    return outer(json_object_get(inner(object), key));
}

size_t wm_json_count(const wm_json *array_or_object)
{
    if (wm_json_kind_of(array_or_object) == WM_JSON_OBJECT)
        return json_object_size(inner(array_or_object));
    return json_array_size(inner(array_or_object));
}

const wm_json *wm_json_at(const wm_json *array, size_t i)
{
    return outer(json_array_get(inner(array), i));
}

const char *wm_json_key_at(const wm_json *object, size_t i)
{
    if (wm_json_kind_of(object) != WM_JSON_OBJECT)
        return NULL;
    void *at = json_object_iter(plain(object));
    while (at && i--)
        at = json_object_iter_next(plain(object), at);
    return at ? json_object_iter_key(at) : NULL;
}

const char *wm_json_text(const wm_json *value)
{
    return value ? json_string_value(inner(value)) : NULL;
}

bool wm_json_number(const wm_json *value, double *out)
{
    if (wm_json_kind_of(value) != WM_JSON_NUMBER)
        return false;
    double number = json_number_value(inner(value));
    if (!isfinite(number))
        return false;
    *out = number;
    return true;
}

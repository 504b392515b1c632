/* json: reading documents; the only user of jansson. Values belong to their document and live as long as it. */
#ifndef WM_CORE_JSON_H
#define WM_CORE_JSON_H

#include "core/status.h"

typedef struct wm_json wm_json; /**< a value, lent */
typedef struct wm_json_document wm_json_document;

typedef enum wm_json_kind {
    WM_JSON_NULL,
    WM_JSON_FALSE,
    WM_JSON_TRUE,
    WM_JSON_NUMBER,
    WM_JSON_STRING,
    WM_JSON_ARRAY,
    WM_JSON_OBJECT
} wm_json_kind;

/** Strict RFC 8259, UTF-8 (a BOM is skipped), duplicate keys refused, depth limited. `code` with file, line and column
 * on failure. */
wm_status wm_json_parse(wm_json_document **out, const char *data, size_t size, const char *file, wm_status code,
                        wm_error *err);
void wm_json_free(wm_json_document *document); /**< NULL is fine */
const wm_json *wm_json_root(const wm_json_document *document);

/** Where the value of a member of the outermost object lies in a text, found by its brackets or, where each member
 * begins a line, by those alone: a hundredth of the time of reading it. False: there is none. Whether all is valid is
 * for wm_json_parse to say. */
bool wm_json_member_lies(size_t *start, size_t *end, const char *data, size_t size, const char *key);
/** Behind the value that begins at `start`, told the same way. */
size_t wm_json_value_ends(const char *data, size_t size, size_t start);

/* Every accessor takes NULL and the wrong kind and answers as for an absent value. */
wm_json_kind wm_json_kind_of(const wm_json *value);                 /**< WM_JSON_NULL for NULL */
const char *wm_json_kind_name(const wm_json *value);                /**< "a number", "an object" ... for messages */
const wm_json *wm_json_get(const wm_json *object, const char *key); /**< NULL when absent */
size_t wm_json_count(const wm_json *array_or_object);               /**< 0 for others */
const wm_json *wm_json_at(const wm_json *array, size_t i);          /**< NULL when out of range */
const char *wm_json_key_at(const wm_json *object,
                           size_t i);                   /**< i-th key in the file's order, NULL when out of range */
const char *wm_json_text(const wm_json *value);         /**< NULL unless a string */
bool wm_json_number(const wm_json *value, double *out); /**< false unless a finite number; *out untouched then */

#endif

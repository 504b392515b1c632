/* json_fields: structs as JSON and back: one table of fields a struct serves both ways, so that the reader can't
 * disagree with the writer. */
#ifndef WM_REPORT_JSON_FIELDS_H
#define WM_REPORT_JSON_FIELDS_H

#include <stddef.h>

#include "core/buf.h"
#include "core/json.h"

typedef enum wm_field_kind {
    FIELD_NUMBER,      /* double, `detail` decimals */
    FIELD_NUMBER_NULL, /* the same, null when negative (unknown) */
    FIELD_NUMBERS,     /* double[`length`] */
    FIELD_WHOLE,       /* int; null when negative */
    FIELD_SIZE,        /* size_t */
    FIELD_INT64,
    FIELD_BOOLEAN,
    FIELD_TEXT,      /* char[`size`] */
    FIELD_TEXT_NULL, /* the same, null when empty */
    FIELD_LAB,       /* wm_lab as [L, a, b] */
    FIELD_WORD,      /* enum, through `words` */
    FIELD_DATE,      /* wm_date as YYYY-MM-DD, null for none */
    FIELD_OBJECT,    /* nested object over the same base + offset, fields `sub` */
    FIELD_FIXED,     /* array of `length` elements in place (count at `count` if it is not 0), of `sub` */
    FIELD_LIST,      /* pointer to elements, count at `count`, of `sub` */
    FIELD_WARNINGS,  /* wm_warnings as [{code, text}] */
    FIELD_SENTENCES  /* wm_warnings as [text] */
} wm_field_kind;

/** A table ends with a field without key and offset 0. */
typedef struct wm_field {
    const char *key;
    wm_field_kind kind;
    size_t offset;
    int detail;
    size_t size, length, count; /* count: offset + 1 of a size_t */
    const char *const *words;
    const struct wm_field *sub;
    size_t has; /* offset + 1 of a bool: null when false */
    bool has_inverted;
} wm_field;

#define F(s, f) .offset = offsetof(s, f)
#define NUM(s, f, d)                                                                                                   \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_NUMBER, F(s, f), .detail = d                                                          \
    }
#define UNKNOWN(s, f, d)                                                                                               \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_NUMBER_NULL, F(s, f), .detail = d                                                     \
    }
#define RANGE(s, f, n, d)                                                                                              \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_NUMBERS, F(s, f), .detail = d, .length = n                                            \
    }
#define INT(s, f)                                                                                                      \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_WHOLE, F(s, f)                                                                        \
    }
#define BOOL(s, f)                                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_BOOLEAN, F(s, f)                                                                      \
    }
#define TXT(s, f)                                                                                                      \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_TEXT, F(s, f), .size = sizeof(((s *)0)->f)                                            \
    }
#define TXTN(s, f)                                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_TEXT_NULL, F(s, f), .size = sizeof(((s *)0)->f)                                       \
    }
#define LABF(s, f)                                                                                                     \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_LAB, F(s, f)                                                                          \
    }
#define HAS(s, f) .has = offsetof(s, f) + 1
#define COUNT(s, f) .count = offsetof(s, f) + 1
#define WORDS(s, f, w)                                                                                                 \
    {                                                                                                                  \
        .key = #f, .kind = FIELD_WORD, F(s, f), .words = w                                                             \
    }

/** An object of these fields over `base`; _members: without its braces, `between` before each but the first. */
void wm_fields_write(wm_buf *out, const wm_field *fields, const char *base);
void wm_fields_write_members(wm_buf *out, const wm_field *fields, const char *base, const char *between);

/** Where a document is wrong, for the one message. */
typedef struct wm_fields_trouble {
    const char *key;
    wm_status status;
} wm_fields_trouble;
/** A key that is absent keeps what is there: older writers' documents stay readable. */
bool wm_fields_read(const wm_field *fields, char *base, const wm_json *object, wm_fields_trouble *bad);

#endif

/* buf: growing bytes with a limit and a sticky error, and numbers that never depend on the locale. */
#ifndef WM_CORE_BUF_H
#define WM_CORE_BUF_H

#include "core/status.h"

/** Zero-initialise (limit 0 means 1 GiB). Errors stick: check `failed` once at the end. Free with wm_buf_free. */
typedef struct wm_buf {
    char *data;  /**< NUL-terminated whenever not NULL */
    size_t size; /**< bytes, without the NUL */
    size_t capacity;
    size_t limit; /**< more than this fails */
    bool failed;  /**< memory ran out or the limit was reached; later calls do nothing */
} wm_buf;

void wm_buf_free(wm_buf *buf);
void wm_buf_bytes(wm_buf *buf, const void *bytes, size_t size);
void wm_buf_text(wm_buf *buf, const char *text);
void wm_buf_format(wm_buf *buf, const char *format, ...)
    WM_PRINTF(2, 3); /**< never for floating point: wm_buf_number */

/** value with a point and exactly `decimals` (0..9) digits, never "-0", never "nan" (a NaN or infinity fails the
 * buffer). */
void wm_buf_number(wm_buf *buf, double value, int decimals);
/** The same without zeros at its end: as it would be typed. */
void wm_buf_short_number(wm_buf *buf, double value, int decimals);

/** `[1.00,2.00]`: a list of such numbers. */
void wm_buf_numbers(wm_buf *buf, const double *values, size_t count, int decimals);

/** JSON string with quotes; invalid UTF-8 becomes U+FFFD. */
void wm_buf_json_string(wm_buf *buf, const char *text);
/** `before`, such as `,"why":`, and then a string; a number as wm_buf_number has it, null where it is not known. */
void wm_buf_json_text(wm_buf *buf, const char *before, const char *text);
void wm_buf_json_number(wm_buf *buf, const char *before, bool known, double value, int decimals);

/** HTML and XML text or attribute value, escaped; invalid UTF-8 becomes U+FFFD, control bytes are dropped. */
void wm_buf_html(wm_buf *buf, const char *text);

void wm_buf_base64(wm_buf *buf, const void *bytes, size_t size);
/** Appends what the base64 text (RFC 4648, padded, no white space) stands for. False, and nothing appended, when it is
 * none. */
bool wm_buf_base64_decode(wm_buf *buf, const char *text);

/** WM_OK, or WM_E_MEMORY when the buffer failed. */
wm_status wm_buf_status(const wm_buf *buf, wm_error *err);

/** Strict decimal number over the whole of text (sign, digits, point, exponent; no spaces, no comma, no nan, no inf, no
 * hex). False when it is not one or overflows; *value untouched then. Locale-free. */
bool wm_number_parse(const char *text, double *value);

/** The same for a whole number within [low, high]. */
bool wm_whole_parse(const char *text, long low, long high, long *value);

/** Writes value as wm_buf_number does into out (at least 40 bytes) and returns out; NaN and infinity give "?". For
 * messages. */
const char *wm_number_text(char *out, double value, int decimals);

/** True when bytes are well-formed UTF-8 without NUL. */
bool wm_utf8_valid(const char *bytes, size_t size);

/** As much of the text as `room` bytes hold, ended by a NUL. */
void wm_text_keep(char *out, size_t room, const char *text);

/** Length in bytes (1..4) of the well-formed UTF-8 character that bytes begins with; 0 when it does not begin with one.
 */
size_t wm_utf8_step(const char *bytes, size_t size);

enum { WM_TWO_WAYS_SIZE = 64 };
/** Whether an amount as typed could be meant two ways, its one separator being of decimals or of thousands: "1.250",
 * "1,250". Then how to write it as either: "1.25" and "1250"; a third decimal gets a zero ("8.8750"), so that the
 * answer has one meaning. */
bool wm_number_two_ways(char decimals[WM_TWO_WAYS_SIZE], char thousands[WM_TWO_WAYS_SIZE], const char *text);

/** A copy that the caller frees with free(); NULL in gives NULL out, NULL also when memory runs out. */
char *wm_text_copy(const char *text);

/** For "did you mean": the word nearest to a mistyped text (ASCII case ignored; at most two edits, and fewer than half
 * of the word's letters), the first of equals; NULL when none is near. */
const char *wm_near_miss(const char *text, const char *const *words, size_t count);

#endif

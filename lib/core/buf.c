#include "core/buf.h"

#include <errno.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_DECIMALS = 9, LONGEST_NUMBER = 340 }; /* DBL_MAX has 309 digits before the point */

static const char REPLACEMENT[] = "\xef\xbf\xbd"; /* U+FFFD */

void wm_buf_free(wm_buf *buf)
{
    free(buf->data);
    *buf = (wm_buf){ .limit = buf->limit };
}

static size_t limit_of(const wm_buf *buf)
{
    return buf->limit ? buf->limit : (size_t)1 << 30;
}

/* Makes room for `more` bytes and the NUL. */
static bool reserve(wm_buf *buf, size_t more)
{
    if (buf->failed)
        return false;
    if (more > limit_of(buf) || buf->size > limit_of(buf) - more) {
        buf->failed = true;
        return false;
    }
    size_t wanted = buf->size + more + 1;
    if (wanted <= buf->capacity)
        return true;
    size_t capacity = buf->capacity < 128 ? 256 : buf->capacity * 2;
    if (capacity < wanted)
        capacity = wanted;
    char *data = realloc(buf->data, capacity);
    if (!data) {
        buf->failed = true;
        return false;
    }
    buf->data = data;
    buf->capacity = capacity;
    return true;
}

void wm_buf_bytes(wm_buf *buf, const void *bytes, size_t size)
{
    if (!reserve(buf, size))
        return;
    if (size)
        memcpy(buf->data + buf->size, bytes, size);
    buf->size += size;
    buf->data[buf->size] = '\0';
}

void wm_buf_text(wm_buf *buf, const char *text)
{
    wm_buf_bytes(buf, text, strlen(text));
}

/* Mostly there is room, and once is enough. */
void wm_buf_format(wm_buf *buf, const char *format, ...)
{
    va_list args;
    const size_t room = buf->data && !buf->failed ? buf->capacity - buf->size : 0;
    va_start(args, format);
    const int length = vsnprintf(room ? buf->data + buf->size : NULL, room, format, args);
    va_end(args);
    if (length < 0 || !reserve(buf, (size_t)length)) {
        buf->failed = true;
        if (room)
            buf->data[buf->size] = '\0';
        return;
    }
    if ((size_t)length >= room) {
        va_start(args, format);
        vsnprintf(buf->data + buf->size, (size_t)length + 1, format, args);
        va_end(args);
    }
    buf->size += (size_t)length;
}

/* What printf would write, for most numbers ten times as fast. Below 1e9 the product is off by 1e-7 at most: which way
 * printf rounds is only in doubt next to a tie. False: ask printf. */
static bool usual_number_text(char *out, double value, int decimals)
{
    static const double POWERS[] = { 1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6 };
    if (decimals >= (int)(sizeof POWERS / sizeof POWERS[0]))
        return false;
    const double scaled = fabs(value) * POWERS[decimals];
    if (!(scaled < 1e9))
        return false;
    uint32_t whole = (uint32_t)scaled;
    const double rest = scaled - whole;
    if (fabs(rest - 0.5) < 1e-5)
        return false;
    whole += rest > 0.5;
    char digits[16];
    int count = 0;
    const bool minus = value < 0 && whole > 0;
    for (; whole > 0 || count < decimals + (decimals > 0 ? 2 : 1); whole /= 10) {
        digits[count++] = (char)('0' + whole % 10);
        if (count == decimals)
            digits[count++] = '.';
    }
    *out = '-';
    for (out += minus; count > 0;)
        *out++ = digits[--count];
    *out = '\0';
    return true;
}

/* Writes value into out[LONGEST_NUMBER]. printf rounds right but takes the point from the locale: whatever stands
 * between the digits becomes '.'. */
static bool number_text(char *out, double value, int decimals)
{
    if (!isfinite(value) || decimals < 0 || decimals > MAX_DECIMALS)
        return false;
    if (usual_number_text(out, value, decimals))
        return true;
    char local[LONGEST_NUMBER + 16];
    snprintf(local, sizeof local, "%.*f", decimals, value);
    bool zero = strpbrk(local, "123456789") == NULL;
    char *end = out;
    for (const char *p = local; *p; p++) {
        if (*p >= '0' && *p <= '9')
            *end++ = *p;
        else if (*p == '-' && !zero)
            *end++ = '-';
        else if (*p != '-' && end[-1] != '.')
            *end++ = '.';
    }
    *end = '\0';
    return true;
}

void wm_buf_number(wm_buf *buf, double value, int decimals)
{
    char text[LONGEST_NUMBER];
    if (number_text(text, value, decimals))
        wm_buf_text(buf, text);
    else
        buf->failed = true;
}

void wm_buf_short_number(wm_buf *buf, double value, int decimals)
{
    char text[LONGEST_NUMBER];
    if (!number_text(text, value, decimals)) {
        buf->failed = true;
        return;
    }
    size_t size = strlen(text);
    if (strchr(text, '.')) {
        while (text[size - 1] == '0')
            size--;
        size -= text[size - 1] == '.';
    }
    wm_buf_bytes(buf, text, size);
}

const char *wm_number_text(char *out, double value, int decimals)
{
    char text[LONGEST_NUMBER];
    const char *said = number_text(text, value, decimals) && strlen(text) < 40 ? text : "?";
    return memcpy(out, said, strlen(said) + 1);
}

void wm_text_keep(char *out, size_t room, const char *text)
{
    const size_t length = strnlen(text, room - 1);
    memcpy(out, text, length);
    out[length] = '\0';
}

size_t wm_utf8_step(const char *bytes, size_t size)
{
    const unsigned char *p = (const unsigned char *)bytes;
    if (size == 0)
        return 0;
    if (p[0] < 0x80)
        return 1;
    size_t length = p[0] >= 0xf0 ? 4 : p[0] >= 0xe0 ? 3 : 2;
    if (p[0] < 0xc2 || p[0] > 0xf4 || size < length)
        return 0;
    for (size_t i = 1; i < length; i++)
        if ((p[i] & 0xc0) != 0x80)
            return 0;
    bool overlong = (p[0] == 0xe0 && p[1] < 0xa0) || (p[0] == 0xf0 && p[1] < 0x90);
    bool surrogate = p[0] == 0xed && p[1] > 0x9f;
    bool beyond = p[0] == 0xf4 && p[1] > 0x8f; /* above U+10FFFF */
    return overlong || surrogate || beyond ? 0 : length;
}

bool wm_utf8_valid(const char *bytes, size_t size)
{
    for (size_t i = 0; i < size;) {
        size_t length = wm_utf8_step(bytes + i, size - i);
        if (length == 0 || bytes[i] == '\0')
            return false;
        i += length;
    }
    return true;
}

static void json_character(wm_buf *buf, char c)
{
    static const char plain[] = "\"\\\b\f\n\r\t", letter[] = "\"\\bfnrt";
    const char *found = strchr(plain, c);
    if (found)
        wm_buf_format(buf, "\\%c", letter[found - plain]);
    else if ((unsigned char)c < 0x20)
        wm_buf_format(buf, "\\u%04x", (unsigned)c);
    else
        wm_buf_bytes(buf, &c, 1);
}

void wm_buf_numbers(wm_buf *buf, const double *values, size_t count, int decimals)
{
    wm_buf_text(buf, "[");
    for (size_t i = 0; i < count; i++) {
        wm_buf_text(buf, i ? "," : "");
        wm_buf_number(buf, values[i], decimals);
    }
    wm_buf_text(buf, "]");
}

/* Bytes of text that stand in JSON as they are. */
static size_t plain_run(const char *text)
{
    size_t n = 0;
    while ((unsigned char)text[n] >= 0x20 && (unsigned char)text[n] < 0x80 && text[n] != '"' && text[n] != '\\')
        n++;
    return n;
}

void wm_buf_json_string(wm_buf *buf, const char *text)
{
    size_t left = strlen(text);
    wm_buf_text(buf, "\"");
    while (left) {
        const size_t plain = plain_run(text);
        wm_buf_bytes(buf, text, plain);
        text += plain;
        left -= plain;
        if (!left)
            break;
        size_t length = wm_utf8_step(text, left), used = length ? length : 1;
        if (length == 0)
            wm_buf_text(buf, REPLACEMENT);
        else if (length == 1)
            json_character(buf, *text);
        else
            wm_buf_bytes(buf, text, length);
        text += used;
        left -= used;
    }
    wm_buf_text(buf, "\"");
}

void wm_buf_json_text(wm_buf *buf, const char *before, const char *text)
{
    wm_buf_text(buf, before);
    wm_buf_json_string(buf, text);
}

void wm_buf_json_number(wm_buf *buf, const char *before, bool known, double value, int decimals)
{
    wm_buf_text(buf, before);
    if (known)
        wm_buf_number(buf, value, decimals);
    else
        wm_buf_text(buf, "null");
}

static void html_character(wm_buf *buf, char c)
{
    switch (c) {
    case '&': wm_buf_text(buf, "&amp;"); break;
    case '<': wm_buf_text(buf, "&lt;"); break;
    case '>': wm_buf_text(buf, "&gt;"); break;
    case '"': wm_buf_text(buf, "&quot;"); break;
    case '\'': wm_buf_text(buf, "&#39;"); break;
    default:
        if ((unsigned char)c >= 0x20 ? c != 0x7f : c == '\n' || c == '\t')
            wm_buf_bytes(buf, &c, 1);
    }
}

void wm_buf_html(wm_buf *buf, const char *text)
{
    size_t left = strlen(text);
    while (left) {
        size_t length = wm_utf8_step(text, left), used = length ? length : 1;
        bool c1 = length == 2 && (unsigned char)text[0] == 0xc2 && (unsigned char)text[1] < 0xa0;
        bool noncharacter =
            length == 3 && memcmp(text, "\xef\xbf", 2) == 0 && (unsigned char)text[2] >= 0xbe; /* not in XML */
        if (length == 0 || noncharacter)
            wm_buf_text(buf, REPLACEMENT);
        else if (length == 1)
            html_character(buf, *text);
        else if (!c1)
            wm_buf_bytes(buf, text, length);
        text += used;
        left -= used;
    }
}

void wm_buf_base64(wm_buf *buf, const void *bytes, size_t size)
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const unsigned char *p = bytes;
    if (size > limit_of(buf) || !reserve(buf, (size + 2) / 3 * 4)) {
        buf->failed = true;
        return;
    }
    char *out = buf->data + buf->size;
    for (size_t i = 0; i < size; i += 3) {
        size_t left = size - i;
        unsigned long group =
            (unsigned long)p[i] << 16 | (left > 1 ? (unsigned long)p[i + 1] << 8 : 0) | (left > 2 ? p[i + 2] : 0);
        *out++ = digits[group >> 18];
        *out++ = digits[group >> 12 & 63];
        *out++ = left > 1 ? digits[group >> 6 & 63] : '=';
        *out++ = left > 2 ? digits[group & 63] : '=';
    }
    *out = '\0';
    buf->size = (size_t)(out - buf->data);
}

static int base64_value(char c)
{
    static const char DIGITS[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const char *found = c ? strchr(DIGITS, c) : NULL;
    return found ? (int)(found - DIGITS) : -1;
}

bool wm_buf_base64_decode(wm_buf *buf, const char *text)
{
    size_t length = strlen(text), start = buf->size;
    if (length % 4)
        return false;
    for (size_t i = 0; i < length; i += 4) {
        unsigned bits = 0, digits = 0;
        for (; digits < 4 && base64_value(text[i + digits]) >= 0; digits++)
            bits |= (unsigned)base64_value(text[i + digits]) << (18 - 6 * digits);
        bool last = i + 4 == length, padded = last && digits >= 2 && strspn(text + i + digits, "=") == 4 - digits;
        if (digits < 4 && !padded) {
            buf->size = start;
            return false;
        }
        const unsigned char bytes[3] = { (unsigned char)(bits >> 16), (unsigned char)(bits >> 8), (unsigned char)bits };
        wm_buf_bytes(buf, bytes, digits - 1);
    }
    return true;
}

wm_status wm_buf_status(const wm_buf *buf, wm_error *err)
{
    return buf->failed ? wm_fail_memory(err) : WM_OK;
}

static const char *skip_sign(const char *p)
{
    return *p == '+' || *p == '-' ? p + 1 : p;
}

static const char *skip_digits(const char *p)
{
    while (*p >= '0' && *p <= '9')
        p++;
    return p;
}

static bool is_number(const char *text)
{
    const char *start = skip_sign(text), *p = skip_digits(start);
    size_t digits = (size_t)(p - start);
    if (*p == '.') {
        const char *fraction = p + 1;
        p = skip_digits(fraction);
        digits += (size_t)(p - fraction);
    }
    if (digits == 0)
        return false;
    if (*p == 'e' || *p == 'E') {
        const char *exponent = skip_sign(p + 1);
        p = skip_digits(exponent);
        if (p == exponent)
            return false;
    }
    return *p == '\0';
}

bool wm_number_parse(const char *text, double *value)
{
    if (!text || !is_number(text))
        return false;
    locale_t plain = newlocale(LC_NUMERIC_MASK, "C", (locale_t)0); /* strtod takes the point from the locale */
    if (!plain)
        return false;
    locale_t before = uselocale(plain);
    double parsed = strtod(text, NULL);
    uselocale(before);
    freelocale(plain);
    if (!isfinite(parsed))
        return false;
    *value = parsed;
    return true;
}

bool wm_number_two_ways(char decimals[WM_TWO_WAYS_SIZE], char thousands[WM_TWO_WAYS_SIZE], const char *text)
{
    const char *mark = skip_digits(text), *end = *mark ? skip_digits(mark + 1) : mark;
    const int whole = (int)(mark - text);
    if (whole < 1 || whole > 3 || *text == '0' || (*mark != '.' && *mark != ',') || end - mark != 4 || *end)
        return false;
    snprintf(thousands, WM_TWO_WAYS_SIZE, "%.*s%s", whole, text, mark + 1);
    int kept = 3;
    while (kept > 1 && mark[kept] == '0')
        kept--;
    snprintf(decimals, WM_TWO_WAYS_SIZE, "%.*s.%.*s%s", whole, text, kept, mark + 1, kept == 3 ? "0" : "");
    return true;
}

bool wm_whole_parse(const char *text, long low, long high, long *value)
{
    if (!text)
        return false;
    const char *start = skip_sign(text), *end = skip_digits(start);
    if (end == start || *end != '\0')
        return false;
    errno = 0;
    long parsed = strtol(text, NULL, 10);
    if (errno || parsed < low || parsed > high)
        return false;
    *value = parsed;
    return true;
}

char *wm_text_copy(const char *text)
{
    return text ? strdup(text) : NULL;
}

/* ---- near misses ---- */

enum { LONGEST_WORD = 64 };

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edits from a to b: insert, delete, change a letter, swap two neighbours (optimal string alignment). Both at most
 * LONGEST_WORD long. */
static size_t edits_between(const char *a, const char *b)
{
    size_t rows[3][LONGEST_WORD + 1], width = strlen(b); /* the row being filled and the two before it */
    for (size_t j = 0; j <= width; j++)
        rows[0][j] = j;
    for (size_t i = 1; a[i - 1]; i++) {
        size_t *now = rows[i % 3], *before = rows[(i + 2) % 3], *earlier = rows[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= width; j++) {
            bool same = lower(a[i - 1]) == lower(b[j - 1]);
            now[j] = least(before[j - 1] + !same, least(before[j], now[j - 1]) + 1);
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]))
                now[j] = least(now[j], earlier[j - 2] + 1);
        }
    }
    return rows[strlen(a) % 3][width];
}

const char *wm_near_miss(const char *text, const char *const *words, size_t count)
{
    const char *nearest = NULL;
    size_t fewest = 3;
    if (strlen(text) > LONGEST_WORD)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        size_t length = strlen(words[i]);
        if (length > LONGEST_WORD)
            continue;
        size_t edits = edits_between(text, words[i]);
        if (edits < fewest && edits * 2 < length) {
            nearest = words[i];
            fewest = edits;
        }
    }
    return nearest;
}

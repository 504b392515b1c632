#include "core/plain.h"

#include <string.h>

/* The character that bytes begin with, and how long it is; 0 where there is none. */
static unsigned long character(const char *bytes, size_t size, size_t *length)
{
    const unsigned char *b = (const unsigned char *)bytes;
    switch (*length = wm_utf8_step(bytes, size)) {
    case 1: return b[0];
    case 2: return (b[0] & 0x1fUL) << 6 | (b[1] & 0x3fUL);
    case 3: return (b[0] & 0x0fUL) << 12 | (b[1] & 0x3fUL) << 6 | (b[2] & 0x3fUL);
    case 4: return (b[0] & 0x07UL) << 18 | (b[1] & 0x3fUL) << 12 | (b[2] & 0x3fUL) << 6 | (b[3] & 0x3fUL);
    default: *length = 1; return 0;
    }
}

/* Control characters, DEL with those beyond ASCII; marks, embeddings, overrides and isolates of the bidirectional
 * algorithm (UAX 9); the byte order mark. */
static bool prints_otherwise(unsigned long c)
{
    return c < 0x20 || (c >= 0x7f && c < 0xa0) || c == 0x200e || c == 0x200f || c == 0x061c ||
           (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0xfeff;
}

bool wm_plain_prints(const char *bytes, size_t size, size_t *length)
{
    return !prints_otherwise(character(bytes, size, length));
}

static bool is_plain(const char *text, const char *allowed)
{
    size_t size = strlen(text), length = 0;
    for (size_t i = 0; i < size; i += length) {
        unsigned long c = character(text + i, size - i, &length);
        bool ends_line = c == 0x2028 || c == 0x2029;
        if (ends_line || (prints_otherwise(c) && !(c && c < 0x80 && strchr(allowed, (int)c))))
            return false;
    }
    return true;
}

bool wm_plain_line(const char *text)
{
    return is_plain(text, "");
}

bool wm_plain_note(const char *text)
{
    return is_plain(text, "\n\t");
}

void wm_plain_make_line(char *text)
{
    char *out = text;
    size_t left = strlen(text), used = 0;
    for (; left; text += used, left -= used) {
        if (!wm_plain_prints(text, left, &used)) {
            *out++ = '?';
        } else {
            memmove(out, text, used);
            out += used;
        }
    }
    *out = '\0';
}

/* Length of the SGR sequence that bytes begin with: ESC [ digits and semicolons m; 0 when it is none. */
static size_t sgr_length(const char *bytes, size_t size)
{
    size_t i = 2;
    if (size < 3 || bytes[0] != '\033' || bytes[1] != '[')
        return 0;
    while (i < size && ((bytes[i] >= '0' && bytes[i] <= '9') || bytes[i] == ';'))
        i++;
    return i < size && bytes[i] == 'm' ? i + 1 : 0;
}

void wm_plain_for_terminal(wm_buf *out, const char *bytes, size_t size)
{
    size_t length = 0;
    for (size_t i = 0; i < size; i += length) {
        unsigned long c = character(bytes + i, size - i, &length);
        size_t sgr = sgr_length(bytes + i, size - i);
        if (sgr)
            wm_buf_bytes(out, bytes + i, length = sgr);
        else if (prints_otherwise(c) && c != '\n' && c != '\t')
            wm_buf_text(out, "?");
        else
            wm_buf_bytes(out, bytes + i, length);
    }
}

/* Latin letters with a mark, Latin-1 and Latin Extended-A, from U+00C0 to U+017F: what they are sought as. */
static const char *const SOUGHT_AS[] = {
    "a", "a", "a",  "a",  "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i",  "i",  /* U+00C0 */
    "d", "n", "o",  "o",  "o", "o", "o",  "x", "o", "u", "u", "u", "u", "y", "th", "ss", /* U+00D0 */
    "a", "a", "a",  "a",  "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i",  "i",  /* U+00E0 */
    "d", "n", "o",  "o",  "o", "o", "o",  "/", "o", "u", "u", "u", "u", "y", "th", "y",  /* U+00F0 */
    "a", "a", "a",  "a",  "a", "a", "c",  "c", "c", "c", "c", "c", "c", "c", "d",  "d",  /* U+0100 */
    "d", "d", "e",  "e",  "e", "e", "e",  "e", "e", "e", "e", "e", "g", "g", "g",  "g",  /* U+0110 */
    "g", "g", "g",  "g",  "h", "h", "h",  "h", "i", "i", "i", "i", "i", "i", "i",  "i",  /* U+0120 */
    "i", "i", "ij", "ij", "j", "j", "k",  "k", "k", "l", "l", "l", "l", "l", "l",  "l",  /* U+0130 */
    "l", "l", "l",  "n",  "n", "n", "n",  "n", "n", "n", "n", "n", "o", "o", "o",  "o",  /* U+0140 */
    "o", "o", "oe", "oe", "r", "r", "r",  "r", "r", "r", "s", "s", "s", "s", "s",  "s",  /* U+0150 */
    "s", "s", "t",  "t",  "t", "t", "t",  "t", "u", "u", "u", "u", "u", "u", "u",  "u",  /* U+0160 */
    "u", "u", "u",  "u",  "w", "w", "y",  "y", "y", "z", "z", "z", "z", "z", "z",  "s",  /* U+0170 */
};

const char *wm_plain_sought(char *out, size_t size, const char *text)
{
    size_t n = 0, left = strlen(text), length = 0;
    bool space = false;
    for (; left; text += length, left -= length) {
        char one[8] = "";
        const char *as = one;
        unsigned long c = character(text, left, &length);
        if (c == ' ' || c == '\t' || c == 0xa0) {
            space = n > 0;
            continue;
        }
        if (c >= 0x300 && c <= 0x36f) /* a mark that stands by itself */
            continue;
        memcpy(one, text, length);
        if (c >= 'A' && c <= 'Z')
            one[0] = (char)(c + 32);
        else if (c >= 0xc0 && c < 0xc0 + sizeof SOUGHT_AS / sizeof SOUGHT_AS[0])
            as = SOUGHT_AS[c - 0xc0];
        if (n + space + strlen(as) >= size)
            break;
        if (space)
            out[n++] = ' ';
        space = false;
        memcpy(out + n, as, strlen(as));
        n += strlen(as);
    }
    out[n] = '\0';
    return out;
}

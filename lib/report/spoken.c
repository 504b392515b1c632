#include "report/spoken.h"

#include <stdlib.h>
#include <string.h>

#include "report/phrase.h"

/* ---- names ---- */

void wm_names_add(wm_names *names, const char *name)
{
    enum { FIRST = 64 };
    if (!name || !*name || names->failed)
        return;
    if (names->count == names->room) {
        const size_t room = names->room ? 2 * names->room : FIRST;
        const char **more = realloc(names->items, room * sizeof *more);
        names->failed = !more;
        if (!more)
            return;
        names->items = more;
        names->room = room;
    }
    names->items[names->count++] = name;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

void wm_names_sort(wm_names *names)
{
    size_t kept = 0;
    if (names->count)
        qsort(names->items, names->count, sizeof *names->items, by_name);
    for (size_t i = 0; i < names->count; i++)
        if (!kept || strcmp(names->items[kept - 1], names->items[i]) != 0)
            names->items[kept++] = names->items[i];
    names->count = kept;
}

void wm_names_free(wm_names *names)
{
    free(names->items);
    *names = (wm_names){ 0 };
}

/* ---- sentences ---- */

typedef struct span {
    const char *at;
    size_t size;
} span;

static bool is_name(span text, const wm_language *language)
{
    size_t low = 0, high = language->kept ? language->kept->count : 0;
    while (low < high) {
        const size_t middle = (low + high) / 2;
        const char *name = language->kept->items[middle];
        int order = strncmp(text.at, name, text.size);
        if (!order)
            order = name[text.size] ? -1 : 0;
        if (!order)
            return true;
        if (order < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return false;
}

/* Of ASCII alone, whatever the locale. */
static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_capital(char c)
{
    return c >= 'A' && c <= 'Z';
}

static bool is_small(char c)
{
    return c >= 'a' && c <= 'z';
}

static bool is_letter(char c)
{
    return is_capital(c) || is_small(c);
}

static char small(char c)
{
    return is_capital(c) ? (char)(c - 'A' + 'a') : c;
}

enum { HOLES = 'z' - 'A' + 1 }; /* by the letter */

static bool ends_sentence(span text, size_t i)
{
    return text.at[i] == '.' && i + 1 < text.size && text.at[i + 1] == ' ';
}

static bool ends_word(span text, size_t i)
{
    const bool before_space = i + 1 < text.size && text.at[i + 1] == ' ';
    return text.at[i] == ' ' || (before_space && strchr(",;:", text.at[i]));
}

/* The shortest holes with which the pattern is the text; what stays never goes on into the next sentence. */
static bool fits(const char *pattern, span text, span *holes)
{
    while (*pattern && *pattern != '{') {
        if (text.size == 0 || small(*pattern) != small(*text.at))
            return false;
        pattern++;
        text.at++;
        text.size--;
    }
    if (!*pattern)
        return text.size == 0;
    bool one_word = is_capital(pattern[1]);
    span *hole = &holes[pattern[1] - 'A'];
    for (size_t n = 1; n <= text.size; n++) {
        if (one_word ? ends_word(text, n - 1) : ends_sentence(text, n - 1))
            return false;
        *hole = (span){ text.at, n };
        if (fits(pattern + 3, (span){ text.at + n, text.size - n }, holes))
            return true;
    }
    return false;
}

static bool say(wm_buf *out, span text, const wm_language *language);

/* A sentence begins as the English one does, wherever its row is used. */
static void begin(wm_buf *out, size_t at, bool capital)
{
    unsigned char *first = out->data && out->size > at ? (unsigned char *)out->data + at : NULL;
    if (first && capital && is_small((char)*first))
        *first = (unsigned char)(*first - 'a' + 'A');
    else if (first && capital && *first == 0xc3 && first[1] >= 0xa0 &&
             first[1] != 0xb7) /* the small letters of Latin-1 */
        first[1] = (unsigned char)(first[1] - 0x20);
}

/* A part of a text: a name in it stays. */
static bool say_part(wm_buf *out, span text, const wm_language *language)
{
    if (!is_name(text, language))
        return say(out, text, language);
    wm_buf_bytes(out, text.at, text.size);
    return false;
}

static void fill(wm_buf *out, const char *spoken, const span *holes, const wm_language *language)
{
    while (*spoken) {
        size_t plain = strcspn(spoken, "{");
        wm_buf_bytes(out, spoken, plain);
        spoken += plain;
        if (!*spoken)
            return;
        say_part(out, holes[spoken[1] - 'A'], language);
        spoken += 3;
    }
}

static bool say_by_a_row(wm_buf *out, span text, const wm_language *language)
{
    span holes[HOLES] = { { 0 } };
    size_t at = out->size;
    for (size_t i = 0; i < language->count; i++) {
        const wm_sentence *row = &language->sentences[i];
        if (!fits(row->english, text, holes))
            continue;
        fill(out, row->spoken, holes, language);
        begin(out, at, is_capital(*text.at) && is_small(*row->english));
        return true;
    }
    return false;
}

static span next_part(span *rest, const char *join)
{
    size_t n = strlen(join), i = 0;
    while (i + n <= rest->size && memcmp(rest->at + i, join, n) != 0)
        i++;
    if (i + n > rest->size)
        i = rest->size;
    span part = { rest->at, i };
    size_t used = i < rest->size ? i + n : i;
    *rest = (span){ rest->at + used, rest->size - used };
    return part;
}

/* Parted at a join, where that makes any part known. */
static bool say_in_parts(wm_buf *out, span text, const char *join, const wm_language *language)
{
    size_t before = out->size;
    bool known = false;
    span part = next_part(&text, join);
    if (text.size == 0)
        return false;
    for (;;) {
        known |= say_part(out, part, language);
        if (text.size == 0)
            break;
        wm_buf_text(out, join);
        part = next_part(&text, join);
    }
    if (!known && out->data)
        out->data[out->size = before] = '\0';
    return known;
}

/* Whether any row knew it; as it is, if none did. */
static bool say(wm_buf *out, span text, const wm_language *language)
{
    static const char *const JOINS[] = { ". ", "; ", ": ", ", " };
    bool stop = text.size > 1 && text.at[text.size - 1] == '.', known = false;
    span plain = { text.at, text.size - stop };
    if (plain.size)
        known = say_by_a_row(out, plain, language);
    for (size_t i = 0; i < sizeof JOINS / sizeof JOINS[0] && !known; i++)
        known = say_in_parts(out, plain, JOINS[i], language);
    if (!known)
        wm_buf_bytes(out, plain.at, plain.size);
    if (stop)
        wm_buf_text(out, ".");
    return known;
}

/* ---- days and numbers ---- */

static size_t digits_at(const char *text)
{
    return strspn(text, "0123456789");
}

static bool is_day(const char *p)
{
    return digits_at(p) == 4 && p[4] == '-' && digits_at(p + 5) == 2 && p[7] == '-' && digits_at(p + 8) == 2 &&
           !is_letter(p[10]) && !is_digit(p[10]);
}

static bool in_word(char c)
{
    return is_letter(c) || is_digit(c) || c == '_' || c == '.' || c == ',';
}

/* 12.5, but neither a version nor part of a name: how long, or 0. */
static size_t decimal_at(const char *p)
{
    size_t whole = digits_at(p), all = whole;
    if (whole && p[whole] == '.')
        all = whole + 1 + digits_at(p + whole + 1);
    if (all < whole + 2 || is_letter(p[all]) || p[all] == '_')
        return 0;
    return p[all] == '.' && is_digit(p[all + 1]) ? 0 : all;
}

static void write_numbers(wm_buf *out, const char *text, const wm_language *language)
{
    for (const char *p = text; *p;) {
        size_t n = p == text || !in_word(p[-1]) ? decimal_at(p) : 0;
        size_t size = n ? n : 1;
        for (size_t i = 0; i < size; i++)
            wm_buf_bytes(out, n && p[i] == '.' ? &language->decimal_sign : p + i, 1);
        p += size;
    }
}

/* Days become words before anything is said, so that rows know them. */
static void write_days(wm_buf *out, const char *text)
{
    char words[WM_PHRASE_SIZE], day[] = "0000-00-00";
    for (const char *p = text; *p;) {
        if ((p == text || !in_word(p[-1])) && is_day(p)) {
            memcpy(day, p, sizeof day - 1);
            wm_buf_text(out, wm_phrase_date(words, day));
            p += sizeof day - 1;
        } else {
            wm_buf_bytes(out, p++, 1);
        }
    }
}

void wm_spoken(wm_buf *out, const char *text, const wm_language *language)
{
    wm_buf days = { 0 }, said = { 0 };
    if (!language->count) {
        wm_buf_text(out, text);
        return;
    }
    write_days(&days, text);
    if (days.data)
        say(&said, (span){ days.data, days.size }, language);
    if (said.data)
        write_numbers(out, said.data, language);
    out->failed |= days.failed || said.failed;
    wm_buf_free(&days);
    wm_buf_free(&said);
}

/* ---- pages ---- */

static void write_plain(wm_buf *out, span text)
{
    static const struct {
        const char *escape;
        char character;
    } ESCAPES[] = { { "&amp;", '&' }, { "&lt;", '<' }, { "&gt;", '>' }, { "&quot;", '"' }, { "&#39;", '\'' } };
    enum { COUNT = sizeof ESCAPES / sizeof ESCAPES[0] };
    for (size_t i = 0; i < text.size;) {
        size_t e = 0;
        while (e < COUNT && strncmp(text.at + i, ESCAPES[e].escape, strlen(ESCAPES[e].escape)) != 0)
            e++;
        wm_buf_bytes(out, e < COUNT ? &ESCAPES[e].character : text.at + i, 1);
        i += e < COUNT ? strlen(ESCAPES[e].escape) : 1;
    }
}

/* An escaped text, said, and escaped again; the white space around it stays. */
static void say_escaped(wm_buf *out, span text, const wm_language *language)
{
    static const char WHITE[] = " \n\t";
    wm_buf plain = { 0 }, said = { 0 };
    span inner = text;
    while (inner.size && strchr(WHITE, inner.at[0]))
        inner = (span){ inner.at + 1, inner.size - 1 };
    while (inner.size && strchr(WHITE, inner.at[inner.size - 1]))
        inner.size--;
    wm_buf_bytes(out, text.at, (size_t)(inner.at - text.at));
    write_plain(&plain, inner);
    if (plain.data)
        wm_spoken(&said, plain.data, language);
    if (said.data)
        wm_buf_html(out, said.data);
    wm_buf_bytes(out, inner.at + inner.size, text.size - inner.size - (size_t)(inner.at - text.at));
    out->failed |= plain.failed || said.failed;
    wm_buf_free(&plain);
    wm_buf_free(&said);
}

static bool has(span tag, const char *words)
{
    size_t n = strlen(words);
    for (size_t i = 0; i + n <= tag.size; i++)
        if (memcmp(tag.at + i, words, n) == 0)
            return true;
    return false;
}

static bool starts(span tag, const char *words)
{
    return tag.size >= strlen(words) && memcmp(tag.at, words, strlen(words)) == 0;
}

/* A tag: what is read aloud of it is said. */
static void write_tag(wm_buf *out, span tag, const wm_language *language)
{
    static const char *const ALOUD[] = { " alt=\"", " aria-label=\"", " title=\"" };
    enum { COUNT = sizeof ALOUD / sizeof ALOUD[0] };
    size_t i = 0;
    if (starts(tag, "<html lang=\"en\"")) {
        wm_buf_text(out, "<html lang=\"");
        wm_buf_text(out, language->tag);
        i = sizeof "<html lang=\"en" - 1;
    }
    while (i < tag.size) {
        size_t a = 0;
        while (a < COUNT && !starts((span){ tag.at + i, tag.size - i }, ALOUD[a]))
            a++;
        size_t size = a < COUNT ? strlen(ALOUD[a]) : 1;
        wm_buf_bytes(out, tag.at + i, size);
        i += size;
        const char *end = a < COUNT ? memchr(tag.at + i, '"', tag.size - i) : NULL;
        if (!end)
            continue;
        span value = { tag.at + i, (size_t)(end - tag.at) - i };
        say_escaped(out, value, language);
        i += value.size;
    }
}

/* How long the script that begins here is; 0: none does. */
static size_t script_at(const char *p)
{
    const char *end = strncmp(p, "<script", sizeof "<script" - 1) == 0 ? strstr(p, "</script>") : NULL;
    return end ? (size_t)(end - p) + sizeof "</script>" - 1 : 0;
}

void wm_spoken_page(wm_buf *out, const char *page, const wm_language *language)
{
    size_t depth = 0, silent = 0; /* silent: the depth at which texts stay as they are, or 0 */
    for (const char *p = page; *p;) {
        const size_t script = script_at(p);
        if (script) {
            wm_buf_bytes(out, p, script);
            p += script;
            continue;
        }
        const char *end = *p == '<' ? strchr(p, '>') : NULL;
        size_t size = end ? (size_t)(end - p) + 1 : *p == '<' ? 1 : strcspn(p, "<");
        span part = { p, size };
        if (!end && silent)
            wm_buf_bytes(out, p, size);
        else if (!end)
            say_escaped(out, part, language);
        else if (silent || p[1] == '/')
            wm_buf_bytes(out, p, size);
        else
            write_tag(out, part, language);
        if (end && p[1] == '/') {
            silent = silent == depth ? 0 : silent;
            depth -= depth > 0;
        } else if (end && p[1] != '!' && end[-1] != '/') {
            depth++;
            if (!silent && (starts(part, "<style") || has(part, " translate=\"no\"")))
                silent = depth;
        }
        p += size;
    }
}

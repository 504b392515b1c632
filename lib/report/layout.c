#include "report/layout.h"

#include <string.h>

/* ---- clean text ---- */

static const char PLUS_MINUS[] = "\302\261";

/* Columns that UTF-8 text takes, one a character: our words need no more. */
static size_t columns_of(const char *text)
{
    size_t n = 0;
    for (; *text; text++)
        n += ((unsigned char)*text & 0xc0) != 0x80;
    return n;
}

/* What stands for one character of `size` bytes: itself, "" for a control, for a terminal without UTF-8 something
 * plain. */
static const char *plain(const char *text, size_t size, bool utf8)
{
    const unsigned char first = (unsigned char)text[0], second = size > 1 ? (unsigned char)text[1] : 0;
    if (size == 0)
        return "?";
    if (size == 1)
        return first >= 0x20 && first != 0x7f ? NULL : first == '\n' || first == '\t' ? " " : "";
    if (size == 2 && first == 0xc2 && second < 0xa0)
        return "";
    if (utf8)
        return NULL;
    return size == 2 && memcmp(text, PLUS_MINUS, 2) == 0 ? "+-" : "?";
}

/* Longer text is cut: the longest of the model is a step of the plan. */
static const char *clean(char out[WM_LAYOUT_TEXT], const wm_layout *to, const char *text)
{
    size_t used = 0, left = strlen(text);
    while (left) {
        size_t step = wm_utf8_step(text, left), taken = step ? step : 1;
        const char *instead = plain(text, step, to->style->utf8);
        size_t size = instead ? strlen(instead) : taken;
        if (used + size >= WM_LAYOUT_TEXT)
            break;
        memcpy(out + used, instead ? instead : text, size);
        used += size;
        text += taken;
        left -= taken;
    }
    out[used] = '\0';
    return out;
}

size_t wm_layout_columns(const wm_layout *to)
{
    size_t columns = to->style->columns;
    return columns == 0 || columns > WM_TEXT_COLUMNS ? WM_TEXT_COLUMNS
           : columns < WM_TEXT_COLUMNS_LEAST         ? WM_TEXT_COLUMNS_LEAST
                                                     : columns;
}

/* ---- cells ---- */

static void spaces(wm_layout *to, size_t n)
{
    for (size_t i = 0; i < n; i++)
        wm_buf_text(to->out, " ");
}

void wm_layout_cell(wm_layout *to, const char *text, size_t width)
{
    char cleaned[WM_LAYOUT_TEXT];
    const char *start = clean(cleaned, to, text), *end = start;
    size_t n = 0;
    for (; *end && n < width; n++)
        for (end++; ((unsigned char)*end & 0xc0) == 0x80; end++)
            ;
    wm_buf_bytes(to->out, start, (size_t)(end - start));
    spaces(to, width - n);
}

void wm_layout_whole(wm_layout *to, const char *text, size_t width, size_t indent)
{
    char cleaned[WM_LAYOUT_TEXT];
    clean(cleaned, to, text);
    if (columns_of(cleaned) < width) {
        wm_layout_cell(to, cleaned, width);
        return;
    }
    wm_layout_line(to, cleaned);
    spaces(to, indent + width);
}

void wm_layout_right(wm_layout *to, const char *text, size_t width)
{
    char cleaned[WM_LAYOUT_TEXT];
    size_t n = columns_of(clean(cleaned, to, text));
    spaces(to, n < width ? width - n : 0);
    wm_buf_text(to->out, cleaned);
}

void wm_layout_number(wm_layout *to, double value, size_t width)
{
    char text[48];
    wm_layout_right(to, wm_number_text(text, value, 1), width);
}

const char *wm_layout_plus_minus(char out[52], double value)
{
    memcpy(out, PLUS_MINUS, sizeof PLUS_MINUS);
    wm_number_text(out + sizeof PLUS_MINUS - 1, value, 1);
    return out;
}

void wm_layout_line(wm_layout *to, const char *text)
{
    char cleaned[WM_LAYOUT_TEXT];
    wm_buf_text(to->out, clean(cleaned, to, text));
    wm_buf_text(to->out, "\n");
}

/* ---- words ---- */

void wm_layout_wrapped(wm_layout *to, const char *text, size_t indent, size_t column)
{
    char cleaned[WM_LAYOUT_TEXT];
    bool first = true;
    clean(cleaned, to, text);
    spaces(to, column < indent ? indent - column : 0);
    column = column < indent ? indent : column;
    for (char *s = cleaned + strspn(cleaned, " "); *s; s += strspn(s, " ")) {
        size_t size = strcspn(s, " ");
        const char after = s[size];
        s[size] = '\0';
        size_t wide = columns_of(s);
        bool fits = column + !first + wide <= wm_layout_columns(to);
        if (!first && !fits) {
            wm_buf_text(to->out, "\n");
            spaces(to, indent);
            column = indent;
        } else if (!first) {
            wm_buf_text(to->out, " ");
            column++;
        }
        wm_buf_text(to->out, s);
        column += wide;
        first = false;
        s[size] = after;
        s += size;
    }
    wm_buf_text(to->out, "\n");
}

void wm_layout_heading(wm_layout *to, const char *title)
{
    char cleaned[WM_LAYOUT_TEXT];
    size_t n = columns_of(clean(cleaned, to, title));
    wm_buf_text(to->out, "\n");
    wm_layout_line(to, cleaned);
    for (size_t i = 0; i < n; i++)
        wm_buf_text(to->out, to->style->utf8 ? "\342\224\200" : "-");
    wm_buf_text(to->out, "\n");
}

void wm_layout_labelled(wm_layout *to, const char *label, const char *text)
{
    wm_layout_cell(to, label, 10);
    wm_layout_wrapped(to, text, 10, 10);
}

/* ---- chips ---- */

/* The 6 x 6 x 6 cube of 256-colour terminals has the levels 0, 95, 135, 175, 215, 255; its 24 grays go from 8 in steps
 * of 10. */
static int cube_level(int v)
{
    return v < 48 ? 0 : v < 115 ? 1 : (v - 35) / 40;
}

static int off(wm_srgb8 c, int r, int g, int b)
{
    return (c.r - r) * (c.r - r) + (c.g - g) * (c.g - g) + (c.b - b) * (c.b - b);
}

static int nearest_of_256(wm_srgb8 c)
{
    static const int LEVEL[] = { 0, 95, 135, 175, 215, 255 };
    int r = cube_level(c.r), g = cube_level(c.g), b = cube_level(c.b), step = ((c.r + c.g + c.b) / 3 - 3) / 10;
    step = step < 0 ? 0 : step > 23 ? 23 : step;
    bool gray = off(c, 8 + 10 * step, 8 + 10 * step, 8 + 10 * step) < off(c, LEVEL[r], LEVEL[g], LEVEL[b]);
    return gray ? 232 + step : 16 + 36 * r + 6 * g + b;
}

void wm_text_chip(wm_buf *out, wm_lab lab, wm_chips chips)
{
    wm_srgb8 c = wm_lab_to_srgb8(lab);
    if (chips == WM_CHIPS_24BIT)
        wm_buf_format(out, "\033[48;2;%d;%d;%dm   \033[0m ", c.r, c.g, c.b);
    else if (chips == WM_CHIPS_256)
        wm_buf_format(out, "\033[48;5;%dm   \033[0m ", nearest_of_256(c));
}

void wm_layout_chip(wm_layout *to, wm_lab lab)
{
    wm_text_chip(to->out, lab, to->style->chips);
}

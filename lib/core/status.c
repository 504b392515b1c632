#include "core/status.h"

#include "core/buf.h"
#include "core/plain.h"
#include "version.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* snprintf cuts at a byte; a cut in the middle of a character would end in a '?'. */
static void drop_cut_character(char *text, size_t capacity)
{
    size_t size = strlen(text);
    if (size + 1 < capacity)
        return;
    size_t start = size;
    while (start && size - start < 4 && ((unsigned char)text[start - 1] & 0xc0) == 0x80)
        start--;
    if (start && (unsigned char)text[start - 1] >= 0xc0 && !wm_utf8_step(text + start - 1, size - start + 1))
        text[start - 1] = '\0';
}

static void put_text(char *out, size_t capacity, const char *format, va_list args)
    __attribute__((format(printf, 3, 0)));
static void put_text(char *out, size_t capacity, const char *format, va_list args)
{
    if (vsnprintf(out, capacity, format, args) < 0)
        out[0] = '\0';
    drop_cut_character(out, capacity);
    wm_plain_make_line(out);
}

static void put_place(wm_error *err, const char *file, long line, long column)
{
    snprintf(err->file, sizeof err->file, "%s", file ? file : "");
    drop_cut_character(err->file, sizeof err->file);
    wm_plain_make_line(err->file);
    err->line = line;
    err->column = column;
}

wm_status wm_fail(wm_error *err, wm_status code, const char *format, ...)
{
    if (!err)
        return code;
    va_list args;
    va_start(args, format);
    put_text(err->text, sizeof err->text, format, args);
    va_end(args);
    put_place(err, NULL, 0, 0);
    err->code = code;
    return code;
}

wm_status wm_fail_at(wm_error *err, wm_status code, const char *file, long line, long column, const char *format, ...)
{
    if (!err)
        return code;
    va_list args;
    va_start(args, format);
    put_text(err->text, sizeof err->text, format, args);
    va_end(args);
    put_place(err, file, line, column);
    err->code = code;
    return code;
}

wm_status wm_fail_memory(wm_error *err)
{
    return wm_fail(err, WM_E_MEMORY, "out of memory; close other programs or use a smaller photo");
}

static bool known(const wm_warnings *warnings, const wm_warning *note)
{
    for (size_t i = 0; i < warnings->count; i++)
        if (strcmp(warnings->items[i].code, note->code) == 0 && strcmp(warnings->items[i].text, note->text) == 0)
            return true;
    return false;
}

void wm_warnings_add(wm_warnings *warnings, const char *code, const char *format, ...)
{
    if (!warnings)
        return;
    wm_warning note;
    snprintf(note.code, sizeof note.code, "%s", code);
    va_list args;
    va_start(args, format);
    put_text(note.text, sizeof note.text, format, args);
    va_end(args);
    if (known(warnings, &note))
        return;
    wm_warning *items = realloc(warnings->items, (warnings->count + 1) * sizeof *items);
    if (!items) {
        warnings->failed = true;
        return;
    }
    warnings->items = items;
    items[warnings->count++] = note;
}

void wm_warnings_free(wm_warnings *warnings)
{
    if (!warnings)
        return;
    free(warnings->items);
    *warnings = (wm_warnings){ 0 };
}

const char *wm_version(void)
{
    return WM_VERSION;
}

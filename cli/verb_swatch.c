/* swatch list, check, convert: the catalogue. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "context.h"
#include "core/file.h"
#include "match/shades.h"
#include "match/swatch_out.h"
#include "say.h"
#include "verbs.h"

/* The file named, else the catalogue of the options; its path for messages. */
static wm_status load(wm_catalogue *out, char path[PATH_SIZE], const args *a, wm_error *err)
{
    wm_warnings warnings = { 0 };
    wm_status status = WM_OK;
    if (a->operand_count == 0)
        status = context_swatches_path(path, a, err);
    else if (snprintf(path, PATH_SIZE, "%s", a->operands[0]) >= PATH_SIZE)
        status = wm_fail(err, WM_E_INPUT, "the path of the catalogue is too long; name a shorter one");
    if (!status)
        status = wm_catalogue_load(out, path, &warnings, err);
    say_plain_warnings(&warnings, path);
    wm_warnings_free(&warnings);
    return status;
}

static void right(wm_buf *out, double value, int decimals, int width)
{
    char number[48];
    if (value < 0 && decimals == 0)
        wm_buf_format(out, "%*s", width, "-");
    else
        wm_buf_format(out, "%*s", width, wm_number_text(number, value, decimals));
}

static int characters(const char *text)
{
    int n = 0;
    for (size_t left = strlen(text), step; left && (step = wm_utf8_step(text, left)); left -= step, text += step)
        n++;
    return n;
}

static int widest_code(const wm_catalogue *catalogue)
{
    int widest = (int)strlen("code");
    for (size_t i = 0; i < catalogue->count; i++) {
        int n = characters(catalogue->items[i].code);
        widest = n > widest ? n : widest;
    }
    return widest;
}

static void list_line(wm_buf *out, const wm_swatch *s, int code_width, wm_chips chips)
{
    wm_text_chip(out, s->lab, chips);
    wm_buf_format(out, "%s%*s %-4s", s->code, code_width - characters(s->code), "",
                  s->kind == WM_SWATCH_BEAD ? "bead" : "hair");
    right(out, s->lab.L, 1, 6);
    right(out, s->lab.a, 1, 6);
    right(out, s->lab.b, 1, 6);
    right(out, s->length_cm, 0, 5);
    right(out, s->stock_packs, 0, 6);
    wm_buf_format(out, "%s%s\n", *s->name ? "  " : "", s->name);
}

int verb_swatch_list(const args *a)
{
    wm_catalogue catalogue = { 0 };
    char path[PATH_SIZE];
    wm_buf out = { 0 };
    wm_error err;
    if (load(&catalogue, path, a, &err))
        return say_error(&err);
    wm_chips chips = say_style(a).chips;
    int code_width = widest_code(&catalogue);
    wm_buf_format(&out, "%s%-*s %s%6s%6s%6s%5s%6s  name\n", chips ? "    " : "", code_width, "code", "kind", "L*", "a*",
                  "b*", "cm", "stock");
    for (size_t i = 0; i < catalogue.count; i++)
        list_line(&out, &catalogue.items[i], code_width, chips);
    int code = context_write(a, args_text(a, "output"), &out, false);
    wm_buf_free(&out);
    wm_catalogue_free(&catalogue);
    return code;
}

int verb_swatch_check(const args *a)
{
    wm_catalogue catalogue = { 0 };
    wm_twins twins = { 0 };
    char path[PATH_SIZE], number[48];
    wm_buf out = { 0 };
    wm_error err;
    wm_price_doubt *doubts = NULL;
    size_t doubt_count = 0;
    wm_status status = load(&catalogue, path, a, &err);
    if (!status)
        status = wm_catalogue_twins(&twins, &catalogue, WM_TWIN_DE00, &err);
    if (!status)
        status = wm_catalogue_price_doubts(&doubts, &doubt_count, &catalogue, &err);
    if (status)
        return say_error(&err);
    wm_buf_format(&out, "%zu row%s, no fault in the file\n", catalogue.count, catalogue.count == 1 ? "" : "s");
    for (size_t i = 0; i < twins.count; i++)
        wm_buf_format(&out, "%s and %s are %s dE00 apart: no photo can tell them apart\n", twins.items[i].a->code,
                      twins.items[i].b->code, wm_number_text(number, twins.items[i].de00, 2));
    for (size_t i = 0; i < doubt_count; i++)
        wm_buf_format(&out, "line %ld, %s: the price is %s times that of its neighbours; look where its point is\n",
                      doubts[i].row->line, doubts[i].row->code, wm_number_text(number, doubts[i].times, 2));
    int code = context_write(a, args_text(a, "output"), &out, false);
    if (!code)
        code = twins.count || doubt_count ? 1 : 0;
    free(doubts);
    wm_buf_free(&out);
    wm_twins_free(&twins);
    wm_catalogue_free(&catalogue);
    return code;
}

int verb_swatch_convert(const args *a)
{
    wm_catalogue catalogue = { 0 };
    char path[PATH_SIZE];
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = wm_file_check_new(a->operands[1], args_has(a, "force"), &err);
    if (!status)
        status = load(&catalogue, path, a, &err);
    if (!status)
        status = wm_catalogue_write(&out, &catalogue, a->operands[1], args_has(a, "lossy"), &err);
    int code = status ? say_error(&err) : context_write(a, a->operands[1], &out, false);
    wm_buf_free(&out);
    wm_catalogue_free(&catalogue);
    return code;
}

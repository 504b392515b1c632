/* blend: how a given blend looks, mixed fibre by fibre (B5) or in whole layers (B13 to B19). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/blend_law.h"
#include "context.h"
#include "match/views.h"
#include "match/mixing.h"
#include "match/shades.h"
#include "match/stack.h"
#include "say.h"
#include "verbs.h"

typedef struct blend {
    bool has_mixed, has_views;
    wm_lab mixed;
    wm_views views;
} blend;

/* "0.7", "0,7", "70%" */
static bool read_share(double *share, const char *text)
{
    char number[32];
    const size_t length = strcspn(text, "%");
    if (length >= sizeof number || (text[length] && text[length + 1]))
        return false;
    snprintf(number, sizeof number, "%.*s", (int)(length && text[length - 1] == ' ' ? length - 1 : length), text);
    char *comma = strchr(number, ',');
    if (comma)
        *comma = '.';
    if (!wm_number_parse(number, share))
        return false;
    *share /= text[length] ? 100 : 1;
    return true;
}

/* One CODE=SHARE. */
static wm_status read_part(wm_part *out, const wm_catalogue *catalogue, const char *text, wm_error *err)
{
    char code[WM_CODE_SIZE];
    const char *equals = strrchr(text, '=');
    const wm_swatch *shade = NULL;
    if (!equals || equals == text || (size_t)(equals - text) >= sizeof code || !read_share(&out->share, equals + 1))
        return wm_fail(err, WM_E_USAGE, "'%s' is not part of a blend; write CODE=SHARE such as oat=0.7", text);
    memcpy(code, text, (size_t)(equals - text));
    code[equals - text] = '\0';
    wm_status status = wm_catalogue_shade(&shade, catalogue, code, err);
    if (!status)
        out->colour = wm_lab_to_cone(shade->lab);
    return status;
}

static wm_status blend_mixed(blend *out, const args *a, const wm_catalogue *catalogue, const wm_hair_law *law,
                             wm_error *err)
{
    wm_part parts[8];
    double phi = 1;
    wm_cone cone;
    const char *fineness = args_text(a, "fineness");
    if (fineness && (!wm_number_parse(fineness, &phi) || phi < 0 || phi > 1))
        return wm_fail(err, WM_E_USAGE, "--fineness can't be '%s'; give 0 (separate locks) to 1 (mixed fibre by fibre)",
                       fineness);
    wm_status status = WM_OK;
    for (size_t i = 0; i < a->operand_count && !status; i++)
        status = read_part(&parts[i], catalogue, a->operands[i], err);
    if (!status)
        status = wm_mix(&cone, parts, a->operand_count, phi, law, err);
    if (status)
        return status;
    out->has_mixed = true;
    out->mixed = wm_cone_to_lab(cone);
    return WM_OK;
}

static wm_status blend_layers(blend *out, const args *a, const wm_catalogue *catalogue, const wm_settings *settings,
                              wm_error *err)
{
    wm_stack stack;
    const wm_swatch *shades[WM_MAX_LAYERS];
    wm_lab over;
    wm_status status = wm_stack_parse_known(&stack, args_text(a, "layers"), catalogue, err);
    if (!status)
        status = wm_stack_swatches(shades, &stack, catalogue, err);
    if (!status && args_has(a, "over"))
        status = context_lab(&over, "over", args_text(a, "over"), err);
    if (status)
        return status;
    out->has_views = true;
    wm_sight sight = { wm_hair_law_of(settings->blend_g), settings->area_weights,
                       args_has(a, "over") ? over : shades[0]->lab };
    out->views = wm_views_of(shades, stack.count, &sight);
    return WM_OK;
}

static void json_lab(wm_buf *out, wm_lab lab)
{
    const double v[3] = { lab.L, lab.a, lab.b };
    wm_buf_numbers(out, v, 3, 4);
}

static void json_named(wm_buf *out, const char *before, wm_lab lab, const char *after)
{
    wm_buf_text(out, before);
    json_lab(out, lab);
    wm_buf_text(out, after);
}

static void write_json(wm_buf *out, const blend *b)
{
    wm_buf_text(out, "{\"format\":1,\n\"mixed\":");
    if (b->has_mixed)
        json_named(out, "{\"lab\":", b->mixed, "}");
    else
        wm_buf_text(out, "null");
    wm_buf_text(out, ",\n\"views\":");
    if (!b->has_views) {
        wm_buf_text(out, "null,\n\"colours\":null}\n");
        return;
    }
    json_named(out, "{\"down\":{\"lab\":", b->views.down, "}");
    json_named(out, ",\"up\":{\"lab\":", b->views.up, "}}");
    json_named(out, ",\n\"colours\":{\"intact\":", b->views.intact, "");
    json_named(out, ",\"moved\":", b->views.moved, "");
    json_named(out, ",\"edge\":", b->views.edge, "}}\n");
}

static void text_colour(wm_buf *out, const char *name, wm_lab lab, wm_chips chips)
{
    char number[48];
    wm_buf_format(out, "%-28s", name);
    wm_text_chip(out, lab, chips);
    wm_buf_format(out, "L* %5s", wm_number_text(number, lab.L, 1));
    wm_buf_format(out, "  a* %5s", wm_number_text(number, lab.a, 1));
    wm_buf_format(out, "  b* %5s\n", wm_number_text(number, lab.b, 1));
}

static void write_text(wm_buf *out, const blend *b, wm_chips chips)
{
    if (b->has_mixed)
        text_colour(out, "mixed", b->mixed, chips);
    if (!b->has_views)
        return;
    text_colour(out, "worn down", b->views.down, chips);
    text_colour(out, "worn up", b->views.up, chips);
    text_colour(out, "  the stack untouched", b->views.intact, chips);
    text_colour(out, "  its front layer moved away", b->views.moved, chips);
    text_colour(out, "  its edge", b->views.edge, chips);
}

static wm_status check_question(const args *a, wm_error *err)
{
    if (a->operand_count == 0 && !args_has(a, "layers"))
        return wm_fail(err, WM_E_USAGE,
                       "nothing to blend is given; give CODE=SHARE CODE=SHARE --mixed, or --layers CODE,CODE,CODE");
    if (a->operand_count && args_has(a, "layers"))
        return wm_fail(err, WM_E_USAGE, "shares and --layers can't go together; give one of them");
    if (args_has(a, "layers") && (args_has(a, "mixed") || args_has(a, "fineness")))
        return wm_fail(err, WM_E_USAGE, "layers are whole wefts; --mixed and --fineness go with CODE=SHARE");
    if (args_has(a, "over") && !args_has(a, "layers"))
        return wm_fail(err, WM_E_USAGE, "--over goes with --layers; give both, or neither");
    return WM_OK;
}

/* --- B12
 * ------------------------------------------------------------------------------------------------------------------------
 */

static void write_law(wm_buf *out, const wm_blend_law *law, double before)
{
    char number[48];
    wm_buf_format(out, "50/50 of %s and %s\n", law->dark->code, law->light->code);
    wm_buf_format(out, "blend_g   %s fits best", wm_number_text(number, law->fit.law.g, 3));
    wm_buf_format(out, " (%s to ", wm_number_text(number, law->g_low, 2));
    wm_buf_format(out, "%s may be, by this photo)\n", wm_number_text(number, law->g_high, 2));
    wm_buf_format(out, "before    %s\n", wm_number_text(number, before, 3));
    wm_buf_format(out, "misses    dE00 %s now, ", wm_number_text(number, law->fit.de00, 1));
    wm_buf_format(out, "%s with the built-in law; ", wm_number_text(number, law->fit.default_de00, 1));
    wm_buf_format(out, "the photo is good to +- %s\n", wm_number_text(number, law->blend.u_de00, 1));
}

static wm_status store_law(const args *a, const wm_blend_law *law, wm_error *err)
{
    wm_book *book = NULL;
    char value[48];
    wm_status status = context_open_book(&book, a, WM_BOOK_CREATE, err);
    if (!status)
        status = wm_book_setting_set(book, "blend_g", wm_number_text(value, law->fit.law.g, 3), err);
    wm_book_close(book);
    return status;
}

static wm_status measure_law(wm_blend_law *law, const args *a, const wm_settings *settings, wm_catalogue *catalogue,
                             wm_error *err)
{
    wm_zones zones = { 0 };
    wm_photo *photo = NULL;
    wm_status status = context_zones(&zones, a, -1, err);
    if (!status)
        status = context_catalogue(catalogue, a, err);
    if (!status)
        status = wm_photo_open(&photo, args_text(a, "calibrate"), &settings->limits, err);
    if (!status)
        status = wm_blend_law_of(law, photo, &zones, catalogue, err);
    wm_photo_close(photo);
    wm_zones_free(&zones);
    return status;
}

static int calibrate(const args *a)
{
    wm_settings settings;
    wm_catalogue catalogue = { 0 };
    wm_blend_law law = { 0 };
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = WM_OK;
    static const char *const OTHER[] = { "layers", "mixed", "fineness", "over", "json" };
    bool alone = a->operand_count == 0;
    for (size_t i = 0; i < sizeof OTHER / sizeof *OTHER; i++)
        alone = alone && !args_has(a, OTHER[i]);
    if (!alone)
        status = wm_fail(&err, WM_E_USAGE, "--calibrate measures a photo; give it alone, with --zones");
    if (!status)
        status = context_settings(&settings, a, &err);
    if (!status)
        status = measure_law(&law, a, &settings, &catalogue, &err);
    say_plain_warnings(&law.warnings, args_text(a, "calibrate"));
    if (!status && !law.why_not)
        status = store_law(a, &law, &err);
    if (!status)
        write_law(&out, &law, settings.blend_g);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, false);
    if (!status && law.why_not) {
        say_hint(a, "not stored: %s", law.why_not);
        code = code ? code : 1;
    }
    wm_warnings_free(&law.warnings);
    wm_buf_free(&out);
    wm_catalogue_free(&catalogue);
    return code;
}

int verb_blend(const args *a)
{
    wm_settings settings;
    wm_catalogue catalogue = { 0 };
    wm_buf out = { 0 };
    blend b = { 0 };
    wm_error err;
    if (args_has(a, "calibrate"))
        return calibrate(a);
    wm_status status = check_question(a, &err);
    if (!status)
        status = context_settings(&settings, a, &err);
    if (!status)
        status = context_catalogue(&catalogue, a, &err);
    if (!status && args_has(a, "layers"))
        status = blend_layers(&b, a, &catalogue, &settings, &err);
    else if (!status)
        status = blend_mixed(&b, a, &catalogue, &(wm_hair_law){ settings.blend_g, 1.5 * (1 - settings.blend_g) }, &err);
    if (!status && args_has(a, "json"))
        write_json(&out, &b);
    else if (!status)
        write_text(&out, &b, say_style(a).chips);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, false);
    wm_buf_free(&out);
    wm_catalogue_free(&catalogue);
    return code;
}

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "consult/learning.h"
#include "context.h"
#include "say.h"
#include "verbs.h"

int verb_salon_show(const args *a)
{
    wm_settings settings;
    wm_buf out = { 0 };
    wm_error err;
    if (context_settings(&settings, a, &err))
        return say_error(&err);
    const char *key, *help;
    for (size_t i = 0; (key = wm_settings_key(i, &help)); i++) {
        size_t start = out.size;
        wm_buf_format(&out, "%s=", key);
        wm_settings_print(&out, &settings, i);
        for (size_t n = out.size - start; n < 28; n++)
            wm_buf_text(&out, " ");
        wm_buf_format(&out, "  %s\n", help);
    }
    int code = context_write(a, args_text(a, "output"), &out, false);
    wm_buf_free(&out);
    return code;
}

/* "key=value" with value already checked against the settings; the key ends in place of the sign. */
static wm_status check_assignment(char key[64], const char **value, wm_settings *settings, const char *text,
                                  wm_error *err)
{
    const char *equals = strchr(text, '=');
    if (!equals || equals == text || (size_t)(equals - text) >= 64)
        return wm_fail(err, WM_E_USAGE, "'%s' is not a setting; write KEY=VALUE, see weftmatch salon show", text);
    memcpy(key, text, (size_t)(equals - text));
    key[equals - text] = '\0';
    *value = equals + 1;
    return wm_settings_apply(settings, key, *value, err);
}

/* What was understood, a line a setting, for when it is kept. */
static wm_status keep(wm_buf *understood, wm_book *book, const wm_settings *settings, const char *key, wm_error *err)
{
    wm_buf value = { 0 };
    wm_status status = wm_settings_keep(&value, book, settings, key, err);
    if (!status)
        wm_buf_format(understood, "%s=%s\n", key, value.data ? value.data : "");
    wm_buf_free(&value);
    return status;
}

static void say_lines(const args *a, const wm_buf *lines)
{
    for (const char *p = lines->data, *end; p && (end = strchr(p, '\n')); p = end + 1)
        say_hint(a, "%.*s", (int)(end - p), p);
}

int verb_salon_set(const args *a)
{
    wm_settings settings;
    wm_book *book = NULL;
    wm_buf understood = { 0 };
    wm_error err;
    char key[64];
    const char *value = NULL;
    char spoken[300]; /* "salon set row_fee 120" */
    bool two_words = a->operand_count == 2 && !strchr(a->operands[0], '=') && !strchr(a->operands[1], '=');
    snprintf(spoken, sizeof spoken, "%s=%s", a->operands[0], two_words ? a->operands[1] : "");
    const char *const one = spoken, *const *assignments = two_words ? &one : a->operands;
    const size_t count = two_words ? 1 : a->operand_count;
    wm_status status = WM_OK;
    if (context_settings(&settings, a, &err)) /* what the book holds may be what is to be put right */
        settings = wm_settings_default();
    for (size_t i = 0; i < count && !status; i++)
        status = check_assignment(key, &value, &settings, assignments[i], &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status)
        status = wm_book_begin(book, &err);
    bool begun = !status;
    for (size_t i = 0; i < count && !status; i++) {
        status = check_assignment(key, &value, &settings, assignments[i], &err);
        if (!status)
            status = keep(&understood, book, &settings, key, &err);
    }
    if (begun)
        status = wm_book_end(book, status, &err);
    wm_book_close(book);
    if (!status)
        say_lines(a, &understood);
    wm_buf_free(&understood);
    return status ? say_error(&err) : 0;
}

/* --- learn --- */

static void text_light(wm_buf *out, const wm_learned_light *light, const wm_settings *settings)
{
    char a[40], b[40], c[40];
    wm_buf_text(out, "Finished rows against what was expected of them\n");
    if (!light->known) {
        wm_buf_format(
            out,
            "  %zu zone%s of %zu visit%s so far; it takes %d of two. After the work photograph her as before, then\n"
            "  weftmatch visit set ID --after PHOTO --zones FILE\n",
            light->zones, light->zones == 1 ? "" : "s", light->visits, light->visits == 1 ? "" : "s", WM_LEARN_ZONES);
        return;
    }
    wm_buf_format(out, "  %zu zones of %zu visits: dE00 %s on average; ", light->zones, light->visits,
                  wm_number_text(a, light->de00, 1));
    wm_buf_format(out, "%s by L* %s +- %s\n", light->dL < 0 ? "they came out darker" : "they came out lighter",
                  wm_number_text(a, fabs(light->dL), 1), wm_number_text(b, light->u_dL, 1));
    wm_buf_format(out, "  blend_g %s to %s would have told best", wm_number_text(a, light->g_low, 2),
                  wm_number_text(b, light->g_high, 2));
    wm_buf_format(out, "; it is %s now\n", wm_number_text(c, settings->blend_g, 2));
    if (light->other_law)
        wm_buf_format(out, "  to use it: weftmatch salon set blend_g=%s\n", wm_number_text(a, light->g, 2));
}

static void text_limits(wm_buf *out, const wm_learned_limits *limits, const wm_settings *settings)
{
    char a[40], b[40];
    wm_buf_text(out, "\nHow near is near enough for you\n");
    wm_buf_format(out, "  proposals that you sewed: %zu, that you did otherwise: %zu\n", limits->taken, limits->left);
    if (!limits->known) {
        wm_buf_format(out, "  too few to say more; it takes %d that you sewed\n", WM_LEARN_VISITS);
        return;
    }
    wm_buf_format(out, "  nine of ten that you sewed were expected within dE00 %s",
                  wm_number_text(a, limits->taken_90, 1));
    if (limits->left_median >= 0)
        wm_buf_format(out, "; half of those that you left within %s", wm_number_text(b, limits->left_median, 1));
    wm_buf_format(out, "\n  close is up to %s now (verdict)\n", wm_number_text(b, settings->verdict.close, 1));
}

static void text_avoided(wm_buf *out, const wm_learning *l)
{
    if (l->avoided_count)
        wm_buf_text(out, "\nShades that you seldom take\n");
    for (size_t i = 0; i < l->avoided_count; i++)
        wm_buf_format(out, "  %s: proposed %zu times, sewn %zu\n", l->avoided[i].code, l->avoided[i].proposed,
                      l->avoided[i].taken);
    if (l->avoided_count)
        wm_buf_format(out, "  to have one left out of proposals: weftmatch salon set avoided_shades=%s\n",
                      l->avoided[0].code);
}

static void json_learning(wm_buf *out, const wm_learning *l)
{
    const wm_learned_light *light = &l->light;
    wm_buf_format(out, "{\"format\":1,\"visits\":%zu,\"light\":{\"visits\":%zu,\"zones\":%zu", l->visits, light->visits,
                  light->zones);
    wm_buf_json_number(out, ",\"de00\":", light->zones > 0, light->de00, 4);
    wm_buf_json_number(out, ",\"d_lightness\":", light->known, light->dL, 4);
    wm_buf_json_number(out, ",\"u_d_lightness\":", light->known, light->u_dL, 4);
    wm_buf_json_number(out, ",\"blend_g\":", light->known, light->g, 4);
    wm_buf_json_number(out, ",\"blend_g_low\":", light->known, light->g_low, 4);
    wm_buf_json_number(out, ",\"blend_g_high\":", light->known, light->g_high, 4);
    wm_buf_format(out, ",\"other_law\":%s},\"limits\":{\"taken\":%zu,\"left\":%zu", light->other_law ? "true" : "false",
                  l->limits.taken, l->limits.left);
    wm_buf_json_number(out, ",\"taken_90\":", l->limits.known, l->limits.taken_90, 4);
    wm_buf_json_number(out, ",\"left_median\":", l->limits.left_median >= 0, l->limits.left_median, 4);
    wm_buf_text(out, "},\"avoided\":[");
    for (size_t i = 0; i < l->avoided_count; i++) {
        wm_buf_text(out, i ? ",{\"code\":" : "{\"code\":");
        wm_buf_json_string(out, l->avoided[i].code);
        wm_buf_format(out, ",\"proposed\":%zu,\"taken\":%zu}", l->avoided[i].proposed, l->avoided[i].taken);
    }
    wm_buf_text(out, "]}\n");
}

int verb_salon_learn(const args *a)
{
    wm_settings settings;
    wm_learning learning = { 0 };
    wm_book *book = NULL;
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_settings_load(&settings, book, &err);
    if (!status)
        status = wm_learning_of(&learning, book, &settings, &err);
    wm_book_close(book);
    if (!status && args_has(a, "json"))
        json_learning(&out, &learning);
    else if (!status) {
        text_light(&out, &learning.light, &settings);
        text_limits(&out, &learning.limits, &settings);
        text_avoided(&out, &learning);
    }
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_learning_free(&learning);
    wm_buf_free(&out);
    return code;
}

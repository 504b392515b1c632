#include <stdio.h>
#include <string.h>

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

int verb_salon_set(const args *a)
{
    wm_settings settings = wm_settings_default();
    wm_book *book = NULL;
    wm_error err;
    char key[64];
    const char *value = NULL;
    char spoken[300]; /* "salon set row_fee 120" */
    bool two_words = a->operand_count == 2 && !strchr(a->operands[0], '=') && !strchr(a->operands[1], '=');
    snprintf(spoken, sizeof spoken, "%s=%s", a->operands[0], two_words ? a->operands[1] : "");
    const char *const one = spoken, *const *assignments = two_words ? &one : a->operands;
    const size_t count = two_words ? 1 : a->operand_count;
    wm_status status = WM_OK;
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
            status = wm_book_setting_set(book, key, value, &err);
    }
    if (begun)
        status = wm_book_end(book, status, &err);
    wm_book_close(book);
    return status ? say_error(&err) : 0;
}

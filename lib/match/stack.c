#include "match/stack.h"

#include <stdio.h>
#include <string.h>

#include "match/shades.h"

enum { MOST_SHADES = 2 }; /* that one row is sewn from */

bool wm_stack_add(wm_stack *stack, const char *code)
{
    size_t length = strlen(code);
    if (stack->count == WM_MAX_LAYERS || length == 0 || length >= WM_CODE_SIZE)
        return false;
    wm_layer *layer = &stack->layers[stack->count++];
    *layer = (wm_layer){ .pieces = 0 };
    memcpy(layer->code, code, length + 1);
    return true;
}

/* A list is written with commas, for people with " / "; codes may hold a slash, and within a list of slashes a comma.
 */
static const char *separator_of(const char *text)
{
    return *text != '"' && strstr(text, " / ") ? " / " : ",";
}

/* Around an unquoted code blanks don't count. */
static bool needs_quotes(const char *code)
{
    const size_t length = strlen(code);
    return *code == '"' || *code == ' ' || (length && code[length - 1] == ' ') || strchr(code, ',');
}

/* A list that holds " / " is one of commas only where it begins with a quote. */
static bool holds_slash(const wm_stack *stack)
{
    for (size_t i = 0; i < stack->count; i++)
        if (strstr(stack->layers[i].code, " / "))
            return true;
    return false;
}

/* The code that the text begins with, to the separator or its closing quote; returns what follows, NULL when it is no
 * code. */
static const char *take_code(char code[WM_CODE_SIZE], const char *text, const char *between)
{
    bool quoted = *text == '"', closed = !quoted;
    size_t length = 0;
    const char *p = text + quoted;
    for (; *p; p++) {
        if (quoted ? *p == '"' && *++p != '"' : strncmp(p, between, strlen(between)) == 0) {
            closed = true;
            break;
        }
        if (length + 1 == WM_CODE_SIZE)
            return NULL;
        code[length++] = *p;
    }
    code[length] = '\0';
    return closed ? p : NULL;
}

/* Without blanks around it, in place. */
static const char *trim(char *code)
{
    size_t length = strlen(code);
    const size_t blank = strspn(code, " ");
    while (length > blank && code[length - 1] == ' ')
        length--;
    memmove(code, code + blank, length - blank);
    code[length - blank] = '\0';
    return code;
}

static wm_status not_codes(const char *text, wm_error *err)
{
    return wm_fail(err, WM_E_USAGE, "'%s' is not a list of codes; write CODE,CODE,CODE, front first", text);
}

static wm_status too_many(const char *text, wm_error *err)
{
    return wm_fail(err, WM_E_USAGE, "a row has at most %d layers, '%s' names more; leave one out", WM_MAX_LAYERS, text);
}

wm_status wm_stack_parse(wm_stack *out, const char *text, wm_error *err)
{
    wm_stack stack = { .count = 0 };
    const char *between = separator_of(text);
    bool more = true;
    for (const char *p = text; more;) {
        char code[WM_CODE_SIZE];
        if (stack.count == WM_MAX_LAYERS)
            return too_many(text, err);
        const bool quoted = *p == '"';
        p = take_code(code, p, between);
        if (p && !quoted)
            trim(code);
        more = p && *p;
        if (!p || (more && strncmp(p, between, strlen(between)) != 0) || !wm_stack_add(&stack, code))
            return not_codes(text, err);
        p += more ? strlen(between) : 0;
    }
    *out = stack;
    return WM_OK;
}

static int write_code(char *out, size_t size, const char *code, bool quotes)
{
    char quoted[2 * WM_CODE_SIZE + 2];
    size_t n = 0;
    if (!quotes)
        return snprintf(out, size, "%s", code);
    quoted[n++] = '"';
    for (const char *p = code; *p; p++) {
        if (*p == '"')
            quoted[n++] = '"';
        quoted[n++] = *p;
    }
    quoted[n++] = '"';
    quoted[n] = '\0';
    return snprintf(out, size, "%s", quoted);
}

const char *wm_stack_text(char out[WM_STACK_TEXT_SIZE], const wm_stack *stack, const char *between)
{
    const bool list = strcmp(between, ",") == 0, all = list && holds_slash(stack); /* a list is read again */
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < stack->count && used < WM_STACK_TEXT_SIZE; i++) {
        const wm_layer *layer = &stack->layers[i];
        used += (size_t)snprintf(out + used, WM_STACK_TEXT_SIZE - used, "%s", i ? between : "");
        if (used < WM_STACK_TEXT_SIZE)
            used += (size_t)write_code(out + used, WM_STACK_TEXT_SIZE - used, layer->code,
                                       all || (list && needs_quotes(layer->code)));
        if (*layer->second && used < WM_STACK_TEXT_SIZE)
            used += (size_t)snprintf(out + used, WM_STACK_TEXT_SIZE - used, " with %s in %d piece%s", layer->second,
                                     layer->pieces, layer->pieces == 1 ? "" : "s");
    }
    return out;
}

bool wm_stack_has_layer(const wm_stack *stack, const char *code)
{
    for (size_t i = 0; i < stack->count; i++)
        if (strcmp(stack->layers[i].code, code) == 0)
            return true;
    return false;
}

static size_t add_code(const char *codes[2 * WM_MAX_LAYERS], size_t count, const char *code)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(codes[i], code) == 0)
            return count;
    codes[count] = code;
    return count + 1;
}

size_t wm_stack_shades(const char *out[2 * WM_MAX_LAYERS], const wm_stack *stack)
{
    size_t count = 0;
    for (size_t i = 0; i < stack->count; i++) {
        count = add_code(out, count, stack->layers[i].code);
        if (*stack->layers[i].second)
            count = add_code(out, count, stack->layers[i].second);
    }
    return count;
}

wm_status wm_stack_swatches(const wm_swatch *out[WM_MAX_LAYERS], const wm_stack *stack, const wm_catalogue *catalogue,
                            wm_error *err)
{
    const wm_swatch *found[WM_MAX_LAYERS] = { NULL };
    const char *codes[2 * WM_MAX_LAYERS];
    char text[WM_STACK_TEXT_SIZE];
    size_t count = wm_stack_shades(codes, stack);
    for (size_t i = 0; i < count; i++) {
        const wm_swatch *shade = NULL;
        wm_status status = wm_catalogue_shade(&shade, catalogue, codes[i], err);
        if (status)
            return status;
        for (size_t k = 0; k < stack->count; k++)
            if (strcmp(stack->layers[k].code, codes[i]) == 0)
                found[k] = shade;
    }
    if (count > MOST_SHADES)
        return wm_fail(err, WM_E_USAGE, "a row is sewn from at most two shades, '%s' names three; leave one out",
                       wm_stack_text(text, stack, ","));
    memcpy(out, found, sizeof found);
    return WM_OK;
}

/* The parts between slashes, how many there are; 0 when one is empty or the catalogue knows none of them. */
static size_t split(wm_stack *out, const char *whole, const wm_catalogue *catalogue)
{
    size_t count = 0, known = 0;
    for (const char *p = whole; p; count++) {
        char code[WM_CODE_SIZE];
        const size_t length = strcspn(p, "/");
        snprintf(code, sizeof code, "%.*s", (int)length, p);
        if (!*trim(code))
            return 0;
        known += wm_catalogue_find(catalogue, code) != NULL;
        if (count < WM_MAX_LAYERS)
            wm_stack_add(out, code);
        p = p[length] ? p + length + 1 : NULL;
    }
    return known ? count : 0;
}

wm_status wm_stack_parse_known(wm_stack *out, const char *text, const wm_catalogue *catalogue, wm_error *err)
{
    wm_stack stack, parts = { .count = 0 };
    size_t count = 0;
    wm_status status = wm_stack_parse(&stack, text, err);
    if (status)
        return status;
    if (stack.count == 1 && strchr(stack.layers[0].code, '/') && !wm_catalogue_find(catalogue, stack.layers[0].code))
        count = split(&parts, stack.layers[0].code, catalogue);
    if (count > WM_MAX_LAYERS)
        return too_many(text, err);
    *out = count ? parts : stack;
    return WM_OK;
}

#include "layers.h"

#include <string.h>

#include "match/shades.h"

wm_status layer_find(const wm_swatch **out, const wm_catalogue *catalogue, const char *code, wm_error *err)
{
    const wm_swatch *found = wm_catalogue_find(catalogue, code);
    const char *near = found ? NULL : wm_catalogue_near_miss(catalogue, code);
    if (!found && near)
        return wm_fail(err, WM_E_INPUT, "the catalogue has no shade '%s'; did you mean '%s'?", code, near);
    if (!found)
        return wm_fail(err, WM_E_INPUT, "the catalogue has no shade '%s'; see weftmatch swatch list", code);
    *out = found;
    return WM_OK;
}

static size_t shades_among(const layer_list *list)
{
    size_t n = 0;
    for (size_t i = 0; i < list->count; i++) {
        size_t k = 0;
        while (k < i && strcmp(list->shades[k]->code, list->shades[i]->code) != 0)
            k++;
        n += k == i;
    }
    return n;
}

wm_status layers_read(layer_list *out, const wm_catalogue *catalogue, const char *text, wm_error *err)
{
    layer_list list = { .count = 0 };
    for (const char *p = text; p; list.count++) {
        char code[WM_CODE_SIZE];
        size_t length = strcspn(p, ",");
        if (list.count == WM_MAX_LAYERS)
            return wm_fail(err, WM_E_USAGE, "a row has at most %d layers, '%s' names more; leave one out",
                           WM_MAX_LAYERS, text);
        if (length == 0 || length >= sizeof code)
            return wm_fail(err, WM_E_USAGE, "'%s' is no list of codes; write CODE,CODE,CODE, front first", text);
        memcpy(code, p, length);
        code[length] = '\0';
        wm_status status = layer_find(&list.shades[list.count], catalogue, code, err);
        if (status)
            return status;
        p = p[length] ? p + length + 1 : NULL;
    }
    if (shades_among(&list) > 2)
        return wm_fail(err, WM_E_USAGE, "a row is sewn from at most two shades, '%s' names three; leave one out", text);
    *out = list;
    return WM_OK;
}

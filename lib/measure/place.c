#include "measure/place.h"

const char *const WM_PLACE_WORDS[] = { "", "side", "back", "crown", "nape", NULL };

const char *wm_place_name(wm_place place)
{
    return wm_word_of(WM_PLACE_WORDS, place);
}

bool wm_place_parse(const char *text, wm_place *out)
{
    unsigned value = WM_PLACE_BY_KIND;
    bool found = wm_word_find(WM_PLACE_WORDS, text, &value) && value != WM_PLACE_BY_KIND;
    if (found)
        *out = (wm_place)value;
    return found;
}

#include "measure/place.h"

#include <string.h>

static const char *const names[] = { "", "side", "back", "crown", "nape" };

const char *wm_place_name(wm_place place)
{
    return names[place];
}

bool wm_place_parse(const char *text, wm_place *out)
{
    for (wm_place place = WM_PLACE_SIDE; place <= WM_PLACE_NAPE; place++)
        if (text && strcmp(text, names[place]) == 0) {
            *out = place;
            return true;
        }
    return false;
}

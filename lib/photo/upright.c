#include "photo/upright.h"

bool wm_upright_swapped(wm_upright how)
{
    return how.orientation >= 5;
}

static bool turned_x(wm_upright how)
{
    return how.orientation == 2 || how.orientation == 3 || how.orientation == 7 || how.orientation == 8;
}

static bool turned_y(wm_upright how)
{
    return how.orientation == 3 || how.orientation == 4 || how.orientation == 6 || how.orientation == 7;
}

size_t wm_upright_index(wm_upright how, int x, int y)
{
    int stored_x = wm_upright_swapped(how) ? y : x, stored_y = wm_upright_swapped(how) ? x : y;
    if (turned_x(how))
        stored_x = how.width - 1 - stored_x;
    if (turned_y(how))
        stored_y = how.height - 1 - stored_y;
    return (size_t)stored_y * (size_t)how.width + (size_t)stored_x;
}

wm_pixel_run wm_upright_run(wm_upright how, int x, int y, int count)
{
    size_t at = wm_upright_index(how, x, y);
    wm_pixel_run run = { (int)(at % (size_t)how.width), (int)(at / (size_t)how.width), 0, 0, count };
    if (wm_upright_swapped(how))
        run.step_y = turned_y(how) ? -1 : 1;
    else
        run.step_x = turned_x(how) ? -1 : 1;
    return run;
}

wm_box wm_upright_box(wm_upright how, wm_box box)
{
    wm_box stored = box;
    if (wm_upright_swapped(how))
        stored = (wm_box){ box.y, box.x, box.height, box.width };
    if (turned_x(how))
        stored.x = how.width - stored.x - stored.width;
    if (turned_y(how))
        stored.y = how.height - stored.y - stored.height;
    return stored;
}

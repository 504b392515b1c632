#include "photo/profile.h"

#include <string.h>

/* ---- What may be ---- */

static bool is_number(double value)
{
    return value > -1000.0 && value < 1000.0;
}

static bool name_sound(const char *name, size_t room)
{
    size_t length = strnlen(name, room);
    for (size_t i = 0; i < length; i++)
        if (name[i] < 32 || name[i] > 126)
            return false;
    return length > 0 && length < room;
}

static bool grid_sound(const wm_profile *profile)
{
    size_t n = (size_t)profile->grid;
    bool sound = true;
    for (size_t c = 0; c < 3; c++)
        for (size_t i = 0; sound && i < WM_PROFILE_ENTRIES; i++)
            sound = profile->curve[c][i] >= 0.0 && profile->curve[c][i] <= 1.0;
    for (size_t i = 0; sound && i < n * n * n; i++)
        sound = is_number((double)profile->node[i][0]) && is_number((double)profile->node[i][1]) &&
                is_number((double)profile->node[i][2]);
    return sound;
}

/* From another process anything may stand where a truth value should. */
static bool truth_sound(const bool *value)
{
    unsigned char byte;
    memcpy(&byte, value, 1);
    return byte <= 1;
}

bool wm_profile_sound(const wm_profile *profile)
{
    bool sound = truth_sound(&profile->assumed) && truth_sound(&profile->gray) &&
                 name_sound(profile->name, sizeof profile->name) && profile->grid >= 0 && profile->grid != 1 &&
                 profile->grid <= WM_PROFILE_GRID;
    if (sound && profile->grid > 0)
        return grid_sound(profile);
    for (size_t c = 0; sound && c < 3; c++)
        for (size_t i = 0; sound && i < WM_PROFILE_ENTRIES; i++) {
            const wm_rgb *entry = &profile->table[c][i];
            sound = is_number(entry->r) && is_number(entry->g) && is_number(entry->b);
        }
    return sound;
}

/* ---- Tables ---- */

static double within(double encoded)
{
    return encoded > 0.0 ? (encoded < 1.0 ? encoded : 1.0) : 0.0; /* NaN is 0 */
}

/* A channel's part at 0..1, on the line between two entries. */
static void add_part(wm_rgb *sum, const wm_rgb *part, double encoded)
{
    double at = within(encoded) * WM_PROFILE_STEPS;
    int below = at < WM_PROFILE_STEPS ? (int)at : WM_PROFILE_STEPS - 1;
    double above = at - below;
    const wm_rgb *a = part + below, *b = a + 1;
    sum->r += a->r + above * (b->r - a->r);
    sum->g += a->g + above * (b->g - a->g);
    sum->b += a->b + above * (b->b - a->b);
}

/* ---- Grids ---- */

/* Where a value lies along one axis: after which node, how far, and how far away the next node is stored. */
typedef struct axis {
    double part;
    size_t step;
} axis;

static void order_two(axis *a, axis *b)
{
    if (a->part >= b->part)
        return;
    axis kept = *a;
    *a = *b;
    *b = kept;
}

/* Where a channel value lies along its axis, 0 to 1. */
static double through_curve(const double *curve, double encoded)
{
    double at = within(encoded) * WM_PROFILE_STEPS;
    int below = at < WM_PROFILE_STEPS ? (int)at : WM_PROFILE_STEPS - 1;
    return curve[below] + (at - below) * (curve[below + 1] - curve[below]);
}

/* From node to node along the axes, the farthest-gone first: the corners of the tetrahedron that holds the colour. */
static wm_rgb of_grid(const wm_profile *profile, const double *encoded)
{
    size_t n = (size_t)profile->grid, stride[3] = { n * n, n, 1 }, at = 0;
    axis axes[3];
    for (int i = 0; i < 3; i++) {
        double place = within(through_curve(profile->curve[i], encoded[i])) * (profile->grid - 1);
        size_t below = place < profile->grid - 1 ? (size_t)place : n - 2;
        axes[i] = (axis){ place - (double)below, stride[i] };
        at += below * stride[i];
    }
    order_two(&axes[0], &axes[1]);
    order_two(&axes[1], &axes[2]);
    order_two(&axes[0], &axes[1]);
    double lab[3];
    for (int c = 0; c < 3; c++)
        lab[c] = profile->node[at][c];
    for (int i = 0; i < 3; i++) {
        const float *from = profile->node[at], *to = profile->node[at += axes[i].step];
        for (int c = 0; c < 3; c++)
            lab[c] += axes[i].part * ((double)to[c] - (double)from[c]);
    }
    return wm_lab_to_rgb((wm_lab){ lab[0], lab[1], lab[2] });
}

/* ---- Colours ---- */

void wm_profile_to_linear(const wm_profile *profile, wm_rgb *out, const double *encoded, size_t count)
{
    for (size_t i = 0; i < count; i++, encoded += 3) {
        wm_rgb sum = { 0, 0, 0 };
        for (size_t channel = 0; channel < 3 && profile->grid == 0; channel++)
            add_part(&sum, profile->table[channel], encoded[channel]);
        out[i] = profile->grid == 0 ? sum : of_grid(profile, encoded);
    }
}

static size_t nearest_entry(unsigned code)
{
    return (code * WM_PROFILE_STEPS + 32767u) / 65535u;
}

void wm_profile_sketch(const wm_profile *profile, wm_rgb *out, const uint16_t *codes, size_t count)
{
    for (size_t i = 0; i < count; i++, codes += 3) {
        if (profile->grid > 0) {
            double encoded[3] = { codes[0] / 65535.0, codes[1] / 65535.0, codes[2] / 65535.0 };
            out[i] = of_grid(profile, encoded);
            continue;
        }
        const wm_rgb *r = &profile->table[0][nearest_entry(codes[0])], *g = &profile->table[1][nearest_entry(codes[1])],
                     *b = &profile->table[2][nearest_entry(codes[2])];
        out[i] = (wm_rgb){ r->r + g->r + b->r, r->g + g->g + b->g, r->b + g->b + b->b };
    }
}

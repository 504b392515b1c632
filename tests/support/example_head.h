/* example_head: zones of an invented head, dark hair with gray in it, as the measurement would hand them to the
 * decision. */
#ifndef SUPPORT_EXAMPLE_HEAD_H
#define SUPPORT_EXAMPLE_HEAD_H

#include <stdio.h>

#include "match/head.h"

static const wm_lab BASE = { 28, 6, 11 }, GRAY = { 66, 1.3, 7 };

/** What base and gray give when `share` of the hair is gray: mixed in the cones, as the eye takes it from afar. */
static inline wm_lab blended(wm_lab base, wm_lab gray, double share)
{
    wm_cone b = wm_lab_to_cone(base), g = wm_lab_to_cone(gray);
    for (int c = 0; c < 3; c++)
        b.c[c] = (1 - share) * b.c[c] + share * g.c[c];
    return wm_cone_to_lab(b);
}

static inline wm_head_zone zone_in(wm_lab base, wm_lab gray, wm_zone_kind kind, const char *name, double share)
{
    wm_head_zone zone = { .kind = kind,
                          .lab = blended(base, gray, share),
                          .sigma = { 1.25, 0.75, 0.85 },
                          .u_de00 = 1.2,
                          .has_share = true,
                          .share = share,
                          .u_share = 0.06,
                          .has_base = share > 0,
                          .has_gray = share > 0,
                          .base = base,
                          .gray = gray };
    snprintf(zone.name, sizeof zone.name, "%s", name);
    return zone;
}

/** A zone of BASE and GRAY. */
static inline wm_head_zone zone_of(wm_zone_kind kind, const char *name, double share)
{
    return zone_in(BASE, GRAY, kind, name, share);
}

#endif

#include "match/bead.h"

#include <math.h>
#include <string.h>

#include "colour/difference.h"

static const double GRAY_AT_ROOT = 0.5; /* M34 */

/* The first root zone, else the first zone. */
static const wm_drawn_zone *zone_of(const wm_drawn_head *head)
{
    for (size_t i = 0; i < head->zone_count; i++)
        if (head->zones[i].kind == WM_ZONE_ROOT)
            return &head->zones[i];
    return &head->zones[0];
}

wm_bead wm_bead_of(const wm_drawn_head *head, const wm_swatch *const *beads, size_t count)
{
    const wm_drawn_zone *zone = zone_of(head);
    wm_bead bead = { .to_gray = head->has_gray && zone->share[0] >= GRAY_AT_ROOT };
    bead.wanted = wm_cone_to_lab(bead.to_gray ? head->gray[0] : zone->base[0]);
    memcpy(bead.zone, zone->name, sizeof bead.zone);
    for (size_t i = 0; i < count; i++) {
        double de00 = wm_de00(bead.wanted, beads[i]->lab), tenths = rint(de00 * 10), best = rint(bead.de00 * 10);
        bool equal = !(tenths < best) && !(tenths > best);
        if (bead.swatch && !(tenths < best) && !(equal && wm_swatch_order(beads[i], bead.swatch) < 0))
            continue;
        bead.swatch = beads[i];
        bead.de00 = de00;
    }
    return bead;
}

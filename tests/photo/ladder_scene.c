#include "photo/ladder_scene.h"

#include <stdio.h>

enum { BASES = 8, FIBRES = 3 };
static const char *const BASE_NAMES[BASES] = { "ink", "soot", "umber", "bark", "moth", "clay", "hull", "straw" };
static const char *const HARD_BASES[BASES] = { "bark", "umber", "rust", "umber", "peat", "bark", "acorn", "soot" };
static const double FIBRE_PIXELS[FIBRES] = { 1.0, 1.4, 2.0 };

/* Burnt out gray, contrast, and hair without blue take turns, so that some scenes have all three. */
static void hard_options(char *out, size_t size, int i)
{
    static const double EXPOSURES[] = { 0.26, 0.13 }, CONTRASTS[] = { 0.3, 0.6, 0 };
    snprintf(out, size, " exposure=%.2f contrast=%.1f base=%s%s", EXPOSURES[i % 2], CONTRASTS[i % 3],
             HARD_BASES[i % BASES], i % 4 == 1 ? " ph=9" : "");
}

void ladder_scene(char *out, size_t size, int i, int condition, int width)
{
    static const double SHARES[] = { 0, 0.1, 0.3, 0.5, 0.8 }, SHEENS[] = { 0.5, 1, 1.5 }, SPREADS[] = { 0, 0.18, 0.06 };
    const double temple = SHARES[i % 5];
    const int used = snprintf(
        out, size,
        "seed=%d client=%d camera=%d cct=%d look=%s base=%s gray_temple=%.2f gray_root=%.2f sheen=%.1f fibre=%.1f spread=%.2f "
        "profile=%s width=%d height=%d swatches=zones card=gray target=1 catalogue=30 catalogue_seed=%d catalogue_error=0.4",
        100 + i, 200 + i, 300 + i, 5000 + 400 * (i % 9), i % 3 == 2 ? "harsh" : "well", BASE_NAMES[i % BASES], temple,
        temple / 3, SHEENS[i % 3], FIBRE_PIXELS[i / BASES % FIBRES], SPREADS[condition], i % 4 == 1 ? "p3" : "srgb",
        width, width * 3 / 4, 1 + i % 5);
    if (condition == HARD)
        hard_options(out + used, size - (size_t)used, i);
}

const char *ladder_base(int i, int condition)
{
    return (condition == HARD ? HARD_BASES : BASE_NAMES)[i % BASES];
}

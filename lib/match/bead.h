/* bead: the shade of the beads (M34): they sit at the root, between her hairs there. */
#ifndef WM_MATCH_BEAD_H
#define WM_MATCH_BEAD_H

#include "match/head.h"
#include "match/shades.h"

typedef struct wm_bead {
    const wm_swatch *swatch; /**< NULL: the catalogue has none */
    bool to_gray;            /**< matched to her gray: half of the hair there is */
    char zone[WM_HEAD_NAME_SIZE];
    wm_lab wanted;
    double de00;
} wm_bead;
/** The nearest by M5's order. */
wm_bead wm_bead_of(const wm_drawn_head *head, const wm_swatch *const *beads, size_t count);

#endif

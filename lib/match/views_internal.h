/* The parts of a view, for the search, which must see what wm_views_of sees to the last bit. */
#ifndef WM_MATCH_VIEWS_INTERNAL_H
#define WM_MATCH_VIEWS_INTERNAL_H

#include "match/views.h"

/** A whole layer of one shade: all that does not depend on its neighbours. */
typedef struct wm_ply {
    wm_cone colour;    /**< clamped (B1) */
    double z[3];       /**< B2 */
    double R[3], T[3]; /**< B13 */
    double tau;
} wm_ply;
wm_ply wm_ply_of(const wm_swatch *swatch, const wm_hair_law *law);
wm_cone wm_pile_of(wm_lab pile);

/** B14, one channel. */
static inline double wm_ply_over(const wm_ply *front, int channel, double behind)
{
    return wm_layer_over(front->R[channel], front->T[channel], behind);
}

/** B19: edge of a stack in which two shades together are tau_a and tau_b thick; the colour itself when tau_b is 0. */
wm_cone wm_edge_of(const wm_ply *a, double tau_a, const wm_ply *b, double tau_b, const wm_hair_law *law);

/** M11 without the edge, one channel: intact and front layer moved away. */
static inline double wm_face_of(const wm_view_weights *weights, double intact, double moved)
{
    return weights->intact * intact + weights->moved * moved;
}

#endif

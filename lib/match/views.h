/* views: one sewn stack seen worn down and lifted (M11; B17 to B19). */
#ifndef WM_MATCH_VIEWS_H
#define WM_MATCH_VIEWS_H

#include "match/mixing.h"
#include "match/swatch.h"

enum { WM_MAX_LAYERS = 3 };

typedef struct wm_views {
    wm_lab down, up;               /**< area means: as worn; the same stack from beneath, hair up */
    wm_lab intact, moved, edge;    /**< single colours of the down side: shown, not judged */
} wm_views;

typedef struct wm_view_weights { double intact, moved, edge; } wm_view_weights;
#define WM_VIEW_WEIGHTS_DEFAULT { 0.80, 0.15, 0.05 } /**< the setting area_weights */

/** What is needed to see a stack. */
typedef struct wm_sight {
    wm_hair_law law;
    wm_view_weights weights;
    wm_lab pile;                   /**< behind the last layer */
} wm_sight;

/** Layers front first, 1 to 3. Three different shades (which no search proposes) take B19's fineness from the front one against the rest. */
WM_API wm_views wm_views_of(const wm_swatch *const *layers, size_t count, const wm_sight *sight);

/* ---- the parts, for the search, which must see what wm_views_of sees to the last bit ---- */

/** A whole layer of one shade: all that does not depend on its neighbours. */
typedef struct wm_ply {
    wm_cone colour;                /**< clamped (B1) */
    double z[3];                   /**< B2 */
    double R[3], T[3];             /**< B13 */
    double tau;
} wm_ply;
wm_ply wm_ply_of(const wm_swatch *swatch, const wm_hair_law *law);
wm_cone wm_pile_of(wm_lab pile);

/** B14, one channel. */
static inline double wm_ply_over(const wm_ply *front, int channel, double behind)
{
    return front->R[channel] + front->T[channel] * front->T[channel] * behind / (1 - front->R[channel] * behind);
}

/** B19: edge of a stack in which two shades together are tau_a and tau_b thick; the colour itself when tau_b is 0. */
wm_cone wm_edge_of(const wm_ply *a, double tau_a, const wm_ply *b, double tau_b, const wm_hair_law *law);

/** M11 without the edge, one channel: intact and front layer moved away. */
static inline double wm_face_of(const wm_view_weights *weights, double intact, double moved)
{
    return weights->intact * intact + weights->moved * moved;
}

#endif

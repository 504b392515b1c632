/* views: one sewn stack seen worn down and lifted (M11; B17 to B19). */
#ifndef WM_MATCH_VIEWS_H
#define WM_MATCH_VIEWS_H

#include "match/mixing.h"
#include "match/stack.h"

typedef enum wm_worn { WM_WORN_BOTH, WM_WORN_DOWN, WM_WORN_UP } wm_worn; /**< which views count */
extern const char *const WM_WORN_WORDS[];                                /**< "both", "down", "up" */
bool wm_worn_parse(const char *text, wm_worn *out);                      /**< false and untouched for any other word */

typedef struct wm_views {
    wm_lab down, up;            /**< area means: as worn; the same stack from beneath, hair up */
    wm_lab intact, moved, edge; /**< single colours of the down side: shown, not judged */
} wm_views;

typedef struct wm_view_weights {
    double intact, moved, edge;
} wm_view_weights;
#define WM_INTACT_AREA 0.80 /* M11 */
#define WM_MOVED_AREA 0.15  /* M11 */
#define WM_EDGE_AREA 0.05   /* M11 */
#define WM_VIEW_WEIGHTS_DEFAULT                                                                                        \
    {                                                                                                                  \
        WM_INTACT_AREA, WM_MOVED_AREA, WM_EDGE_AREA                                                                    \
    } /**< the setting area_weights */

/** What is needed to see a stack. */
typedef struct wm_sight {
    wm_hair_law law;
    wm_view_weights weights;
    wm_lab behind; /**< behind the last layer */
} wm_sight;

/** Layers front first, 1 to 3. Three different shades (which no search proposes) take B19's fineness from the front one
 * against the rest. */
wm_views wm_views_of(const wm_swatch *const *layers, size_t count, const wm_sight *sight);

#endif

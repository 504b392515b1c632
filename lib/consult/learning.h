/* learning: what the salon's own visits say about her hands: by how much finished rows differ from what was expected
 * and which law of light would have told better (B12), how near is near enough for her, and shades that she never
 * takes. Nothing is changed by it: the settings are hers. */
#ifndef WM_CONSULT_LEARNING_H
#define WM_CONSULT_LEARNING_H

#include "book/book.h"
#include "consult/settings.h"

/** Too little to say anything below these (our own). */
enum { WM_LEARN_ZONES = 6, WM_LEARN_VISITS = 8, WM_LEARN_PROPOSED = 4 };

/** Finished rows, as they were measured on photos after, against what was expected of them. */
typedef struct wm_learned_light {
    size_t visits, zones;    /**< sewn as proposed, and measured */
    bool known;              /**< WM_LEARN_ZONES of two visits at least */
    double dL, u_dL;         /**< measured less expected; u from how they scatter */
    double de00;             /**< mean */
    double g, g_low, g_high; /**< that would have told best, and as well within their scatter */
    bool other_law;          /**< the setting blend_g lies outside */
} wm_learned_light;

/** How near is near enough: the proposal's expected dE00 where she sewed it, and where she sewed something else. */
typedef struct wm_learned_limits {
    size_t taken, left;
    bool known;                   /**< WM_LEARN_VISITS taken */
    double taken_90, left_median; /**< nine of ten that she took are nearer; negative: none was left */
} wm_learned_limits;

/** A shade that was proposed often and sewn seldom. */
typedef struct wm_learned_shade {
    char code[WM_CODE_SIZE];
    size_t proposed, taken; /**< visits where something was sewn */
} wm_learned_shade;

typedef struct wm_learning {
    size_t visits; /**< at which something was sewn */
    wm_learned_light light;
    wm_learned_limits limits;
    wm_learned_shade
        *avoided; /**< proposed WM_LEARN_PROPOSED times and taken at most once in four; most proposed first */
    size_t avoided_count;
} wm_learning;
wm_status wm_learning_of(wm_learning *out, wm_book *book, const wm_settings *settings, wm_error *err);
void wm_learning_free(wm_learning *learning);

#endif

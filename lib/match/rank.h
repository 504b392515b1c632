/* rank: distances with their parts, words and uncertainty, verdicts, order (M1 to M7). */
#ifndef WM_MATCH_RANK_H
#define WM_MATCH_RANK_H

#include "colour/difference.h"
#include "match/shades.h"
#include "measure/measured.h"
#include "measure/zone.h"

typedef enum wm_verdict { WM_VERDICT_MATCH, WM_VERDICT_CLOSE, WM_VERDICT_VISIBLE, WM_VERDICT_FAR } wm_verdict;

/** M3; the setting `verdict`. */
typedef struct wm_verdict_limits {
    double match, close, visible;
} wm_verdict_limits;
#define WM_MATCH_DE00 1.8   /* M3 */
#define WM_CLOSE_DE00 3.6   /* M3 */
#define WM_VISIBLE_DE00 7.2 /* M3 */
#define WM_VERDICT_LIMITS_DEFAULT                                                                                      \
    {                                                                                                                  \
        WM_MATCH_DE00, WM_CLOSE_DE00, WM_VISIBLE_DE00                                                                  \
    }
wm_verdict wm_verdict_of(double de00, const wm_verdict_limits *limits);
extern const char *const WM_VERDICT_WORDS[];
const char *wm_verdict_name(wm_verdict verdict); /**< "match", "close", "visible", "far" */

enum { WM_MAX_TARGETS = 64 };

/** What shades are ranked against: 1 to WM_MAX_TARGETS colours with their weights (M6). */
typedef struct wm_rank_target {
    const wm_measured *colours;
    const double *weights; /**< renormalised; NULL: all alike */
    size_t count;
} wm_rank_target;

typedef struct wm_ranked {
    const wm_swatch *swatch;
    double de00;                         /**< weighted rms over the target's colours (M6) */
    double d_lightness, d_chroma, d_hue; /**< weighted means of the parts */
    char words[WM_WORDS_SIZE];
    double u_de00; /**< M2 */
    wm_verdict verdict;
    bool tied_with_best; /**< M5 */
} wm_ranked;

/** Ranks every shade against the target. out has room for shades->count; nearest first by M5. */
void wm_rank(wm_ranked *out, const wm_shades *shades, const wm_rank_target *target, const wm_verdict_limits *limits);

/** C34: what may be said of the colour among these shades: where they come from a sheet photo, their own u takes part,
 * and of a sheet that was photographed once no more than a short list of three. */
wm_claim wm_claim_among(const wm_measured *colour, const wm_shades *shades);

/** M6 base weights by kind of zone; hangs_free: `mid` 0.4, `ends` 0.4, `root` 0.2. Missing kinds dropped and weights
 * renormalised, zones of one kind share its weight. kinds[i] of each zone in, weight[i] out; kinds other than root,
 * mid, ends get 0. */
void wm_base_weights(double *weight, const wm_zone_kind *kinds, size_t count, bool hangs_free);

#endif

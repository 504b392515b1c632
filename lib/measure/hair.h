/* hair: is this hair, and only hair (H1 to H6)? Judged from texture and colour of a zone at any level of light, no aid
 * needed. What is not hair within the zone is cut out. */
#ifndef WM_MEASURE_HAIR_H
#define WM_MEASURE_HAIR_H

#include "core/words.h"
#include "measure/sample.h"

typedef enum wm_hair_verdict {
    WM_HAIR_YES,      /**< hair */
    WM_HAIR_PARTLY,   /**< not only hair: the rest is cut out */
    WM_HAIR_DOUBTFUL, /**< cannot tell */
    WM_HAIR_NO        /**< not hair */
} wm_hair_verdict;

extern const char *const WM_HAIR_VERDICT_WORDS[];
/** "hair", "not only hair", "cannot tell", "not hair": the words of the JSON. */
const char *wm_hair_verdict_name(wm_hair_verdict verdict);

/** H4: what the zone's kept blocks show, medians unless said. */
typedef struct wm_hair_features {
    double relative, low_relative; /**< contrast at the scale of fibres: median, 20th percentile */
    double fine_to_middle, middle_to_coarse;
    double coherence, coherence_sd, wide_coherence; /**< of the direction; sd over the blocks */
    double chroma_spread, a, b;
    double ruled;         /**< 1: it comes back at one spacing across, as cloth does; 0: at none */
    double colour_excess; /**< chroma over the most that hair of this hue has */
} wm_hair_features;

typedef struct wm_hair_check {
    wm_hair_verdict verdict;
    const char *why;               /**< of doubtful and no, a static text; "" else */
    double score;                  /**< H5: above 0 like hair */
    double cut_share;              /**< of the zone */
    bool skin_cut, background_cut; /**< what was cut */
    wm_hair_features features;
} wm_hair_check;

/** Judges a window (stage 1 done) and marks what it cuts with WM_PX_SKIN and WM_PX_BACKGROUND. */
wm_status wm_hair_judge(wm_hair_check *out, wm_window *window, wm_error *err);

#endif

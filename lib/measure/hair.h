/* hair: is this hair, and only hair (H1 to H6)? Judged from texture and colour of a zone at any level of light, no aid
 * needed. What is not hair within the zone is cut out. */
#ifndef WM_MEASURE_HAIR_H
#define WM_MEASURE_HAIR_H

#include "core/words.h"
#include "measure/hair_blocks.h"
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
/** Only H3: marks what it cuts, whether the rest is hair or not. */
wm_status wm_hair_cut(wm_window *window, wm_error *err);

/* ---- its steps, each by itself */

/** H1: how often a box is halved before it is looked at. */
int wm_hair_halvings(int width, int height);
/** H3. map[width * height of the blocks]: 0 kept, 1 no pixel of the zone, WM_PX_SKIN, WM_PX_BACKGROUND. */
wm_status wm_hair_find_cut(unsigned char *map, const wm_hair_blocks *blocks, wm_error *err);
/** H4: the most chroma that hair of this hue has. */
double wm_hair_most_chroma(double h_deg);
/** H4: whether a picture with this smaller side in pixels is halved and looked at again. */
bool wm_hair_is_too_coarse(int side, const wm_hair_features *features);
/** H5. */
double wm_hair_score(const wm_hair_features *features);
/** What H6 looks at besides features, score and cut. */
typedef struct wm_hair_evidence {
    double pixels, kept, lightness, colourless_share;
} wm_hair_evidence;
/** H6: verdict and why. */
void wm_hair_decide(wm_hair_check *hair, const wm_hair_evidence *evidence);

#endif

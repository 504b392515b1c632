/* load: how much hair is sewn (M25), before any colour is looked at: from the goal, her own hair and what it can hold.
 * Sources of the hair's figures: reference/hair_facts.csv. Unknown numbers are negative. */
#ifndef WM_LOAD_LOAD_H
#define WM_LOAD_LOAD_H

#include "core/status.h"
#include "core/words.h"

enum { WM_MAX_ROWS = 8 };

typedef enum wm_hair { WM_HAIR_FINE, WM_HAIR_MEDIUM, WM_HAIR_COARSE } wm_hair;           /**< fibre diameter */
typedef enum wm_amount { WM_AMOUNT_THIN, WM_AMOUNT_AVERAGE, WM_AMOUNT_THICK } wm_amount; /**< hair count */
typedef enum wm_goal { WM_GOAL_COVERAGE, WM_GOAL_VOLUME, WM_GOAL_LENGTH } wm_goal;       /**< what it is for */
extern const char *const WM_HAIR_WORDS[], *const WM_AMOUNT_WORDS[], *const WM_GOAL_WORDS[];
const char *wm_hair_name(wm_hair hair);       /**< "fine", "medium", "coarse" */
const char *wm_amount_name(wm_amount amount); /**< "thin", "average", "thick" */
const char *wm_goal_name(wm_goal goal);       /**< "coverage", "volume", "length" */
bool wm_hair_parse(const char *text, wm_hair *out);
bool wm_amount_parse(const char *text, wm_amount *out);
bool wm_goal_parse(const char *text, wm_goal *out);

/** The natural hair. */
typedef struct wm_head {
    wm_hair hair;
    wm_amount amount;
    bool shedding;
    double natural_length_cm; /**< negative: not given */
} wm_head;

double wm_head_grams_a_hair(const wm_head *head); /**< of her own length; unknown without one */
double wm_head_grams(const wm_head *head);        /**< all of her hair; unknown without a length */
double wm_held_hairs_per_cm(wm_amount amount);    /**< hairs that 1 cm of a row holds */

#define WM_LOAD_LIMIT_MG 35.0 /* M25 */ /**< of medium hair: the default of the setting load_limit_mg */
/** mg that each held hair may carry; medium_mg: the setting, which scales the limits of fine and coarse hair. */
double wm_load_limit(const wm_head *head, double medium_mg);
/** mg on each held hair under weft_g grams on row_cm of row. */
double wm_load_mg(double weft_g, double row_cm, wm_amount amount);

/** What the amount of hair is worked out from. */
typedef struct wm_load_input {
    wm_head head;
    wm_goal goal;
    double weft_g_per_cm; /**< of one layer, the heaviest shade in question; negative: not known */
    double row_cm;        /**< all rows together; negative: not given */
    double medium_limit_mg;
    int max_layers; /**< 1 to 3 */
} wm_load_input;

typedef struct wm_load {
    double own_g, needed_g;         /**< her own hair; what the goal asks for; unknown without her length */
    double mg_per_layer, limit_mg;  /**< on each held hair; the first unknown without the weft's weight */
    int layers_needed, layers_load; /**< what the goal asks for, what the load allows; -1: not known */
    int layers;                     /**< to sew: 0 when even one is too heavy */
    double heaviest_weft_g_per_cm;  /**< one layer of this would do */
    bool assumed;                   /**< arc, weft weight or natural length is missing: two layers */
} wm_load;
wm_load wm_load_of(const wm_load_input *input);

#endif

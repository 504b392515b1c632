#include "load/load.h"

#include <math.h>
#include <string.h>

/* reference/hair_facts.csv, low, typical, high; its rows name the sources (Robbins for diameter and density). */
static const double HAIR_COUNT[3] = { 80000.0, 100000.0, 150000.0 };   /* M25 */
static const double FIBRE_DIAMETER_CM[3] = { 0.0050, 0.0070, 0.0100 }; /* M25 */
static const double FIBRE_DENSITY = 1.32;                              /* M25 */

/* Common practice, no source: the hairy scalp, and how deep a section of hair is sewn to a row. */
static const double SCALP_CM2 = 650.0;      /* M25 */
static const double SECTION_DEPTH_CM = 0.5; /* M25 */

/* Our own. */
static const double FINE_LOAD_LIMIT_MG = 25.0;               /* M25 */
static const double COARSE_LOAD_LIMIT_MG = 45.0;             /* M25 */
static const double SHEDDING_LIMIT = 0.7;                    /* M25 */
static const double NEEDED_OF_OWN[3] = { 0.10, 0.20, 0.40 }; /* M25 */
enum { LAYERS_AT_MOST = 3 };                                 /* M25 */
enum { LAYERS_ASSUMED = 2 };                                 /* M25 */

#define UNKNOWN (-1.0)
#define ROUNDING 1e-9 /* 35.0 / 11.666... must count 3 layers though the quotient may fall short of it by rounding */
#define PI 3.14159265358979323846
#define MG_PER_G 1000.0

const char *const WM_HAIR_WORDS[] = { "fine", "medium", "coarse", NULL };
const char *const WM_AMOUNT_WORDS[] = { "thin", "average", "thick", NULL };
const char *const WM_GOAL_WORDS[] = { "coverage", "volume", "length", NULL };

const char *wm_hair_name(wm_hair hair)
{
    return wm_word_of(WM_HAIR_WORDS, hair);
}

const char *wm_amount_name(wm_amount amount)
{
    return wm_word_of(WM_AMOUNT_WORDS, amount);
}

const char *wm_goal_name(wm_goal goal)
{
    return wm_word_of(WM_GOAL_WORDS, goal);
}

bool wm_hair_parse(const char *text, wm_hair *out)
{
    unsigned value = 0;
    bool found = wm_word_find(WM_HAIR_WORDS, text, &value);
    if (found)
        *out = (wm_hair)value;
    return found;
}

bool wm_amount_parse(const char *text, wm_amount *out)
{
    unsigned value = 0;
    bool found = wm_word_find(WM_AMOUNT_WORDS, text, &value);
    if (found)
        *out = (wm_amount)value;
    return found;
}

bool wm_goal_parse(const char *text, wm_goal *out)
{
    unsigned value = 0;
    bool found = wm_word_find(WM_GOAL_WORDS, text, &value);
    if (found)
        *out = (wm_goal)value;
    return found;
}

double wm_head_grams_a_hair(const wm_head *head)
{
    double diameter = FIBRE_DIAMETER_CM[head->hair];
    return head->natural_length_cm > 0.0 ? PI / 4.0 * diameter * diameter * head->natural_length_cm * FIBRE_DENSITY
                                         : UNKNOWN;
}

double wm_head_grams(const wm_head *head)
{
    double a_hair = wm_head_grams_a_hair(head);
    return a_hair > 0.0 ? HAIR_COUNT[head->amount] * a_hair : UNKNOWN;
}

double wm_held_hairs_per_cm(wm_amount amount)
{
    return HAIR_COUNT[amount] / SCALP_CM2 * SECTION_DEPTH_CM;
}

double wm_load_limit(const wm_head *head, double medium_mg)
{
    double usual = head->hair == WM_HAIR_FINE     ? FINE_LOAD_LIMIT_MG
                   : head->hair == WM_HAIR_COARSE ? COARSE_LOAD_LIMIT_MG
                                                  : WM_LOAD_LIMIT_MG;
    return usual * medium_mg / WM_LOAD_LIMIT_MG * (head->shedding ? SHEDDING_LIMIT : 1.0);
}

double wm_load_mg(double weft_g, double row_cm, wm_amount amount)
{
    return MG_PER_G * weft_g / row_cm / wm_held_hairs_per_cm(amount);
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* A weft of next to nothing must not overflow an int. */
static int whole(double x)
{
    return (int)fmin(x, 1e6);
}

wm_load wm_load_of(const wm_load_input *input)
{
    const wm_head *head = &input->head;
    int most = least(input->max_layers, LAYERS_AT_MOST);
    wm_load out = { .own_g = wm_head_grams(head),
                    .needed_g = UNKNOWN,
                    .mg_per_layer = UNKNOWN,
                    .limit_mg = wm_load_limit(head, input->medium_limit_mg),
                    .layers_needed = -1,
                    .layers_load = -1 };
    out.heaviest_weft_g_per_cm = out.limit_mg * wm_held_hairs_per_cm(head->amount) / MG_PER_G;
    if (out.own_g > 0.0)
        out.needed_g = NEEDED_OF_OWN[input->goal] * out.own_g;
    if (input->weft_g_per_cm > 0.0) {
        out.mg_per_layer = wm_load_mg(input->weft_g_per_cm, 1.0, head->amount);
        out.layers_load = whole(floor(out.limit_mg / out.mg_per_layer + ROUNDING));
        most = least(most, out.layers_load);
        if (out.needed_g > 0.0 && input->row_cm > 0.0)
            out.layers_needed =
                whole(fmax(ceil(out.needed_g / (input->weft_g_per_cm * input->row_cm) - ROUNDING), 1.0));
    }
    out.assumed = out.layers_needed < 0;
    out.layers = least(out.assumed ? LAYERS_ASSUMED : out.layers_needed, most);
    return out;
}

#include "match/decision.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/buf.h"
#include "match/reason.h"

static const double ASSUMED_ROW_CM = 24.0; /* M25 */
static const double ASSUMED_ARC_CM = 29.0; /* M25 */

#define ROW_AT_MOST_CM 70.0
#define LIMIT_AT_MOST_MG 1000.0

/* One decision on its way. */
typedef struct work {
    const wm_decision_input *in;
    wm_decision *out;
    wm_placed_row rows[WM_MAX_ROWS];
    size_t row_count;
    wm_drawn_head head;
    wm_segment segments[WM_MAX_SEGMENTS];
    wm_drawn_shades drawn; /* owned, unless they were given */
    wm_case the_case;
    wm_decided decided;
    int layers; /* that are judged: at least one */
} work;

static void assume(work *w, const char *format, ...) WM_PRINTF(2, 3);
static void assume(work *w, const char *format, ...)
{
    va_list args;
    if (w->out->assumed_count == WM_DECISION_ASSUMED)
        return;
    va_start(args, format);
    vsnprintf(w->out->assumed[w->out->assumed_count++], WM_DECISION_ASSUMED_SIZE, format, args);
    va_end(args);
}

/* ---- what comes in ---- */

static bool within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NaN */
}

static wm_status check(const wm_decision_input *in, wm_error *err)
{
    if (in->row_count > WM_MAX_ROWS)
        return wm_fail(err, WM_E_USAGE, "%zu rows are too many; give at most %d", in->row_count, WM_MAX_ROWS);
    for (size_t i = 0; i < in->row_count; i++)
        if (!within(in->rows[i].row_cm, 1e-3, ROW_AT_MOST_CM) || in->rows[i].place == WM_PLACE_BY_KIND)
            return wm_fail(err, WM_E_USAGE,
                           "row %zu has no place or no length that is possible; give it as PLACE=LENGTH", i + 1);
    if (in->max_layers < 1 || in->max_layers > WM_MAX_LAYERS)
        return wm_fail(err, WM_E_USAGE, "max_layers must be 1 to %d", WM_MAX_LAYERS);
    if (in->layers < 0 || in->layers > WM_MAX_LAYERS)
        return wm_fail(err, WM_E_USAGE, "layers must be 0 to %d", WM_MAX_LAYERS);
    if (!within(in->load_limit_mg, 1e-3, LIMIT_AT_MOST_MG))
        return wm_fail(err, WM_E_USAGE, "load_limit_mg must be above 0 and at most 1000");
    return WM_OK;
}

static void assume_what_is_missing(work *w)
{
    const wm_decision_input *in = w->in;
    if (!in->goal_given)
        assume(w, "what it is for (--goal, assumed: gray coverage)");
    if (!in->hair_given)
        assume(w, "how thick her single hairs are (--hair, assumed: medium)");
    if (!in->amount_given)
        assume(w, "how much hair she has (--amount, assumed: average)");
}

static void take_rows(work *w)
{
    memcpy(w->rows, w->in->rows, sizeof w->rows);
    w->row_count = w->in->row_count;
    if (w->row_count > 0)
        return;
    w->rows[0] = (wm_placed_row){ WM_PLACE_BACK, ASSUMED_ARC_CM, ASSUMED_ROW_CM };
    w->row_count = 1;
}

/* ---- M22, M24, M26: her hair, the places, the roles ---- */

static wm_status find_segments(size_t *count, work *w, wm_error *err)
{
    size_t zone = 0;
    if (!w->in->target_zone) {
        *count = wm_segments_of(w->segments, w->rows, w->row_count, &w->head);
        return WM_OK;
    }
    while (zone < w->head.zone_count && strcmp(w->head.zones[zone].name, w->in->target_zone) != 0)
        zone++;
    if (zone == w->head.zone_count)
        return wm_fail(err, WM_E_INPUT,
                       "no zone of her hair is called '%.80s', or it could not be measured; give the "
                       "name of one that is marked",
                       w->in->target_zone);
    *count = wm_segments_beside(w->segments, w->rows, w->row_count, zone);
    return WM_OK;
}

typedef bool is_such(const work *w, size_t zone);

static bool is_fitted(const work *w, size_t zone)
{
    return w->head.zones[zone].known == WM_GRAY_KNOWN_BY_LIGHTNESS && w->head.has_gray && w->head.has_base;
}

/* Marked as gray, or gray all over. */
static bool is_by_lightness(const work *w, size_t zone)
{
    return is_fitted(w, zone) && (w->in->zones[zone].kind == WM_ZONE_GRAY || w->in->zones[zone].all_over);
}

static bool is_by_the_others(const work *w, size_t zone)
{
    return is_fitted(w, zone) && !is_by_lightness(w, zone);
}

static bool is_without_a_word(const work *w, size_t zone)
{
    return !w->in->zones[zone].has_share && !w->in->zones[zone].all_over && !is_fitted(w, zone);
}

/* "crown, temple and mid"; false when there is none. */
static bool name_zones(char names[WM_DECISION_ASSUMED_SIZE], const work *w, is_such *such)
{
    size_t used = 0, left = 0;
    for (size_t i = 0; i < w->in->zone_count; i++)
        left += such(w, i);
    for (size_t i = 0; i < w->in->zone_count && used < WM_DECISION_ASSUMED_SIZE; i++) {
        if (!such(w, i))
            continue;
        left--;
        const char *between = left == 0 ? " and " : ", ";
        used += (size_t)snprintf(names + used, WM_DECISION_ASSUMED_SIZE - used, "%s%s", used == 0 ? "" : between,
                                 w->in->zones[i].name);
    }
    return used > 0;
}

/* About how many percent of such zones are gray, in fives; the middle of the least and the most. */
static double about(const work *w, is_such *such)
{
    double least = 1, most = 0;
    for (size_t i = 0; i < w->in->zone_count; i++)
        if (such(w, i)) {
            least = fmin(least, w->head.zones[i].share[0]);
            most = fmax(most, w->head.zones[i].share[0]);
        }
    return 5 * round((least + most) * 10);
}

static void assume_gray(work *w)
{
    char zones[WM_DECISION_ASSUMED_SIZE];
    if (name_zones(zones, w, is_by_lightness))
        assume(w, "how much is gray in the zone %.80s (assumed: about %.0f %%, as it is lighter than her own colour)",
               zones, about(w, is_by_lightness));
    if (name_zones(zones, w, is_by_the_others)) {
        const double some = about(w, is_by_the_others);
        if (some > 0)
            assume(w, "a sharper photo of %.80s, where the gray can't be told (assumed: about %.0f %%)", zones, some);
        else
            assume(w, "a sharper photo of %.80s, where the gray can't be told (assumed: hardly any)", zones);
    }
    if (name_zones(zones, w, is_without_a_word))
        assume(w, "a sharper photo of %.100s, where the gray can't be told (assumed: none)", zones);
}

static wm_status begin(work *w, wm_error *err)
{
    const wm_decision_input *in = w->in;
    size_t segment_count = 0;
    wm_status status = wm_head_draw(&w->head, in->zones, in->zone_count, &in->law, err);
    if (!status)
        status = find_segments(&segment_count, w, err);
    if (status)
        return status;
    w->the_case = (wm_case){ .head = &w->head,
                             .shades = in->hair->items,
                             .shade_count = in->hair->count,
                             .drawn = in->drawn ? in->drawn : &w->drawn,
                             .rows = w->rows,
                             .row_count = w->row_count,
                             .segments = w->segments,
                             .segment_count = segment_count,
                             .weights = in->weights,
                             .worn = in->worn,
                             .inside = in->gray_inside,
                             .only_held = in->only_held };
    assume_gray(w);
    w->out->has_gray = w->head.has_gray;
    w->out->bases_apart = w->head.bases_apart;
    if (!in->hair->count)
        return WM_OK;
    status = in->drawn ? WM_OK : wm_shades_draw(&w->drawn, in->hair->items, in->hair->count, err);
    return status ? status : wm_decided_begin(&w->decided, &w->the_case, err);
}

/* M4: the worst claim among the zones that weigh in a target. */
static void find_claim(work *w)
{
    double u = 0, weight[WM_HEAD_ZONES];
    wm_claim at_best = WM_CLAIM_NAME;
    for (size_t s = 0; s < w->the_case.segment_count; s++) {
        wm_segment_weights(weight, &w->segments[s], &w->head);
        for (size_t i = 0; i < w->head.zone_count; i++) {
            const wm_drawn_zone *zone = &w->head.zones[i];
            if (!(weight[i] > 0))
                continue;
            u = fmax(u, zone->u_de00);
            at_best = zone->at_best > at_best ? zone->at_best : at_best;
        }
    }
    w->out->claim = wm_claim_at_best(u, at_best); /* C24 */
}

static void record_roles(work *w)
{
    for (int r = 0; r < WM_ROLES; r++) {
        const wm_role_list *list = &w->decided.roles.of[r];
        for (size_t i = 0; i < list->count; i++) {
            wm_role_shade_make(&w->out->roles[r][i], list->shades[i], (wm_role)r);
            w->out->roles[r][i].de00 = list->de00[i];
        }
        w->out->role_counts[r] = list->count;
    }
    wm_reason_missing(w->out->missing, &w->decided);
}

/* ---- M25: how much hair ---- */

/* Of the shades with a role, as they hang; negative when none is known. */
static double heaviest_weft(const wm_roles *roles, double wanted_cm)
{
    double heaviest = -1;
    for (int r = 0; r < WM_ROLES; r++)
        for (size_t i = 0; i < roles->of[r].count; i++)
            heaviest = fmax(heaviest, wm_swatch_weft_g_per_cm(roles->of[r].shades[i]->swatch, wanted_cm));
    return heaviest;
}

static void say_heavy(work *w)
{
    const wm_load *load = &w->out->load;
    char one[40], limit[40], lightest[40];
    snprintf(
        w->out->heavy, sizeof w->out->heavy,
        "This weft is too heavy for her hair: one layer hangs %s mg on each held hair, and the limit is %s. Nothing is to "
        "be sewn until a weft of at most %s g per cm%s is chosen.",
        wm_number_text(one, load->mg_per_layer, 1), wm_number_text(limit, load->limit_mg, 1),
        wm_number_text(lightest, floor(load->heaviest_weft_g_per_cm * 100) / 100, 2),
        w->in->wanted_cm > 0 ? ", cut to her length," : "");
}

static void find_load(work *w)
{
    const wm_decision_input *in = w->in;
    w->out->sewable = true;
    w->layers = in->layers;
    if (in->layers > 0)
        return;
    double row_cm = in->row_count ? 0 : -1;
    for (size_t i = 0; i < in->row_count; i++)
        row_cm += in->rows[i].row_cm;
    double weft = heaviest_weft(&w->decided.roles, in->wanted_cm);
    wm_load_input input = { in->head, in->goal, weft, row_cm, in->load_limit_mg, in->max_layers };
    w->out->load = wm_load_of(&input);
    w->out->sewable = w->out->load.layers > 0;
    w->layers = w->out->sewable ? w->out->load.layers : 1;
    if (!w->out->sewable)
        say_heavy(w);
    const char *plural = w->layers == 1 ? "" : "s";
    if (row_cm < 0)
        assume(w, "the row from ear to ear (--arc, assumed: 24 cm round the back, %d layer%s)", w->layers, plural);
    else if (w->out->load.assumed && w->out->sewable)
        assume(w, "%s, to work out how much hair she needs (assumed: %d layer%s)",
               weft < 0 ? "the weight of a pack to the catalogue" : "the length of her own hair", w->layers, plural);
}

/* ---- M31, M32: the proposals ---- */

static void make(wm_decision_proposal *out, const work *w, const wm_candidate *candidate)
{
    wm_proposal_make(out, &w->decided, candidate, &w->in->verdict);
    if (!w->in->only_held)
        out->best_in_10 = wm_best_in_10(&w->decided.pool, candidate);
    if (w->in->row_count > 0 && w->in->layers == 0)
        wm_proposal_weigh(out, candidate, &(wm_weighing){ &w->out->load, w->in->head.amount, w->in->wanted_cm });
}

static void compare_with_worn(work *w)
{
    const wm_decided *d = &w->decided;
    double far[WM_DRAW_ROWS];
    wm_candidate_far(far, &d->pool, d->worn);
    w->out->worn_far = wm_draws_mean(far);
    w->out->worn_gap = d->worn->gap;
    w->out->better_in = wm_better_in(&d->pool, d->worn, d->chosen.held);
}

static void record_wearing(work *w, bool wearable)
{
    const char *said = "what is proposed is now better than what she wears, by a clear margin";
    if (wearable && w->decided.chosen.held == w->decided.worn)
        said = "she wears it already, and nothing else is better by a clear margin";
    if (wearable) {
        w->out->wearing = w->decided.chosen.held == w->decided.worn ? WM_WEARING_STAYS : WM_WEARING_LEFT;
        snprintf(w->out->wearing_why, sizeof w->out->wearing_why, "%s", said);
        compare_with_worn(w);
    } else if (w->out->wearing_why[0]) {
        w->out->wearing = WM_WEARING_GONE;
    }
}

/* --gray-inside: what it adds to the gap. */
static wm_status price_inside(work *w, wm_error *err)
{
    wm_case free_case = w->the_case;
    wm_decided other;
    free_case.inside = false;
    wm_status status = wm_decided_begin(&other, &free_case, err);
    if (status)
        return status;
    status = wm_decided_choose(&other, w->layers, NULL, err);
    if (!status)
        w->out->inside_costs = fmax(0, w->decided.chosen.held->gap - other.chosen.held->gap);
    wm_decided_free(&other);
    return status;
}

static wm_status propose(work *w, wm_error *err)
{
    const wm_decision_input *in = w->in;
    wm_saved_wearing saved = { in->wearing, in->wearing_stack, in->catalogue };
    wm_wearing wearing;
    bool wearable = wm_wearing_of(&wearing, w->out->wearing_why, &saved, &w->the_case, w->layers);
    wm_status status = wm_decided_choose(&w->decided, w->layers, wearable ? &wearing : NULL, err);
    if (status)
        return status;
    const wm_chosen *chosen = &w->decided.chosen;
    record_wearing(w, wearable);
    make(&w->out->proposal, w, chosen->held);
    w->out->has_proposal = true;
    if (in->only_held)
        return WM_OK;
    w->out->has_runner_up = chosen->runner_up != NULL;
    if (chosen->runner_up)
        make(&w->out->runner_up, w, chosen->runner_up);
    wm_reason_why(&w->out->proposal, chosen->runner_up ? &w->out->runner_up : NULL);
    return in->gray_inside ? price_inside(w, err) : WM_OK;
}

/* ---- M33 ---- */

static const char *grayest_zone(const wm_drawn_head *head)
{
    size_t grayest = 0;
    for (size_t i = 1; i < head->zone_count; i++)
        if (head->zones[i].share[0] > head->zones[grayest].share[0])
            grayest = i;
    return head->zones[grayest].name;
}

static bool is_close(const wm_decision_proposal *p)
{
    return p->verdict <= WM_VERDICT_CLOSE;
}

/* Where the verdict falls below close: would any shade of the catalogue mend it? */
static wm_status say_fall(work *w, const wm_scenario *step, wm_decision_scenario *out, wm_error *err)
{
    wm_case free_case = step->the_case;
    wm_decided other;
    free_case.shades = w->the_case.shades;
    free_case.shade_count = w->the_case.shade_count;
    free_case.drawn = w->the_case.drawn;
    wm_decision_proposal *mended = malloc(sizeof *mended);
    if (!mended)
        return wm_fail_memory(err);
    wm_status status = wm_decided_begin(&other, &free_case, err);
    if (!status) {
        status = wm_decided_choose(&other, w->layers, NULL, err);
        if (!status) {
            wm_proposal_make(mended, &other, other.chosen.held, &w->in->verdict);
            wm_reason_falls(out->change, &out->proposal, is_close(mended) ? mended : NULL, step->share);
        }
        wm_decided_free(&other);
    }
    free(mended);
    return status;
}

static wm_status record_scenarios(work *w, const wm_scenarios *later, wm_error *err)
{
    const char *zone = grayest_zone(&w->head);
    wm_decision_scenario *all = w->out->scenarios;
    wm_status status = WM_OK;
    all[0].share = wm_drawn_head_grayest(&w->head);
    all[0].proposal = w->out->proposal;
    for (size_t i = 0; i < later->count && !status; i++) {
        const wm_scenario *step = &later->steps[i];
        wm_decision_scenario *out = &all[i + 1];
        out->rise = step->rise;
        out->share = step->share;
        wm_proposal_make(&out->proposal, &step->decided, step->decided.chosen.held, &w->in->verdict);
        wm_reason_change(out->change, &all[i].proposal, &out->proposal, step->share, zone);
        if (is_close(&all[i].proposal) && !is_close(&out->proposal))
            status = say_fall(w, step, out, err);
    }
    w->out->scenario_count = later->count + 1;
    return status;
}

static wm_status look_ahead(work *w, wm_error *err)
{
    wm_scenarios later;
    if (w->in->without_scenarios || w->in->only_held || !w->head.has_gray)
        return WM_OK;
    wm_status status = wm_scenarios_of(&later, &w->decided, err);
    if (status)
        return status;
    status = record_scenarios(w, &later, err);
    wm_scenarios_free(&later);
    return status;
}

/* ---- the order of the work ---- */

static wm_status decide(work *w, wm_error *err)
{
    take_rows(w);
    assume_what_is_missing(w);
    w->out->inside_costs = -1;
    wm_status status = begin(w, err);
    if (status)
        return status;
    find_claim(w);
    if (w->in->beads)
        w->out->bead = wm_bead_of(&w->head, w->in->beads->items, w->in->beads->count);
    if (w->in->hair->count == 0) {
        snprintf(w->out->missing, sizeof w->out->missing,
                 "no shade in the catalogue passes the filters; loosen them, or add shades");
        return WM_OK;
    }
    record_roles(w);
    find_load(w);
    status = propose(w, err);
    return status ? status : look_ahead(w, err);
}

wm_status wm_decide(wm_decision *out, const wm_decision_input *input, wm_error *err)
{
    wm_status status = check(input, err);
    if (status)
        return status;
    work *w = calloc(1, sizeof *w);
    wm_decision *made = calloc(1, sizeof *made);
    if (!w || !made) {
        status = wm_fail_memory(err);
    } else {
        w->in = input;
        w->out = made;
        status = decide(w, err);
        wm_decided_free(&w->decided);
        wm_drawn_head_free(&w->head);
        wm_drawn_shades_free(&w->drawn);
        if (!status)
            *out = *made;
    }
    free(made);
    free(w);
    return status;
}

#include "consult/consult.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/book.h"
#include "consult/change.h"
#include "consult/rank_targets.h"
#include "consult/heads.h"
#include "consult/pictures.h"
#include "consult/record.h"
#include "consult/stability.h"
#include "consult/survey.h"
#include "photo/profile_make.h"

void wm_wishes_settle(wm_wishes *wishes)
{
    wishes->filter.min_length_cm = wishes->to_length_cm > 0 ? wishes->to_length_cm : 0;
    wishes->filter.wanted_cm =
        wishes->to_length_cm > 0 ? wishes->to_length_cm : fmax(0, wishes->head.natural_length_cm);
}

/* One consultation on its way. */
typedef struct work {
    const wm_consult_input *in;
    wm_report *report;
    wm_survey survey;
    wm_rank_targets targets;
    wm_shades hair, beads;
    wm_bead bead; /* M34 */
} work;

static void record_head(work *w)
{
    wm_report *r = w->report;
    snprintf(r->made_at, sizeof r->made_at, "%s", w->in->made_at);
    snprintf(r->version, sizeof r->version, "%s", wm_version());
    snprintf(r->lcms, sizeof r->lcms, "%s", wm_profile_engine());
    snprintf(r->sqlite, sizeof r->sqlite, "%s", wm_book_engine());
    snprintf(r->salon, sizeof r->salon, "%s", w->in->settings->salon_name);
    snprintf(r->client, sizeof r->client, "%s", w->in->client ? w->in->client : "");
    wm_record__photo(r, w->in->photo);
}

static wm_status measure(work *w, wm_report_pictures *pictures, wm_error *err)
{
    const wm_consult_input *in = w->in;
    wm_photo_facts facts = wm_photo_facts_of(in->photo);
    record_head(w);
    wm_status status = wm_zones_check(in->zones, facts.width, facts.height, facts.file, &w->report->warnings, err);
    if (!status)
        status = wm_survey_zones(&w->survey, &(wm_survey_marked){ in->photo, in->zones, in->catalogue, in->kept }, err);
    if (!status)
        status = wm_record__survey(w->report, &w->survey, err);
    if (!status && pictures)
        status = wm_pictures__of(pictures, in->photo, in->zones, &w->survey, err);
    return status;
}

/* --- rankings (M5 to M7)
 * -------------------------------------------------------------------------------------------------------- */

static wm_status rank_one(work *w, const char *name, const char *said, const wm_measured *colour, wm_error *err)
{
    wm_ranking_request request = { name, said, &w->hair, { colour, NULL, 1 }, &w->in->settings->verdict };
    return wm_record__ranking(w->report, &request, err);
}

enum { LARGE_CATALOGUE = 60 };

/* C24: with a card alone the five that the eye should judge. */
static void list_five(work *w)
{
    const wm_aid_set aid = w->report->calibration.aid;
    char why[2 * WM_WHY_DROPPED_SIZE] = "a card alone is not enough to name a shade; hold up", *end = why + strlen(why);
    if ((aid != WM_AIDS_CARD && aid != WM_AIDS_CARDS) || w->report->ranking_count == 0)
        return;
    const wm_report_ranking *ranking = &w->report->rankings[0];
    const size_t count = ranking->count < 5 ? ranking->count : 5;
    for (size_t i = 0; i < count; i++)
        end += snprintf(end, (size_t)(why + sizeof why - end), "%s %.20s", i ? "," : "", ranking->items[i].code);
    snprintf(end, (size_t)(why + sizeof why - end), ": the right one is among five such in %d of 10 zones",
             ranking->count > LARGE_CATALOGUE ? 7 : 9); /* of 120 and of 30 shades, tests/photo/ladder.c */
    wm_warn_why(&w->report->warnings, WM_WARN_CARD_ALONE, "", why);
}

/* M34: what beads are matched to, as sure as the colour of that zone. */
static wm_measured bead_colour(const work *w)
{
    wm_measured colour = { 0 };
    for (size_t i = 0; i < w->report->zone_count; i++) {
        const wm_report_zone *zone = &w->report->zones[i];
        if (!zone->refused && strcmp(zone->name, w->bead.zone) == 0)
            colour = w->bead.to_gray && zone->gray_known    ? zone->gray
                     : !w->bead.to_gray && zone->base_known ? zone->base
                                                            : zone->body;
    }
    colour.lab = w->bead.wanted;
    return colour;
}

static wm_status rank_beads(work *w, wm_error *err)
{
    char said[WM_RANK_TARGET_WHY_SIZE];
    wm_measured colour = bead_colour(w);
    snprintf(said, sizeof said, "Against %s at %.90s%s.", w->bead.to_gray ? "her gray" : "the base", w->bead.zone,
             w->bead.to_gray ? ": half of the hair there is gray" : "");
    wm_ranking_request bead = { "bead", said, &w->beads, { &colour, NULL, 1 }, &w->in->settings->verdict };
    return wm_record__ranking(w->report, &bead, err);
}

static wm_status rank_all(work *w, wm_error *err)
{
    const wm_rank_targets *g = &w->targets;
    wm_ranking_request base = {
        "base", g->base_why, &w->hair, { g->base, g->base_weights, g->base_count }, &w->in->settings->verdict
    };
    wm_status status = wm_record__ranking(w->report, &base, err);
    if (!status && g->has_gray)
        status = rank_one(w, "gray_fibres", g->gray_why, &g->gray, err);
    if (!status)
        status = rank_beads(w, err);
    for (size_t i = 0; i < w->report->zone_count && !status; i++) {
        const wm_report_zone *zone = &w->report->zones[i];
        if (!zone->refused)
            status = rank_one(w, zone->name, "", &zone->body, err);
    }
    list_five(w);
    return status;
}

/* --- what to sew (M21 to M34)
 * ------------------------------------------------------------------------------------------------------ */

static void record_filters(work *w)
{
    for (size_t i = 0; i < WM_FILTERS; i++)
        if (w->hair.removed[i].name &&
            (i < 3 || w->hair.removed[i].removed)) { /* what is avoided, and a sheet, are no wishes of hers */
            wm_report_filter *f = &w->report->filters[w->report->filter_count++];
            snprintf(f->name, sizeof f->name, "%s", w->hair.removed[i].name);
            f->removed = w->hair.removed[i].removed;
        }
}

static void ask_worn(wm_decision_input *ask, wm_wears *worn, const wm_consult_input *in)
{
    wm_heads__wears(worn, in->worn ? in->worn_report : in->previous, in->worn);
    ask->wearing = worn->design.row_count ? &worn->design : NULL;
    ask->wearing_stack = worn->stack.count ? &worn->stack : NULL;
}

static wm_status ask_rows(wm_decision_input *ask, const wm_consult_input *in, wm_error *err)
{
    wm_status status = WM_OK;
    for (size_t i = 0; i < in->wishes->row_count && !status; i++) {
        const wm_wished_row *wished = &in->wishes->rows[i];
        wm_row row;
        status = wm_row_of(&row, wished->arc_cm, 1, &in->settings->plan.row, err);
        if (!status)
            ask->rows[ask->row_count++] = (wm_placed_row){ wished->place, wished->arc_cm, row.row_cm };
    }
    return status;
}

static void ask_wishes(wm_decision_input *ask, const wm_consult_input *in)
{
    const wm_wishes *wishes = in->wishes;
    const wm_settings *s = in->settings;
    ask->goal_given = wishes->goal_given;
    ask->hair_given = wishes->hair_given;
    ask->amount_given = wishes->amount_given;
    ask->goal = wishes->goal;
    ask->head = wishes->head;
    ask->worn = wishes->worn;
    ask->wanted_cm = wishes->filter.wanted_cm;
    ask->target_zone = wishes->target_zone;
    ask->gray_inside = wishes->gray_inside;
    ask->law = wm_hair_law_of(s->blend_g);
    ask->weights = s->area_weights;
    ask->verdict = s->verdict;
    ask->max_layers = s->max_layers;
    ask->without_scenarios = in->live;
    ask->load_limit_mg = s->plan.load_limit_mg;
}

/* G11: below 7 of 10 the photo would name a shade that the next marking takes back. */
static wm_status hold(work *w, const wm_decision_input *ask, const wm_decision *decided, wm_error *err)
{
    wm_report *r = w->report;
    const wm_stability_input input = { w->in->photo, &w->survey, r, ask, decided, w->in->jobs };
    const wm_status status = wm_stability_of(&r->stability, &input, err);
    char detail[40];
    if (status || wm_stability_holds(&r->stability))
        return status;
    snprintf(detail, sizeof detail, "holds in %d of %d", r->stability.held, r->stability.tries);
    wm_warn(&r->warnings, WM_WARN_ANSWER_UNSTABLE, r->stability.mend, detail);
    r->no_shade_named = true;
    r->decision.claim = WM_CLAIM_ROUGH;
    return r->warnings.failed ? wm_fail_memory(err) : WM_OK;
}

static wm_status propose(work *w, wm_error *err)
{
    wm_decision_input ask = WM_DECISION_INPUT_INIT;
    wm_head_zone *zones = calloc(w->report->zone_count + 1, sizeof *zones);
    wm_decision *decision = calloc(1, sizeof *decision);
    wm_wears *worn = calloc(1, sizeof *worn);
    wm_drawn_shades drawn = { 0 };
    wm_status status = zones && decision && worn ? ask_rows(&ask, w->in, err) : wm_fail_memory(err);
    if (!status)
        status = wm_shades_draw(&drawn, w->hair.items, w->hair.count, err);
    if (!status) {
        ask.zones = zones;
        ask.zone_count = wm_heads__of(zones, w->report);
        ask.hair = &w->hair;
        ask.drawn = &drawn;
        ask.beads = &w->beads;
        ask.catalogue = w->in->catalogue;
        ask_wishes(&ask, w->in);
        ask_worn(&ask, worn, w->in);
        status = wm_decide(decision, &ask, err);
    }
    if (!status)
        status = wm_record__decision(w->report, decision, err);
    if (!status && !w->in->live)
        status = hold(w, &ask, decision, err);
    if (!status)
        w->bead = decision->bead;
    w->report->worn = w->in->wishes->worn;
    wm_drawn_shades_free(&drawn);
    free(worn);
    free(decision);
    free(zones);
    return status;
}

static wm_status changes(work *w, wm_error *err)
{
    if (!w->in->previous)
        return WM_OK;
    snprintf(w->report->since_date, sizeof w->report->since_date, "%s", w->in->previous_date);
    wm_changes_unpaired(&w->report->unpaired, w->in->previous, w->report);
    if (w->report->unpaired.failed)
        return wm_fail_memory(err);
    return wm_changes_between(&w->report->changes, &w->report->change_count, w->in->previous, w->report, err);
}

/* --- plan
 * ------------------------------------------------------------------------------------------------------------------------
 */

void wm_sewing_of_stack(wm_sewing *out, const wm_stack *stack, const wm_wishes *wishes)
{
    for (size_t i = 0; i < wishes->row_count; i++) {
        out->design.rows[i] = wm_design_row_whole(wishes->rows[i].place, wishes->rows[i].arc_cm, stack);
        out->design.rows[i].arc_cm = wishes->rows[i].arc_cm;
    }
    out->design.row_count = wishes->row_count;
}

wm_status wm_consult_plan(wm_plan *out, const wm_sewing *sewing, const wm_consult_input *in, wm_error *err)
{
    const wm_wishes *wishes = in->wishes;
    wm_plan_input input = WM_PLAN_INPUT_INIT;
    input.rows = sewing->design.rows;
    input.row_count = sewing->design.row_count;
    input.catalogue = in->catalogue;
    input.bead_code = sewing->bead_code;
    input.head = wishes->head;
    input.goal = wishes->goal;
    input.to_length_cm = wishes->to_length_cm;
    input.filter = wishes->filter;
    input.line_cm = wishes->line_cm;
    input.cover_cm = wishes->cover_cm;
    input.date = in->date;
    input.work = in->work;
    input.again = in->again;
    return wm_plan_make(out, &input, &in->settings->plan, err);
}

/* By the day and the photo: the same consultation has the same number. */
void wm_consult_number(wm_quote *quote, wm_date date, const char *photo_sha256)
{
    snprintf(quote->number, sizeof quote->number, "%04u%02u%02u-%.6s", (unsigned)date.year % 10000,
             (unsigned)date.month % 100, (unsigned)date.day % 100, photo_sha256);
}

static wm_status plan(work *w, wm_error *err)
{
    wm_sewing sewing = { .bead_code = w->bead.swatch ? w->bead.swatch->code : NULL };
    if (w->in->wishes->row_count == 0 || w->report->proposal_count == 0 || *w->report->decision.heavy)
        return WM_OK;
    wm_report_design(&sewing.design, &w->report->proposals[0]);
    wm_status status = wm_consult_plan(&w->report->plan, &sewing, w->in, err);
    w->report->has_plan = !status;
    if (!status)
        wm_consult_number(&w->report->plan.quote, w->in->date, w->report->photo.sha256);
    return status;
}

/* With a plan its cautions, which include the general ones; without, the general ones. */
static wm_status cautions(work *w, wm_error *err)
{
    static const char *const ALWAYS[] = {
        "Extensions pull: on thin, fine or shedding hair think twice; sudden or patchy hair loss is for a doctor to look at first.",
        "Pain, itching or redness at the row: take it out, and let a doctor see it if it stays.",
        "Sew rows only as licensed practice and the local codes allow.",
    };
    wm_warnings *out = &w->report->cautions;
    for (size_t i = 0; i < w->report->plan.caution_count; i++)
        wm_warnings_add(out, "caution", "%s", w->report->plan.cautions[i]);
    for (size_t i = 0; !w->report->has_plan && i < sizeof ALWAYS / sizeof ALWAYS[0]; i++)
        wm_warnings_add(out, "caution", "%s", ALWAYS[i]);
    w->report->general_cautions =
        w->report->has_plan ? w->report->plan.general_cautions : sizeof ALWAYS / sizeof ALWAYS[0];
    return out->failed ? wm_fail_memory(err) : WM_OK;
}

/* --- the order of the work
 * ------------------------------------------------------------------------------------------------------- */

/* C32: only shades of the frame whose swatches are held at the hair can be compared with it. */
static wm_filter comparable(const work *w)
{
    wm_filter filter = w->in->wishes->filter;
    filter.avoided = w->in->settings->avoided_shades;
    filter.frame = w->survey.has_frame ? w->survey.frame : wm_catalogue_frame(w->in->catalogue);
    return filter;
}

/* C32, C34: without a swatch of it a frame says nothing of the hair; with one, its own u takes part. */
static void claim_among(const work *w, wm_measured *colour)
{
    const bool unheld = !w->survey.has_frame && w->hair.count > 0 && *w->hair.items[0]->frame;
    colour->claim = unheld ? WM_CLAIM_ROUGH : wm_claim_among(colour, &w->hair);
}

static void claim_all(const work *w)
{
    for (size_t i = 0; i < w->report->zone_count; i++) {
        wm_report_zone *zone = &w->report->zones[i];
        if (zone->refused)
            continue;
        claim_among(w, &zone->body);
        claim_among(w, &zone->base);
        claim_among(w, &zone->gray);
    }
}

static wm_status choose(work *w, wm_error *err)
{
    const wm_wishes *wishes = w->in->wishes;
    wm_filter none = { 0 };
    const wm_filter filter = comparable(w);
    wm_status status = wm_shades_of(&w->hair, w->in->catalogue, WM_SWATCH_HAIR, &filter, err);
    if (!status) {
        claim_all(w);
        status = wm_rank_targets_of(&w->targets, w->report, wishes->goal == WM_GOAL_LENGTH, err);
    }
    if (!status)
        status = wm_shades_of(&w->beads, w->in->catalogue, WM_SWATCH_BEAD, &none, err);
    if (!status)
        record_filters(w);
    if (!status)
        status = propose(w, err);
    if (!status)
        status = rank_all(w, err);
    if (!status)
        status = changes(w, err);
    if (!status)
        status = plan(w, err);
    return status ? status : cautions(w, err);
}

static wm_status consult(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, bool match,
                         wm_error *err)
{
    wm_report_pictures made = { 0 };
    wm_report *report = calloc(1, sizeof *report);
    work *w = calloc(1, sizeof *w);
    wm_status status = report && w ? WM_OK : wm_fail_memory(err);
    if (status)
        goto done;
    w->in = input;
    w->report = report;
    report->measured_only = !match;
    status = measure(w, pictures ? &made : NULL, err);
    if (!status && match)
        status = choose(w, err);
    wm_rank_targets_free(&w->targets);
    wm_shades_free(&w->hair);
    wm_shades_free(&w->beads);
    wm_survey_free(&w->survey);
    if (status) {
        wm_report_free(report);
        wm_report_pictures_free(&made);
    } else {
        *out = *report;
        if (pictures)
            *pictures = made;
    }
done:
    free(w);
    free(report);
    return status;
}

wm_status wm_consult_measure(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, wm_error *err)
{
    return consult(out, pictures, input, false, err);
}

wm_status wm_consult_match(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, wm_error *err)
{
    return consult(out, pictures, input, true, err);
}

/* ---- the photo
 * -------------------------------------------------------------------------------------------------------------- */

/* More than a zone is moved and resized to see whether the answer holds. */
static const double BESIDE = 0.2;

static wm_box box_around(const wm_zone *zone)
{
    wm_point low, high;
    wm_zone_extent(zone, &low, &high);
    const double beside_x = BESIDE * (high.x - low.x), beside_y = BESIDE * (high.y - low.y);
    const int left = (int)floor(low.x - beside_x), top = (int)floor(low.y - beside_y);
    return (wm_box){ left, top, (int)ceil(high.x + beside_x) - left, (int)ceil(high.y + beside_y) - top };
}

/* A target's patches lie beyond the corners that were marked. */
static bool has_target(const wm_zones *zones)
{
    for (size_t i = 0; i < zones->count; i++)
        if (zones->items[i].kind == WM_ZONE_TARGET)
            return true;
    return false;
}

wm_status wm_consult_open_photo(wm_photo **out, const char *path, const wm_zones *zones, const wm_photo_limits *limits,
                                wm_error *err)
{
    if (has_target(zones))
        return wm_photo_open(out, path, limits, err);
    wm_box *boxes = calloc(zones->count + 1, sizeof *boxes);
    if (!boxes)
        return wm_fail_memory(err);
    for (size_t i = 0; i < zones->count; i++)
        boxes[i] = box_around(&zones->items[i]);
    const wm_status status = wm_photo_open_parts(out, path, (wm_boxes){ boxes, zones->count }, limits, err);
    free(boxes);
    return status;
}

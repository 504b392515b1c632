#include "consult/survey.h"

#include "consult/survey_warnings.h"
#include "measure/sheen_floor.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double DOUBTFUL_U = 4.5;   /* H6 */
static const double MIXED_SHARE = 0.02; /* C16 */
static const double MIXED_U = 2;        /* C16 */

/* --- one zone --- */

static wm_rgb times(wm_rgb a, wm_rgb b)
{
    return (wm_rgb){ a.r * b.r, a.g * b.g, a.b * b.b };
}

/* The window's colours are balanced for the gray rules; stage 2 takes them as stage 1 left them. */
static wm_rgb before_balance(const wm_calibration *calibration, wm_rgb colour)
{
    const wm_rgb gain = wm_calibration_balance(calibration);
    return times(colour, (wm_rgb){ 1 / gain.r, 1 / gain.g, 1 / gain.b });
}

static void correct_run(const wm_calibration *calibration, wm_rgb *run, size_t count)
{
    const wm_rgb gain = wm_calibration_balance(calibration);
    wm_stage1_apply_many(&calibration->stage1, run, count);
    for (size_t i = 0; i < count; i++)
        run[i] = times(run[i], gain);
}

/* But for a part that is corrected already; NULL: all of it. */
static void correct(wm_window *window, const wm_calibration *calibration, const wm_box *part)
{
    for (int y = 0; y < window->box.height; y++) {
        wm_stretch beside[2];
        wm_window_beside(beside, window, part, y);
        for (int i = 0; i < 2; i++) {
            const size_t at = (size_t)y * (size_t)window->box.width + (size_t)beside[i].from;
            correct_run(calibration, window->linear + at, (size_t)beside[i].count);
            if (window->mean != window->linear)
                correct_run(calibration, window->mean + at, (size_t)beside[i].count);
        }
    }
}

/* The gray rules and what sheen is left; stage 2 follows. */
static wm_status measure_gray(wm_surveyed_zone *zone, const wm_survey_look *look, wm_error *err)
{
    const wm_reading_ask ask = { look->reference, look->gray_swatch };
    const wm_status status = wm_reading_gray(&zone->gray, zone->reading, &ask, err);
    if (status)
        return status;
    zone->kept = zone->gray.kept << 2 * zone->window.halvings;
    return wm_zone_is_client(zone->zone->kind) && wm_calibration_sees_sheen(look->calibration)
               ? wm_sheen_left(&zone->sheen_left, &zone->window, zone->cleaning.direction_rad, zone->gray.gap_below_y,
                               err)
               : WM_OK;
}

/* C10: the same light lies on body, base and gray fibres. */
static wm_rgb without_sheen(const wm_surveyed_zone *zone, wm_rgb colour)
{
    const wm_rgb less = wm_rgb_add(colour, wm_rgb_scale(zone->sheen_left, -1));
    return fmin(fmin(less.r, less.g), less.b) > 0 ? less : colour;
}

/* Of an area of the kept hair; colour: as the gray rules have it, doubt_L: what they leave in doubt of its L*. */
static wm_sampled sampled_of(const wm_surveyed_zone *zone, const wm_calibration *calibration, wm_rgb colour,
                             double area, double doubt_L)
{
    const wm_rgb bare = before_balance(calibration, without_sheen(zone, colour));
    const size_t pixels = (size_t)fmax(area * (double)zone->kept, 1);
    return (wm_sampled){ .lab = wm_rgb_to_lab(bare),
                         .sd = zone->gray.body_sd,
                         .doubt_L = doubt_L,
                         .pixels = pixels,
                         .weakness = zone->weakness,
                         .place = zone->place,
                         .where = wm_zone_middle(zone->zone) };
}

/* A population is shown only where the share is resolved (G9). */
static bool is_known(const wm_gray *gray, wm_population population)
{
    return gray->status >= WM_GRAY_NONE_SEEN &&
           (population == WM_POPULATION_MEASURED || population == WM_POPULATION_ASSUMED);
}

/* H6: what may not be hair names no shade. */
static void widen(wm_measured *colour)
{
    const double more = fmax(DOUBTFUL_U / colour->u_de00, 1.0);
    colour->sigma = (wm_lab){ colour->sigma.L * more, colour->sigma.a * more, colour->sigma.b * more };
    colour->u_de00 *= more;
    colour->claim = wm_claim_at_best(colour->u_de00, colour->claim);
}

static void widen_all(wm_surveyed_zone *zone)
{
    widen(&zone->body);
    if (zone->base_known)
        widen(&zone->base);
    if (zone->gray_known)
        widen(&zone->gray_fibres);
}

static void finish(wm_surveyed_zone *zone, const wm_calibration *calibration)
{
    const wm_gray *gray = &zone->gray;
    zone->base_known = zone->gray_known = false;
    if (zone->refused)
        return;
    const bool flat = zone->zone->kind == WM_ZONE_SWATCH;
    zone->place = flat ? WM_PLACE_FLAT : wm_calibration_place(calibration, zone->zone->name);
    zone->weakness = wm_calibration_weakness(calibration, zone->window.encoded_mean);
    const wm_sampled body = sampled_of(zone, calibration, gray->body, 1, gray->body_doubt_L),
                     base = sampled_of(zone, calibration, gray->base, 1 - gray->share, gray->base_doubt_L),
                     fibres = sampled_of(zone, calibration, gray->gray, gray->share, gray->gray_doubt_L);
    if (!wm_calibration_finish(calibration, &body, &zone->body)) {
        zone->refused = true;
        snprintf(zone->why, sizeof zone->why, "its colour is not possible");
        return;
    }
    zone->base_known = is_known(gray, gray->base_status) && wm_calibration_finish(calibration, &base, &zone->base);
    zone->gray_known =
        is_known(gray, gray->gray_status) && wm_calibration_finish(calibration, &fibres, &zone->gray_fibres);
    if (zone->hair.verdict == WM_HAIR_DOUBTFUL && !flat) /* a swatch is known to be one */
        widen_all(zone);
    zone->body.pixels = zone->base.pixels = zone->gray_fibres.pixels = zone->pixels;
}

/* A zone as a reading shows it; it takes over the hold. */
static void take_reading(wm_surveyed_zone *out, const wm_zone *zone, wm_reading *reading)
{
    *out = (wm_surveyed_zone){ .zone = zone,
                               .reading = reading,
                               .refused = reading->refused,
                               .window = reading->window,
                               .hair = reading->hair,
                               .cleaning = reading->cleaning,
                               .line = reading->line,
                               .pixels = reading->window.zone_pixels << 2 * reading->window.halvings };
    snprintf(out->why, sizeof out->why, "%s", reading->why);
}

static wm_status read_zone(wm_reading **out, const wm_photo *photo, const wm_zone *zone,
                           const wm_calibration *calibration, wm_error *err)
{
    wm_window window;
    const wm_status status = wm_window_read_halved(&window, photo, zone, wm_window_halvings(zone, photo), err);
    if (status)
        return status;
    correct(&window, calibration, NULL);
    return wm_reading_make(out, &window, zone, NULL, err);
}

/* A subject, out of what is kept or from the photo; kept from then on. */
static wm_status read_subject(wm_surveyed_zone *out, const wm_survey *survey, const wm_survey_input *input,
                              const wm_zone *zone, wm_error *err)
{
    const wm_calibration *calibration = &survey->calibration;
    const wm_kept_key key = { zone, &calibration->stage1, wm_calibration_balance(calibration) };
    wm_reading *reading = wm_kept_zones_find(input->kept, &key);
    wm_status status = WM_OK;
    if (!reading) {
        status = read_zone(&reading, input->photo, zone, calibration, err);
        if (!status)
            status = wm_kept_zones_keep(input->kept, &key, reading, err);
    }
    if (!status)
        take_reading(out, zone, wm_reading_hold(reading));
    return status;
}

/* A zone that was read: the gray rules and stage 2. */
static wm_status measure_read(wm_surveyed_zone *zone, const wm_survey_look *look, wm_error *err)
{
    wm_status status = zone->refused ? WM_OK : measure_gray(zone, look, err);
    if (!status)
        finish(zone, look->calibration);
    return status;
}

static wm_status measure_reading(wm_surveyed_zone *out, wm_reading *reading, const wm_zone *zone,
                                 const wm_survey_look *look, wm_error *err)
{
    wm_surveyed_zone measured;
    take_reading(&measured, zone, reading);
    const wm_status status = measure_read(&measured, look, err);
    if (status)
        wm_surveyed_zone_free(&measured);
    else
        *out = measured;
    return status;
}

wm_status wm_survey_measure(wm_surveyed_zone *out, const wm_photo *photo, const wm_zone *zone,
                            const wm_survey_look *look, wm_error *err)
{
    wm_reading *reading = NULL;
    const wm_status status = read_zone(&reading, photo, zone, look->calibration, err);
    return status ? status : measure_reading(out, reading, zone, look, err);
}

wm_status wm_survey_read_around(wm_survey_around *out, const wm_photo *photo, const wm_surveyed_zone *zone,
                                const wm_zone *enclosing, const wm_calibration *calibration, wm_error *err)
{
    wm_survey_around around = { 0 };
    wm_status status = wm_window_read_around(&around.window, photo, enclosing, &zone->window, err);
    around.marked = zone->reading;
    if (!status)
        correct(&around.window, calibration, &zone->window.box);
    if (!status && !zone->zone->is_hair)
        status = wm_hair_cut(&around.window, err);
    if (status)
        wm_survey_around_free(&around);
    else
        *out = around;
    return status;
}

void wm_survey_around_free(wm_survey_around *around)
{
    wm_window_free(&around->window);
}

wm_status wm_survey_measure_within(wm_surveyed_zone *out, const wm_survey_around *around, const wm_zone *zone,
                                   const wm_survey_look *look, wm_error *err)
{
    wm_window window;
    wm_reading *reading = NULL;
    wm_status status = wm_window_within(&window, &around->window, zone, err);
    if (!status)
        status = wm_reading_make(&reading, &window, zone, around->marked, err);
    return status ? status : measure_reading(out, reading, zone, look, err);
}

wm_status wm_survey_measure_again(wm_surveyed_zone *zone, const wm_survey_look *look, wm_error *err)
{
    if (zone->refused)
        return WM_OK;
    const wm_status status = measure_gray(zone, look, err);
    if (!status)
        finish(zone, look->calibration);
    return status;
}

void wm_surveyed_zone_free(wm_surveyed_zone *zone)
{
    wm_reading_release(zone->reading);
    *zone = (wm_surveyed_zone){ 0 };
}

/* --- all zones --- */

static void free_zones(wm_survey *survey)
{
    for (size_t i = 0; i < survey->zone_count; i++)
        wm_surveyed_zone_free(&survey->zones[i]);
    survey->zone_count = 0;
}

/* G4: the first zone marked gray-free; none: count. */
static size_t find_reference(const wm_survey_input *input)
{
    size_t at = 0;
    while (at < input->subject_count && !input->subjects[at]->gray_free)
        at++;
    return at;
}

/* The base colour of the gray-free zone, for all the others; a zone that holds gray itself is none. */
static wm_status find_base(wm_rgb *out, bool *found, wm_surveyed_zone *zone, const wm_survey_look *blind, wm_error *err)
{
    wm_status status = measure_gray(zone, blind, err);
    if (status || zone->refused)
        return status;
    zone->holds_gray = !wm_gray_is_free(&zone->gray);
    zone->is_reference = !zone->holds_gray;
    *found = zone->is_reference;
    return *found ? wm_reading_reference(out, zone->reading, err) : WM_OK;
}

/* Reads all subjects, then measures them by the base colour of the gray-free one. */
static wm_status measure_all(wm_survey *survey, const wm_survey_input *input, wm_error *err)
{
    wm_rgb base;
    bool found = false;
    wm_survey_look look = { .calibration = &survey->calibration };
    const size_t reference = find_reference(input);
    wm_status status = WM_OK;
    for (size_t i = 0; !status && i < input->subject_count; i++) {
        status = read_subject(&survey->zones[i], survey, input, input->subjects[i], err);
        survey->zone_count += !status;
    }
    if (!status && reference < input->subject_count && !survey->zones[reference].refused)
        status = find_base(&base, &found, &survey->zones[reference], &look, err);
    survey->has_reference = found;
    if (found)
        survey->reference = base;
    for (size_t i = 0; !status && i < input->subject_count; i++) {
        look.reference = found && wm_zone_is_client(input->subjects[i]->kind) ? &base : NULL;
        status = measure_read(&survey->zones[i], &look, err);
    }
    return status;
}

static bool review(wm_survey *survey, wm_aids *aids, wm_lab *bodies)
{
    size_t count = 0;
    for (size_t i = 0; i < survey->zone_count; i++)
        if (!survey->zones[i].refused)
            bodies[count++] = wm_rgb_to_lab(before_balance(&survey->calibration, survey->zones[i].gray.body));
    return wm_calibration_review(&survey->calibration, aids, bodies, count);
}

/* C27: where no swatches tell of the light, the zones' own colours do. */
static void follow_zones(wm_survey *survey, wm_lab *own)
{
    size_t count = 0;
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        if (!zone->refused)
            own[count++] = zone->base_known ? zone->base.lab : zone->body.lab;
    }
    if (wm_calibration_see_zones(&survey->calibration, own, count))
        for (size_t i = 0; i < survey->zone_count; i++)
            finish(&survey->zones[i], &survey->calibration);
}

/* Ends because every round but the last refuses an aid, and what comes back once (C17) does so when all swatches
 * have gone. */
static wm_status calibrate_and_measure(wm_survey *survey, const wm_survey_input *input, wm_aids *aids, wm_error *err)
{
    wm_lab *bodies = calloc(input->subject_count + 1, sizeof *bodies);
    wm_status status = bodies ? WM_OK : wm_fail_memory(err);
    bool again = true;
    while (!status && again) {
        free_zones(survey);
        wm_calibration_free(&survey->calibration);
        status = wm_calibrate(&survey->calibration, aids, err);
        if (!status)
            status = measure_all(survey, input, err);
        again = !status && review(survey, aids, bodies);
    }
    if (!status)
        follow_zones(survey, bodies);
    free(bodies);
    return status;
}

/* --- the aids of the photo --- */

typedef struct aid_store {
    wm_aids aids;
    wm_aid_reading **readings; /* lent by what is kept; NULL for targets */
    wm_target *targets;
} aid_store;

static void free_store(aid_store *store)
{
    for (size_t i = 0; i < store->aids.count; i++)
        wm_target_free(&store->targets[i]);
    free(store->aids.items);
    free(store->readings);
    free(store->targets);
}

/* C16: a hank of salt and pepper shows other fibres in every photo. */
static double weakness_of(const wm_swatch *swatch)
{
    const double mixed = swatch->gray_share > MIXED_SHARE ? MIXED_U * MIXED_U : 0;
    return *swatch->frame ? mixed + wm_frame_weakness(wm_swatch_u(swatch)) : mixed; /* C32 */
}

static wm_status swatch_reference(wm_aid *out, const wm_catalogue *catalogue, wm_error *err)
{
    const wm_zone *zone = out->zone;
    const wm_swatch *swatch = catalogue ? wm_catalogue_find(catalogue, zone->code) : NULL;
    const char *near = catalogue && !swatch ? wm_catalogue_near_miss(catalogue, zone->code) : NULL;
    if (swatch) {
        out->reference = swatch->lab;
        out->weakness = weakness_of(swatch);
        out->frame = swatch->frame;
        out->u_frame = swatch->u_frame;
        return WM_OK;
    }
    if (!catalogue)
        return wm_fail(err, WM_E_INPUT,
                       "swatch '%s' is in the photo but no catalogue is given; name it with --swatches", zone->code);
    if (near)
        return wm_fail(err, WM_E_INPUT, "swatch '%s' is not in the catalogue; did you mean '%s'?", zone->code, near);
    return wm_fail(err, WM_E_INPUT, "swatch '%s' is not in the catalogue; correct the zone's code or add the swatch",
                   zone->code);
}

static wm_status read_target(wm_target *out, const wm_survey_input *input, const wm_zone *zone, wm_warnings *warnings,
                             wm_error *err)
{
    wm_lab *references = NULL;
    wm_status status = wm_target_references(&references, zone->reference, zone->rows, zone->columns, warnings, err);
    if (!status)
        status = wm_target_read(out, input->photo, zone, references, err);
    free(references);
    return status;
}

/* A swatch's window, whether it is hair, and its pixels that count. */
static wm_status read_swatch(wm_aid_reading *out, const wm_survey_input *input, const wm_zone *zone, wm_error *err)
{
    wm_status status =
        wm_window_read_halved(&out->window, input->photo, zone, wm_window_halvings(zone, input->photo), err);
    if (!status)
        status = wm_reading_judge_hair(&out->hair, &out->window, zone, err);
    return status ? status : wm_aid_sample(&out->body, &out->window, err);
}

/* An aid's pixels as they are, out of what is kept or from the photo. */
static wm_status read_aid(wm_aid_reading **out, const wm_survey_input *input, const wm_zone *zone, wm_error *err)
{
    wm_aid_reading reading = { 0 };
    *out = wm_kept_zones_find_aid(input->kept, zone);
    if (*out)
        return WM_OK;
    wm_status status = zone->kind == WM_ZONE_SWATCH ? read_swatch(&reading, input, zone, err)
                                                    : wm_window_read(&reading.window, input->photo, zone, err);
    if (!status)
        status = wm_kept_zones_new_aid(out, input->kept, zone, err);
    if (status) {
        wm_window_free(&reading.window);
        wm_aid_body_free(&reading.body);
        return status;
    }
    **out = reading;
    return WM_OK;
}

/* A swatch marked beside itself would bend the colour of everything. */
static wm_status take_aid(aid_store *store, size_t i, const wm_survey_input *input, wm_error *err)
{
    wm_aid *aid = &store->aids.items[i];
    wm_status status = aid->zone->kind == WM_ZONE_SWATCH ? swatch_reference(aid, input->catalogue, err) : WM_OK;
    if (!status)
        status = read_aid(&store->readings[i], input, aid->zone, err);
    if (status)
        return status;
    const wm_aid_reading *reading = store->readings[i];
    aid->window = &reading->window;
    aid->body = &reading->body;
    if (aid->zone->kind == WM_ZONE_SWATCH && reading->hair.verdict == WM_HAIR_NO)
        wm_aid_refuse(aid, WM_WARN_NOT_HAIR, "this is not hair (%s)", reading->hair.why);
    return WM_OK;
}

static wm_status read_aids(aid_store *out, const wm_survey_input *input, wm_warnings *warnings, wm_error *err)
{
    const size_t room = input->aid_count + 1;
    *out = (aid_store){ { calloc(room, sizeof *out->aids.items), 0 },
                        calloc(room, sizeof(wm_aid_reading *)),
                        calloc(room, sizeof *out->targets) };
    if (!out->aids.items || !out->readings || !out->targets)
        return wm_fail_memory(err);
    wm_status status = WM_OK;
    for (size_t i = 0; !status && i < input->aid_count; i++) {
        const wm_zone *zone = input->aids[i];
        wm_aid *aid = &out->aids.items[i];
        *aid = (wm_aid){ .zone = zone, .reference = zone->lab };
        out->aids.count = i + 1;
        if (zone->kind == WM_ZONE_TARGET) {
            aid->target = &out->targets[i];
            status = read_target(&out->targets[i], input, zone, warnings, err);
        } else {
            status = take_aid(out, i, input, err);
        }
    }
    return status;
}

/* C32: swatches of one frame count, that of most of them; ties by order. */
static void keep_one_frame(wm_aids *aids)
{
    const char *best = NULL;
    size_t most = 0;
    for (size_t i = 0; i < aids->count; i++) {
        size_t alike = 0;
        for (size_t k = 0; aids->items[i].frame && k < aids->count; k++)
            alike += aids->items[k].frame && strcmp(aids->items[i].frame, aids->items[k].frame) == 0;
        if (alike > most)
            most = alike, best = aids->items[i].frame;
    }
    for (size_t i = 0; i < aids->count; i++)
        if (aids->items[i].frame && strcmp(aids->items[i].frame, best) != 0 && !aids->items[i].refused)
            wm_aid_refuse(&aids->items[i], WM_WARN_AID_DROPPED,
                          "its colour was measured on another sheet than that of the other swatches");
}

/* The frame of the swatches that were used, if any. */
static void note_frame(wm_survey *survey, const wm_aids *aids)
{
    for (size_t i = 0; i < aids->count; i++)
        if (wm_aid_counts(&aids->items[i], WM_ZONE_SWATCH)) {
            survey->has_frame = true;
            snprintf(survey->frame, sizeof survey->frame, "%s", aids->items[i].frame);
            survey->u_frame = fmax(survey->u_frame, aids->items[i].u_frame);
        }
}

/* --- the survey --- */

static wm_status check_measured(const wm_survey *survey, wm_error *err)
{
    for (size_t i = 0; i < survey->zone_count; i++)
        if (!survey->zones[i].refused)
            return WM_OK;
    if (survey->zone_count == 0)
        return wm_fail(err, WM_E_INPUT, "no zone to measure; mark one on the hair");
    return wm_fail(err, WM_E_PHOTO, "no zone can be measured: %.60s: %s; take the photo again or mark other zones",
                   survey->zones[0].zone->name, survey->zones[0].why);
}

static wm_status run(wm_survey *out, const wm_survey_input *input, wm_error *err)
{
    aid_store store = { 0 };
    wm_survey survey = { .zones = calloc(input->subject_count + 1, sizeof *survey.zones) };
    wm_status status = survey.zones ? read_aids(&store, input, &survey.warnings, err) : wm_fail_memory(err);
    if (!status) {
        keep_one_frame(&store.aids);
        status = calibrate_and_measure(&survey, input, &store.aids, err);
    }
    if (!status)
        note_frame(&survey, &store.aids);
    if (!status)
        status = check_measured(&survey, err);
    if (!status)
        wm_survey_warn(&survey, input->photo);
    if (!status && survey.warnings.failed)
        status = wm_fail_memory(err);
    free_store(&store);
    if (status)
        wm_survey_free(&survey);
    else
        *out = survey;
    return status;
}

wm_status wm_survey_run(wm_survey *out, const wm_survey_input *input, wm_error *err)
{
    wm_kept_zones *own = NULL;
    wm_survey_input in = *input;
    if (in.kept && !wm_kept_zones_are_of(in.kept, in.photo))
        return wm_fail(err, WM_E_USAGE, "the kept zones are of another photo; open them for this one");
    if (!in.kept) {
        const wm_status status = wm_kept_zones_open(&own, in.photo, err);
        if (status)
            return status;
        in.kept = own;
    }
    const wm_status status = run(out, &in, err);
    wm_kept_zones_settle(in.kept);
    wm_kept_zones_close(own);
    return status;
}

wm_status wm_survey_zones(wm_survey *out, const wm_survey_marked *marked, wm_error *err)
{
    const wm_zones *zones = marked->zones;
    const wm_zone **list = calloc(zones->count + 1, sizeof *list);
    wm_survey_input input = { .photo = marked->photo, .catalogue = marked->catalogue, .kept = marked->kept };
    if (!list)
        return wm_fail_memory(err);
    for (size_t i = 0; i < zones->count; i++)
        if (wm_zone_is_client(zones->items[i].kind))
            list[input.subject_count++] = &zones->items[i];
    input.aid_count = input.subject_count;
    for (size_t i = 0; i < zones->count; i++)
        if (!wm_zone_is_client(zones->items[i].kind))
            list[input.aid_count++] = &zones->items[i];
    input.subjects = list;
    input.aids = list + input.subject_count;
    input.aid_count -= input.subject_count;
    const wm_status status = wm_survey_run(out, &input, err);
    free(list);
    return status;
}

void wm_survey_free(wm_survey *survey)
{
    free_zones(survey);
    free(survey->zones);
    wm_calibration_free(&survey->calibration);
    wm_warnings_free(&survey->warnings);
    *survey = (wm_survey){ 0 };
}

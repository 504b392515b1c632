#include "measure/calibrate.h"

#include "colour/stats.h"
#include "core/buf.h"
#include "measure/conditions.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SWATCHES_TO_JUDGE = 3 };               /* C16 */
enum { PLACES_FOR_LIGHT = 2 };                /* C27 */
enum { PIXELS_PER_SAMPLE = 25 };              /* C12 */
static const double DARK_GAIN = 0.184 / 0.05; /* C20, told by swatches */
static const double OTHER_LIGHT = 10;         /* C21 */
static const double MISLABELLED_Z = 3.5;      /* C16 */
static const double COLOUR_Z = 1.25;          /* C16 */
static const double VEIL_WHITE = 0.05;        /* C16 */
static const double VEIL_CHROMA = 3.5;        /* C16 */
static const double DISAGREE = 2;             /* C17 */
static const double LIGHT_REACH = 0.5;        /* C27 */
static const double U_SWATCHES = 1.0;         /* C12 */
static const double U_CARD_SWATCHES = 1.05;   /* C12 */
static const double U_CARDS = 0.5;            /* C12 */
static const double U_TARGET = 0.7;           /* C12 */
static const double LABEL_LIGHT_SD = 0.12;    /* C16 */
static const double WEAK_CHANNEL = 0.02;      /* C15 */
static const double FILE_STEP = 1 / 255.0;    /* one code of an 8-bit file */
static const double BALANCE_LEAST = 0.004;

/* --- stage 1 --- */

/* One card: gain (C2). Two: the gain that serves both (C4). Three of different lightness: the curve (C3). */
static void fit_cards(wm_calibration *out, wm_aids *aids)
{
    wm_neutral neutrals[WM_STAGE1_MAX_NEUTRALS];
    const size_t count = wm_aids_card_neutrals(aids, neutrals, NULL);
    if (count == 0)
        return;
    out->stage1 = wm_stage1_fit(neutrals, count);
    if (out->stage1.kind == WM_STAGE1_NONE) {
        wm_aids_refuse(aids, WM_ZONE_CARD, WM_WARN_AID_DROPPED, "one colour channel is black on it");
        return;
    }
    const bool curve = out->stage1.kind == WM_STAGE1_CURVE;
    out->row = curve ? WM_KRIGE_THREE_CARDS : WM_KRIGE_GRAY;
    out->factor = U_CARDS;
    out->aid = count > 1 ? WM_AIDS_CARDS : WM_AIDS_CARD;
}

/* The first target that still counts; the fullest stage (C1), so that cards beside it are left unused. */
static const wm_aid *fit_target(wm_calibration *out, wm_aids *aids)
{
    for (size_t i = 0; i < aids->count; i++) {
        wm_neutral neutrals[WM_STAGE1_MAX_NEUTRALS];
        wm_aid *aid = &aids->items[i];
        if (!wm_aid_counts(aid, WM_ZONE_TARGET))
            continue;
        out->stage1 = wm_stage1_fit(neutrals, wm_target_neutrals(aid->target, neutrals, NULL));
        if (out->stage1.kind == WM_STAGE1_NONE) {
            wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "one colour channel is black on it");
            continue;
        }
        out->row = WM_KRIGE_TARGET;
        out->factor = U_TARGET;
        out->aid = WM_AIDS_TARGET;
        return aid;
    }
    return NULL;
}

/* The body colour of a swatch after stage 1; without a pixel that shows it the swatch is refused. */
static bool body_of(wm_rgb *out, wm_aid *aid, const wm_stage1 *stage1)
{
    if (aid->body->kept.count == 0)
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "no usable pixels");
    else
        *out = wm_aid_body_colour(aid->body, stage1);
    return !aid->refused;
}

static size_t swatch_room(const wm_aids *aids)
{
    return wm_aids_count(aids, WM_ZONE_SWATCH) + 1;
}

/* The swatches that count, before stage 1; how many. */
static size_t see_swatches(wm_seen_swatch *out, wm_aids *aids)
{
    const wm_stage1 none = wm_stage1_none();
    size_t count = 0;
    for (size_t i = 0; i < aids->count; i++) {
        wm_aid *aid = &aids->items[i];
        wm_rgb body;
        if (wm_aid_counts(aid, WM_ZONE_SWATCH) && body_of(&body, aid, &none))
            out[count++] = (wm_seen_swatch){ body, aid->reference, aid->weakness };
    }
    return count;
}

/* C5 */
static wm_status fit_exposure(wm_calibration *out, const wm_seen_swatch *swatches, size_t count, wm_error *err)
{
    double *ratio = calloc(count + 1, sizeof *ratio);
    if (!ratio)
        return wm_fail_memory(err);
    for (size_t i = 0; i < count; i++)
        ratio[i] =
            wm_rgb_luminance(wm_lab_to_rgb(swatches[i].reference)) / fmax(wm_rgb_luminance(swatches[i].body), 1e-6);
    out->stage1 = wm_stage1_exposure(ratio, count);
    out->row = WM_KRIGE_SWATCH;
    if (out->stage1.gain[1] > DARK_GAIN)
        wm_warn(&out->warnings, WM_WARN_TOO_DARK, "", "by its swatches");
    free(ratio);
    return WM_OK;
}

/* C21, before contrast could explain it. */
static void judge_same_light(wm_calibration *out, const wm_seen_swatch *swatches, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        const wm_lab seen = wm_rgb_to_lab(wm_stage1_apply(&out->stage1, swatches[i].body));
        sum += hypot(swatches[i].reference.a - seen.a, swatches[i].reference.b - seen.b);
    }
    if (count > 0 && sum / (double)count > OTHER_LIGHT) {
        char detail[60];
        snprintf(detail, sizeof detail, "swatches off by %.0f in chroma", sum / (double)count);
        wm_warn(&out->warnings, WM_WARN_CARD_NOT_IN_SAME_LIGHT, "card", detail);
    }
}

/* Exposure by the swatches where nothing else gives it, and the camera's contrast (C16) where no curve has taken it
 * off. */
static wm_status fit_swatches(wm_calibration *out, wm_aids *aids, wm_error *err)
{
    wm_seen_swatch *swatches = calloc(swatch_room(aids), sizeof *swatches);
    if (!swatches)
        return wm_fail_memory(err);
    const size_t count = see_swatches(swatches, aids);
    wm_status status = WM_OK;
    if (count > 0 && out->stage1.kind == WM_STAGE1_NONE)
        status = fit_exposure(out, swatches, count, err);
    else if (out->stage1.kind != WM_STAGE1_NONE)
        judge_same_light(out, swatches, count);
    if (!status && (out->stage1.kind == WM_STAGE1_EXPOSURE || out->row == WM_KRIGE_GRAY))
        out->stage1 = wm_conditions_stage1(&out->stage1, out->row, swatches, count, &out->contrast_sd);
    free(swatches);
    return status;
}

/* --- stage 2: the aids of kriging --- */

static wm_status reserve(wm_calibration *out, size_t count, wm_error *err)
{
    out->used = calloc(count + 1, sizeof *out->used);
    out->pairs = calloc(count + 1, sizeof *out->pairs);
    out->places = calloc(count + 1, sizeof *out->places);
    out->where = calloc(count + 1, sizeof *out->where);
    return out->used && out->pairs && out->places && out->where ? WM_OK : wm_fail_memory(err);
}

static void add_used(wm_calibration *out, const wm_zone *zone, wm_krige_aid pair)
{
    const int known = zone->at ? wm_calibration_place(out, zone->at) : 0;
    out->used[out->used_count] = (wm_used_aid){ .zone = zone, .measured = pair.measured, .reference = pair.reference };
    out->where[out->used_count] = known ? out->where[known - 1] : wm_zone_middle(zone);
    if (zone->at)
        out->places[out->used_count] = known ? known : (int)out->used_count + 1;
    out->pairs[out->used_count++] = pair;
}

static wm_status use_patches(wm_calibration *out, const wm_aid *aid, wm_error *err)
{
    const int patches = aid->target->rows * aid->target->columns;
    const wm_status status = reserve(out, (size_t)patches, err);
    for (int i = 0; !status && i < patches; i++) {
        const wm_patch *patch = &aid->target->patches[i];
        if (*patch->why)
            continue;
        add_used(out, aid->zone,
                 (wm_krige_aid){ wm_rgb_to_lab(wm_stage1_apply(&out->stage1, patch->mean)), patch->reference, 0 });
        snprintf(out->used[out->used_count - 1].name, WM_AID_NAME_SIZE, "%.40s patch %d,%d", aid->name,
                 i / aid->target->columns + 1, i % aid->target->columns + 1);
    }
    return status;
}

/* C9: the patches become the first pass, the swatches follow. */
static void begin_second_pass(wm_calibration *out)
{
    out->first_pass = out->pairs;
    out->first_count = out->used_count;
    free(out->used);
    free(out->places);
    free(out->where);
    out->used = NULL, out->pairs = NULL, out->places = NULL, out->where = NULL, out->used_count = 0;
    out->row = WM_KRIGE_TARGET_AND_SWATCHES;
}

static wm_status use_swatches(wm_calibration *out, wm_aids *aids, wm_error *err)
{
    if (out->used)
        begin_second_pass(out);
    wm_status status = reserve(out, aids->count, err);
    for (size_t i = 0; !status && i < aids->count; i++) {
        wm_aid *aid = &aids->items[i];
        wm_rgb body;
        if (!wm_aid_counts(aid, WM_ZONE_SWATCH) || !body_of(&body, aid, &out->stage1))
            continue;
        add_used(out, aid->zone, (wm_krige_aid){ wm_rgb_to_lab(body), aid->reference, aid->weakness });
        snprintf(out->used[out->used_count - 1].name, WM_AID_NAME_SIZE, "%s", aid->name);
    }
    return status;
}

static int places_told(const wm_calibration *out)
{
    int told = 0;
    for (size_t i = 0; i < out->used_count; i++)
        told += out->places[i] == (int)i + 1; /* the first at its place */
    return told;
}

/* Half the distance between the two swatches that lie farthest apart. */
static double reach_of(const wm_calibration *calibration)
{
    double farthest = 0;
    for (size_t i = 0; i < calibration->used_count; i++)
        for (size_t k = 0; k < i; k++)
            farthest = fmax(farthest, hypot(calibration->where[i].x - calibration->where[k].x,
                                            calibration->where[i].y - calibration->where[k].y));
    return LIGHT_REACH * farthest;
}

/* C27 */
static void judge_light(wm_calibration *out)
{
    const bool told = out->used_count >= WM_CONDITIONS_LEAST && places_told(out) >= PLACES_FOR_LIGHT;
    out->reach = told ? reach_of(out) : 0;
    for (size_t i = 0; i < out->used_count && out->reach > 0; i++)
        out->where[i] = (wm_point){ out->where[i].x / out->reach, out->where[i].y / out->reach };
    out->light_sd = wm_conditions_light(
        &(wm_krige_set){ out->row, out->pairs, out->used_count, { .where = out->reach > 0 ? out->where : NULL } });
}

/* C16: a colour after stage 1, had the contrast been one sd more; an exposure leaves the swatches' light as it is. */
static wm_lab bent(const wm_calibration *calibration, wm_lab lab)
{
    return wm_rgb_to_lab(wm_stage1_bend(wm_lab_to_rgb(lab), exp(calibration->contrast_sd), calibration->bent_about));
}

static wm_status bend_pairs(wm_calibration *out, wm_error *err)
{
    double ln = 0;
    if (!(out->contrast_sd > 0) || out->used_count == 0)
        return WM_OK;
    out->bent = calloc(out->used_count, sizeof *out->bent);
    if (!out->bent)
        return wm_fail_memory(err);
    for (size_t i = 0; i < out->used_count; i++)
        ln += log(fmax(wm_rgb_luminance(wm_lab_to_rgb(out->pairs[i].measured)), 1e-6)) / (double)out->used_count;
    out->bent_about = out->stage1.kind == WM_STAGE1_EXPOSURE ? exp(ln) : 0;
    for (size_t i = 0; i < out->used_count; i++) {
        out->bent[i] = out->pairs[i];
        out->bent[i].measured = bent(out, out->pairs[i].measured);
    }
    return WM_OK;
}

/* Takes the first pass of C9 through, which the swatches of the second one see as their measured colours. */
static wm_status pass_swatches_on(wm_calibration *out, wm_error *err)
{
    const wm_krige_set patches = { .row = WM_KRIGE_TARGET, .aids = out->first_pass, .count = out->first_count };
    for (size_t i = 0; i < out->used_count; i++) {
        wm_kriged kriged;
        if (!wm_krige(&kriged, &patches, out->pairs[i].measured))
            return wm_fail(err, WM_E_BUG, "the target's patches can't be interpolated");
        out->pairs[i].measured = out->used[i].measured = kriged.lab;
    }
    return WM_OK;
}

static wm_status fit_aids(wm_calibration *out, wm_aids *aids, wm_error *err)
{
    wm_status status = WM_OK;
    const wm_aid *target = fit_target(out, aids);
    if (target)
        status = use_patches(out, target, err);
    else
        fit_cards(out, aids);
    const bool flat = out->stage1.kind != WM_STAGE1_NONE;
    if (!status && !target)
        status = fit_swatches(out, aids, err);
    if (status || wm_aids_count(aids, WM_ZONE_SWATCH) == 0)
        return status;
    status = use_swatches(out, aids, err);
    if (status || out->used_count == 0)
        return status;
    out->factor = flat ? U_CARD_SWATCHES : U_SWATCHES;
    out->aid = (wm_aid_set)(out->aid + WM_AIDS_SWATCHES);
    if (target)
        status = pass_swatches_on(out, err);
    judge_light(out);
    return status ? status : bend_pairs(out, err);
}

/* --- what was left out --- */

static void drop(wm_calibration *out, const char *name, const char *why)
{
    wm_dropped *dropped = &out->dropped[out->dropped_count++];
    snprintf(dropped->zone, sizeof dropped->zone, "%s", name);
    snprintf(dropped->why, sizeof dropped->why, "%s", why);
}

static void list_patches(wm_calibration *out, const wm_aid *aid)
{
    for (int i = 0; i < aid->target->rows * aid->target->columns; i++)
        if (*aid->target->patches[i].why) {
            char name[WM_AID_NAME_SIZE];
            snprintf(name, sizeof name, "%.40s patch %d,%d", aid->name, i / aid->target->columns + 1,
                     i % aid->target->columns + 1);
            drop(out, name, aid->target->patches[i].why);
        }
}

static wm_status list_dropped(wm_calibration *out, const wm_aids *aids, wm_error *err)
{
    const bool target_used = out->row == WM_KRIGE_TARGET || out->row == WM_KRIGE_TARGET_AND_SWATCHES;
    bool target_seen = false;
    size_t most = aids->count + 1;
    for (size_t i = 0; i < aids->count; i++)
        if (aids->items[i].target)
            most += (size_t)(aids->items[i].target->rows * aids->items[i].target->columns);
    out->dropped = calloc(most, sizeof *out->dropped);
    if (!out->dropped)
        return wm_fail_memory(err);
    for (size_t i = 0; i < aids->count; i++) {
        const wm_aid *aid = &aids->items[i];
        if (aid->refused) {
            drop(out, aid->name, aid->why);
            wm_warn_why(&out->warnings, aid->reason, aid->name, aid->why);
        } else if (aid->zone->kind == WM_ZONE_CARD && target_used) {
            drop(out, aid->name, "not needed beside the target");
        } else if (aid->zone->kind == WM_ZONE_TARGET && target_seen) {
            drop(out, aid->name, "one target is enough");
        } else if (aid->zone->kind == WM_ZONE_TARGET) {
            list_patches(out, aid);
            target_seen = true;
        }
    }
    return WM_OK;
}

wm_status wm_calibrate(wm_calibration *out, wm_aids *aids, wm_error *err)
{
    wm_calibration calibration = { .stage1 = wm_stage1_none(),
                                   .row = WM_KRIGE_NONE,
                                   .light_sd = wm_conditions_light(&(wm_krige_set){ 0 }),
                                   .factor = 1,
                                   .agreement = -1 };
    wm_aids_judge(aids, &calibration.warnings);
    wm_status status = fit_aids(&calibration, aids, err);
    if (!status)
        status = list_dropped(&calibration, aids, err);
    if (calibration.used_count == 0) /* C24: no aid, or cards alone */
        calibration.at_best = WM_CLAIM_ROUGH;
    if (calibration.aid == WM_AIDS_NONE)
        wm_warn(&calibration.warnings, WM_WARN_NO_AID, "", "");
    if (wm_aids_count(aids, WM_ZONE_SWATCH) == 0) /* with swatches in the frame the light matters little; C22 */
        wm_warn(&calibration.warnings, WM_WARN_LIGHT_UNKNOWN, "", "");
    if (!status && calibration.warnings.failed)
        status = wm_fail_memory(err);
    if (status)
        wm_calibration_free(&calibration);
    else
        *out = calibration;
    return status;
}

void wm_calibration_free(wm_calibration *calibration)
{
    free(calibration->used);
    free(calibration->pairs);
    free(calibration->places);
    free(calibration->where);
    free(calibration->first_pass);
    free(calibration->bent);
    free(calibration->dropped);
    wm_warnings_free(&calibration->warnings);
    *calibration = (wm_calibration){ 0 };
}

/* --- the zones --- */

wm_rgb wm_calibration_balance(const wm_calibration *calibration)
{
    wm_rgb known = { 0, 0, 0 }, seen = { 0, 0, 0 };
    if (calibration->stage1.kind != WM_STAGE1_EXPOSURE || calibration->used_count == 0)
        return (wm_rgb){ 1, 1, 1 };
    for (size_t i = 0; i < calibration->used_count; i++) {
        known = wm_rgb_add(known, wm_lab_to_rgb(calibration->used[i].reference));
        seen = wm_rgb_add(seen, wm_lab_to_rgb(calibration->used[i].measured));
    }
    /* Dark, strongly coloured swatches say little of a channel that they hardly reflect. */
    if (fmin(fmin(known.r, known.g), known.b) < BALANCE_LEAST || fmin(fmin(seen.r, seen.g), seen.b) < BALANCE_LEAST)
        return (wm_rgb){ 1, 1, 1 };
    const wm_rgb gain = { known.r / seen.r, known.g / seen.g, known.b / seen.b };
    return wm_rgb_scale(gain, 1 / wm_rgb_luminance(gain));
}

bool wm_calibration_sees_sheen(const wm_calibration *calibration)
{
    const bool cards = calibration->row == WM_KRIGE_GRAY || calibration->row == WM_KRIGE_THREE_CARDS;
    return calibration->row == WM_KRIGE_TARGET || (cards && calibration->used_count == 0);
}

/* The light as the swatches show it (C27), so that a zone follows those near to it as far as they differ. zone: where
 * it lies, in reaches, or NULL. */
static wm_krige_light light_at(const wm_calibration *calibration, const wm_point *zone)
{
    if (calibration->reach <= 0)
        return (wm_krige_light){ 0 };
    return (wm_krige_light){ calibration->light_sd, calibration->where, zone };
}

/* A swatch held at a zone says where that hangs. */
static wm_point where_is(const wm_calibration *calibration, const wm_sampled *sampled)
{
    if (sampled->place > 0)
        return calibration->where[sampled->place - 1];
    return (wm_point){ sampled->where.x / calibration->reach, sampled->where.y / calibration->reach };
}

/* C6 to C9; light as in wm_krige_set, for the last pass. */
static bool krige(wm_kriged *out, const wm_calibration *calibration, wm_lab z, wm_krige_light light)
{
    const wm_krige_set first = { .row = WM_KRIGE_TARGET,
                                 .aids = calibration->first_pass,
                                 .count = calibration->first_count };
    const wm_krige_set last = { calibration->row, calibration->pairs, calibration->used_count, light };
    if (first.count > 0) {
        if (!wm_krige(out, &first, z))
            return false;
        z = out->lab;
    }
    return wm_krige(out, &last, z);
}

/* C16: light and sheen err in L*; what errs in a* and b* together is rather the label. */
static void note_scores(wm_calibration *calibration, const wm_kriged *kriged)
{
    for (int i = 0; i < kriged->used; i++) {
        const double *z = kriged->z_score[i], score = fmax(fabs(z[0]), COLOUR_Z * hypot(z[1], z[2]));
        double *largest = &calibration->used[kriged->nearest[i]].largest_z;
        *largest = fmax(*largest, score);
    }
}

static const wm_used_aid *worst_of(const wm_calibration *calibration)
{
    const wm_used_aid *worst = &calibration->used[0];
    for (size_t i = 1; i < calibration->used_count; i++)
        if (calibration->used[i].largest_z > worst->largest_z)
            worst = &calibration->used[i];
    return worst;
}

/* C16: what the other swatches make of one, whose own reference is given no weight. */
static bool as_others_say(wm_lab *out, wm_calibration *calibration, size_t swatch)
{
    static const double NO_WEIGHT = 1e6;
    const wm_krige_set set = {
        calibration->row, calibration->pairs, calibration->used_count, { .sd = LABEL_LIGHT_SD }
    };
    wm_kriged kriged;
    wm_krige_aid *pair = &calibration->pairs[swatch];
    const double weakness = pair->weakness;
    pair->weakness = NO_WEIGHT;
    const bool good = wm_krige(&kriged, &set, pair->measured);
    pair->weakness = weakness;
    *out = kriged.lab;
    return good;
}

/* C16: a band of sheen, which lies over the hair beside the swatch as well, adds white to what the label says: as
 * much in every channel. */
static bool is_veiled(wm_calibration *calibration, size_t swatch)
{
    wm_lab seen;
    if (!as_others_say(&seen, calibration, swatch))
        return false;
    const wm_lab is = calibration->used[swatch].reference;
    const wm_rgb rgb = wm_lab_to_rgb(seen);
    const double white = wm_rgb_luminance(rgb) - wm_rgb_luminance(wm_lab_to_rgb(is));
    const wm_lab bare = wm_rgb_to_lab(wm_rgb_add(rgb, (wm_rgb){ -white, -white, -white }));
    return white > 0 && white < VEIL_WHITE && hypot(bare.a - is.a, bare.b - is.b) < VEIL_CHROMA;
}

/* C16: true when a swatch was dropped; once for a photo. The scores allow for C27's differences of light: without them
 * every second head that is lit unevenly by 18 % loses a right swatch, with them hardly one, and as many wrong labels
 * are found. */
static bool drop_mislabelled(wm_calibration *calibration, wm_aids *aids)
{
    const wm_used_aid *worst = worst_of(calibration);
    char detail[60], number[40];
    if (worst->largest_z <= MISLABELLED_Z)
        return false;
    if (is_veiled(calibration, (size_t)(worst - calibration->used))) {
        wm_warn(&calibration->warnings, WM_WARN_HAIR_WET_OR_SHINY, worst->name, "lighter than its label says");
        return false;
    }
    snprintf(detail, sizeof detail, "off by %s standard deviations",
             wm_number_text(number, fmin(worst->largest_z, 99), 1));
    if (calibration->used_count < SWATCHES_TO_JUDGE) {
        wm_warn(&calibration->warnings, WM_WARN_FEW_SWATCHES, worst->name, detail);
        return false;
    }
    wm_aid *found = NULL;
    for (size_t i = 0; i < aids->count; i++) {
        if (aids->items[i].refused && aids->items[i].reason == WM_WARN_SWATCH_MISLABELLED)
            return false;
        if (aids->items[i].zone == worst->zone)
            found = &aids->items[i];
    }
    if (found)
        wm_aid_refuse(found, WM_WARN_SWATCH_MISLABELLED, "does not agree with the other swatches (%s)", detail);
    return found;
}

/* Whether the swatches say the same once nothing else is asked: row swatch leaves an offset of all of them free. */
static bool swatches_agree(const wm_calibration *calibration)
{
    const wm_krige_set alone = { WM_KRIGE_SWATCH, calibration->pairs, calibration->used_count,
                                 light_at(calibration, NULL) };
    wm_kriged kriged;
    return wm_krige(&kriged, &alone, calibration->pairs[0].measured) && kriged.disagreement < WM_KRIGE_S2_HIGH;
}

/* C17 at its limit: somebody is wrong. Two swatches that agree outvote card or target: they hang at the hair. A single
 * one that nobody seconds goes itself. Swatches that contradict each other stay with what they lie beside: that widens
 * u, and no aid at all would be worse. True when something was refused. */
static bool settle_contradiction(const wm_calibration *calibration, wm_aids *aids)
{
    static const char WHY[] = "contradicts the other aids";
    const bool target = calibration->row == WM_KRIGE_TARGET || calibration->row == WM_KRIGE_TARGET_AND_SWATCHES;
    const size_t swatches = wm_aids_count(aids, WM_ZONE_SWATCH);
    if (calibration->row == WM_KRIGE_SWATCH || (swatches > 1 && !swatches_agree(calibration)))
        return false;
    const wm_zone_kind first = target ? WM_ZONE_TARGET : WM_ZONE_CARD;
    wm_aids_refuse(aids, swatches == 1 ? WM_ZONE_SWATCH : first, WM_WARN_AIDS_DISAGREE, WHY);
    return true;
}

bool wm_calibration_review(wm_calibration *calibration, wm_aids *aids, const wm_lab *zones, size_t count)
{
    const bool swatches = calibration->row != WM_KRIGE_TARGET;
    if (calibration->used_count == 0)
        return false;
    for (size_t i = 0; i < count; i++) {
        wm_kriged kriged;
        if (!krige(&kriged, calibration, zones[i], light_at(calibration, NULL))) /* C25 */
            kriged = (wm_kriged){ .disagreement = WM_KRIGE_S2_HIGH };
        calibration->agreement = fmax(calibration->agreement, kriged.disagreement);
        if (swatches && krige(&kriged, calibration, zones[i], (wm_krige_light){ .sd = LABEL_LIGHT_SD }))
            note_scores(calibration, &kriged);
    }
    if (swatches && drop_mislabelled(calibration, aids))
        return true;
    if (calibration->agreement >= WM_KRIGE_S2_HIGH && settle_contradiction(calibration, aids))
        return true;
    if (calibration->agreement > DISAGREE) {
        char detail[64], number[40];
        snprintf(detail, sizeof detail, "%s times what is usual", wm_number_text(number, calibration->agreement, 1));
        wm_warn(&calibration->warnings, WM_WARN_AIDS_DISAGREE, "", detail);
    }
    return false;
}

bool wm_calibration_see_zones(wm_calibration *calibration, const wm_lab *own, size_t count)
{
    if (calibration->row != WM_KRIGE_TARGET && calibration->used_count >= WM_CONDITIONS_LEAST)
        return false;
    calibration->light_sd = wm_conditions_light_of_zones(own, count);
    return true;
}

int wm_calibration_place(const wm_calibration *calibration, const char *zone_name)
{
    for (size_t i = 0; i < calibration->used_count; i++) {
        const char *at = calibration->used[i].zone->at;
        if (at && strcmp(at, zone_name) == 0)
            return calibration->places[i];
    }
    return 0;
}

double wm_calibration_samples(size_t pixels)
{
    return fmax((double)pixels, 1) / PIXELS_PER_SAMPLE;
}

wm_rgb wm_calibration_weakness(const wm_calibration *calibration, wm_rgb encoded_mean)
{
    const double file[3] = { encoded_mean.r, encoded_mean.g, encoded_mean.b };
    wm_rgb linear = { wm_srgb_decode(file[0]), wm_srgb_decode(file[1]), wm_srgb_decode(file[2]) };
    const wm_rgb at = wm_stage1_apply(&calibration->stage1, linear);
    linear = (wm_rgb){ wm_srgb_decode(file[0] + FILE_STEP), wm_srgb_decode(file[1] + FILE_STEP),
                       wm_srgb_decode(file[2] + FILE_STEP) };
    const wm_rgb next = wm_stage1_apply(&calibration->stage1, linear);
    return (wm_rgb){ file[0] < WEAK_CHANNEL ? next.r - at.r : 0, file[1] < WEAK_CHANNEL ? next.g - at.g : 0,
                     file[2] < WEAK_CHANNEL ? next.b - at.b : 0 };
}

/* What the weak channels do to the colour, added to its variance. */
static void add_weakness(wm_lab *variance, const wm_sampled *sampled)
{
    const wm_rgb rgb = wm_lab_to_rgb(sampled->lab), weak = sampled->weakness;
    const wm_rgb moved[3] = { { rgb.r + weak.r, rgb.g, rgb.b },
                              { rgb.r, rgb.g + weak.g, rgb.b },
                              { rgb.r, rgb.g, rgb.b + weak.b } };
    for (int c = 0; c < 3; c++) {
        const wm_lab lab = wm_rgb_to_lab(moved[c]), from = wm_rgb_to_lab(rgb);
        variance->L += pow(lab.L - from.L, 2);
        variance->a += pow(lab.a - from.a, 2);
        variance->b += pow(lab.b - from.b, 2);
    }
}

/* Stage 2 of a colour in the light of its place; bends: had the contrast been one sd more. */
static bool krige_in_place(wm_kriged *out, const wm_calibration *calibration, const wm_sampled *sampled, bool bends)
{
    wm_point where;
    wm_krige_light light = { 0 };
    if (sampled->place != WM_PLACE_FLAT && calibration->reach > 0) {
        where = where_is(calibration, sampled);
        light = light_at(calibration, &where);
    }
    if (!bends)
        return krige(out, calibration, sampled->lab, light);
    const wm_krige_set set = { calibration->row, calibration->bent, calibration->used_count, light };
    return wm_krige(out, &set, bent(calibration, sampled->lab));
}

/* C16: the contrast that the swatches leave possible moves what lies far from all of them, as gray does from dark hair;
 * added to its variance. */
static void add_contrast(wm_lab *variance, const wm_calibration *calibration, const wm_sampled *sampled, wm_lab lab)
{
    wm_kriged other;
    if (!calibration->bent || !krige_in_place(&other, calibration, sampled, true))
        return;
    variance->L += pow(other.lab.L - lab.L, 2);
    variance->a += pow(other.lab.a - lab.a, 2);
    variance->b += pow(other.lab.b - lab.b, 2);
}

/* C12, C15, C16, C17, C27, G6 */
static wm_lab sigma_of(const wm_calibration *calibration, const wm_sampled *sampled, const wm_kriged *k)
{
    const double samples = wm_calibration_samples(sampled->pixels);
    const bool told = sampled->place || calibration->reach > 0; /* by a swatch there, or by kriging */
    const double light = told ? 0 : wm_light_to_lightness(calibration->light_sd, k->lab.L);
    const double scale = calibration->factor * calibration->factor * k->disagreement;
    const wm_lab sd = sampled->sd;
    const double doubt = sampled->doubt_L;
    wm_lab variance = { scale * k->variance[0] + sd.L * sd.L / samples + light * light + doubt * doubt,
                        scale * k->variance[1] + sd.a * sd.a / samples,
                        scale * k->variance[2] + sd.b * sd.b / samples };
    add_weakness(&variance, sampled);
    add_contrast(&variance, calibration, sampled, k->lab);
    return (wm_lab){ sqrt(variance.L), sqrt(variance.a), sqrt(variance.b) };
}

bool wm_calibration_finish(const wm_calibration *calibration, const wm_sampled *sampled, wm_measured *out)
{
    wm_kriged k;
    if (!krige_in_place(&k, calibration, sampled, false))
        return false;
    wm_measured finished = { .lab = k.lab, .sigma = sigma_of(calibration, sampled, &k), .kept = sampled->pixels };
    finished.lab.L = fmin(fmax(finished.lab.L, 0), 100);
    finished.u_de00 = wm_sigma_to_u(finished.lab, finished.sigma);
    finished.claim = wm_claim_at_best(finished.u_de00, calibration->at_best);
    if (!isfinite(finished.u_de00) || !wm_lab_valid(finished.lab))
        return false;
    *out = finished;
    return true;
}

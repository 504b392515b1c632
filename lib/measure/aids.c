#include "measure/aids.h"

#include "measure/gray.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const WM_AID_SET_WORDS[] = { "none",          "card",           "cards",           "target", "swatches",
                                         "card+swatches", "cards+swatches", "target+swatches", NULL };

const char *wm_aid_set_name(wm_aid_set aids)
{
    return wm_word_of(WM_AID_SET_WORDS, aids);
}

enum { LEAST_PATCHES = 6 };               /* C25 */
static const double CLIPPED_AID = 0.05;   /* C15 */
static const double CARD_UNEVEN = 0.05;   /* C19 */
static const double CARD_REJECTED = 0.12; /* C19 */
static const double CARD_LEVEL = 0.184;   /* a gray card's reflectance */
static const double DARK_CARD = 0.05;     /* C20 */
static const double TOO_DARK_CARD = 0.02; /* C20 */
static const double WHITE_CARD = 0.44;    /* C20 */

void wm_aid_refuse(wm_aid *aid, wm_warning_kind reason, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    vsnprintf(aid->why, sizeof aid->why, format, list);
    va_end(list);
    aid->refused = true;
    aid->reason = reason;
}

bool wm_aid_counts(const wm_aid *aid, wm_zone_kind kind)
{
    return aid->zone->kind == kind && !aid->refused;
}

size_t wm_aids_count(const wm_aids *aids, wm_zone_kind kind)
{
    size_t count = 0;
    for (size_t i = 0; i < aids->count; i++)
        count += wm_aid_counts(&aids->items[i], kind);
    return count;
}

void wm_aids_refuse(wm_aids *aids, wm_zone_kind kind, wm_warning_kind reason, const char *why)
{
    for (size_t i = 0; i < aids->count; i++)
        if (wm_aid_counts(&aids->items[i], kind))
            wm_aid_refuse(&aids->items[i], reason, "%s", why);
}

wm_status wm_aid_sample(wm_aid_body *out, wm_window *window, wm_error *err)
{
    wm_aid_body body = { 0 };
    wm_cleaning cleaning;
    wm_gray gray;
    wm_status status = wm_window_clean(window, &cleaning, err);
    if (!status)
        status = wm_window_kept(&body.kept, window, err);
    if (!status && body.kept.count > 0) {
        const wm_gray_input input = { .pixels = body.kept.pixels, .count = body.kept.count, .without_sd = true };
        status = wm_gray_measure(&gray, &input, err);
        body.base = gray.base;
        body.gap = gray.gap_below_y / wm_rgb_luminance(gray.base);
    }
    if (status)
        wm_aid_body_free(&body);
    else
        *out = body;
    return status;
}

void wm_aid_body_free(wm_aid_body *body)
{
    free(body->kept.pixels);
    *body = (wm_aid_body){ 0 };
}

wm_rgb wm_aid_body_colour(const wm_aid_body *body, const wm_stage1 *stage1)
{
    enum { RUN = 256 };
    const size_t all = body->kept.count + body->kept.burnt;
    const double gap_below_y = body->gap * wm_rgb_luminance(wm_stage1_apply(stage1, body->base));
    wm_rgb run[RUN], sum = { 0, 0, 0 };
    size_t count = 0;
    for (size_t start = 0; start < all; start += RUN) {
        const size_t n = all - start < RUN ? all - start : RUN;
        memcpy(run, body->kept.pixels + start, n * sizeof *run);
        wm_stage1_apply_many(stage1, run, n);
        for (size_t i = 0; i < n; i++)
            if (start + i >= body->kept.count || wm_rgb_luminance(run[i]) >= gap_below_y) {
                sum = wm_rgb_add(sum, run[i]);
                count++;
            }
    }
    return wm_rgb_scale(sum, 1 / (double)count);
}

static bool alike(const wm_zone *one, const wm_zone *other)
{
    return one->kind == other->kind && (one->kind != WM_ZONE_SWATCH || strcmp(one->code, other->code) == 0);
}

/* "swatch oat", "card"; numbered when there are several alike. */
static void name_aids(wm_aids *aids)
{
    for (size_t i = 0; i < aids->count; i++) {
        wm_aid *aid = &aids->items[i];
        const bool swatch = aid->zone->kind == WM_ZONE_SWATCH;
        size_t number = 1, total = 0;
        for (size_t k = 0; k < aids->count; k++)
            if (alike(aids->items[k].zone, aid->zone)) {
                total++;
                number += k < i;
            }
        const int length = snprintf(aid->name, sizeof aid->name, "%s%s%.60s", wm_zone_kind_name(aid->zone->kind),
                                    swatch ? " " : "", swatch ? aid->zone->code : "");
        if (total > 1)
            snprintf(aid->name + length, sizeof aid->name - (size_t)length, " %zu", number);
    }
}

/* C20, told by exposure: l / reference, so that a white card is asked for as much light as a gray one. */
static void judge_exposure(wm_warnings *warnings, wm_aid *aid, double l_green, wm_rgb reference)
{
    const double level = l_green * CARD_LEVEL / fmax(reference.g, 1e-6);
    char detail[80];
    snprintf(detail, sizeof detail, "%.0f %% of full exposure", 100 * fmax(level, 0) / CARD_LEVEL);
    if (level < TOO_DARK_CARD)
        wm_aid_refuse(aid, WM_WARN_TOO_DARK, "too dark: %s", detail);
    else if (level < DARK_CARD)
        wm_warn(warnings, WM_WARN_TOO_DARK, aid->name, detail);
}

/* C20's limit within the card: a channel that much darker than green takes a gain that multiplies the steps of the file
 * nine times. A target's other patches make up for it, a card has none. */
static void judge_channels(wm_aid *aid, wm_rgb measured, wm_rgb reference)
{
    const double least = fmin(measured.r / fmax(reference.r, 1e-6), measured.b / fmax(reference.b, 1e-6));
    if (!aid->refused && least * CARD_LEVEL < TOO_DARK_CARD * measured.g / fmax(reference.g, 1e-6))
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "one colour channel is nearly black on it");
}

static bool judge_window(wm_aid *aid)
{
    if (aid->window->zone_pixels == 0)
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "no pixels");
    else if (aid->window->extreme_share > CLIPPED_AID)
        wm_aid_refuse(aid, WM_WARN_CLIPPED_AID, "blown out or black in %.0f %% of it",
                      100 * aid->window->extreme_share);
    return !aid->refused;
}

static void judge_card(wm_warnings *warnings, wm_aid *aid)
{
    const double spread = wm_window_corner_spread(aid->window);
    char detail[80];
    if (!wm_lab_is_neutral(aid->reference)) {
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "a coloured card can't set the white balance; use a gray one");
        return;
    }
    if (!judge_window(aid))
        return;
    snprintf(detail, sizeof detail, "by %.0f %%", 100 * spread);
    if (spread > CARD_REJECTED) {
        wm_aid_refuse(aid, WM_WARN_CARD_UNEVEN, "uneven light or glare: %s", detail);
        return;
    }
    if (spread > CARD_UNEVEN)
        wm_warn(warnings, WM_WARN_CARD_UNEVEN, aid->name, detail);
    const wm_rgb mean = wm_window_flat(aid->window).mean, reference = wm_lab_to_rgb(aid->reference);
    judge_exposure(warnings, aid, mean.g, reference);
    judge_channels(aid, mean, reference);
    if (!aid->refused && mean.g * CARD_LEVEL > WHITE_CARD * reference.g)
        wm_warn(warnings, WM_WARN_CARD_LOOKS_WHITE, aid->name, "");
}

static wm_neutral lightest(const wm_neutral *neutrals, size_t count)
{
    wm_neutral best = neutrals[0];
    for (size_t i = 1; i < count; i++)
        if (neutrals[i].reference.g > best.reference.g)
            best = neutrals[i];
    return best;
}

static int usable_patches(const wm_target *target)
{
    int usable = 0;
    for (int i = 0; i < target->rows * target->columns; i++)
        usable += !*target->patches[i].why;
    return usable;
}

/* C18, C20, C25, and a target marked the wrong way round. */
static void judge_target(wm_warnings *warnings, wm_aid *aid)
{
    wm_neutral neutrals[WM_STAGE1_MAX_NEUTRALS];
    double e_green[WM_STAGE1_MAX_NEUTRALS];
    const size_t count = wm_target_neutrals(aid->target, neutrals, e_green);
    const int usable = usable_patches(aid->target);
    if (aid->target->turned)
        wm_aid_refuse(aid, WM_WARN_TARGET_TURNED, "marked the wrong way round: %s", aid->target->hint);
    else if (usable < LEAST_PATCHES)
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "only %d usable patches, %d are needed", usable, LEAST_PATCHES);
    else if (count == 0)
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED, "no usable neutral patch");
    else if (!wm_neutrals_rise(neutrals, e_green, count))
        wm_aid_refuse(aid, WM_WARN_AID_DROPPED,
                      "its gray patches are not in the order of its reference: check corners, rows and columns");
    else
        judge_exposure(warnings, aid, lightest(neutrals, count).measured.g, lightest(neutrals, count).reference);
    if (usable < aid->target->rows * aid->target->columns && !aid->refused) {
        char detail[40];
        snprintf(detail, sizeof detail, "%d of %d", aid->target->rows * aid->target->columns - usable,
                 aid->target->rows * aid->target->columns);
        wm_warn(warnings, WM_WARN_TARGET_PATCHES, aid->name, detail);
    }
}

size_t wm_aids_card_neutrals(const wm_aids *aids, wm_neutral *out, double *e_green)
{
    size_t count = 0;
    for (size_t i = 0; i < aids->count && count < WM_STAGE1_MAX_NEUTRALS; i++)
        if (wm_aid_counts(&aids->items[i], WM_ZONE_CARD)) {
            const wm_aid *aid = &aids->items[i];
            if (e_green)
                e_green[count] = aid->window->encoded_mean.g;
            out[count++] = (wm_neutral){ wm_window_flat(aid->window).mean, wm_lab_to_rgb(aid->reference) };
        }
    return count;
}

/* C18 of cards, before one of a wrong name is taken for an underexposed one. */
static void judge_order(wm_aids *aids)
{
    wm_neutral neutrals[WM_STAGE1_MAX_NEUTRALS];
    double e_green[WM_STAGE1_MAX_NEUTRALS];
    const size_t count = wm_aids_card_neutrals(aids, neutrals, e_green);
    if (!wm_neutrals_rise(neutrals, e_green, count))
        wm_aids_refuse(aids, WM_ZONE_CARD, WM_WARN_CARDS_MIXED_UP, "the cards are not in the order of their lightness");
}

void wm_aids_judge(wm_aids *aids, wm_warnings *warnings)
{
    name_aids(aids);
    judge_order(aids);
    for (size_t i = 0; i < aids->count; i++) {
        wm_aid *aid = &aids->items[i];
        if (wm_aid_counts(aid, WM_ZONE_CARD))
            judge_card(warnings, aid);
        else if (wm_aid_counts(aid, WM_ZONE_TARGET))
            judge_target(warnings, aid);
        else if (wm_aid_counts(aid, WM_ZONE_SWATCH))
            judge_window(aid);
    }
}

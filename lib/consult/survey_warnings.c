#include "consult/survey_warnings.h"

#include "colour/stats.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double EXTREME_WARN = 0.05; /* C15 */
static const double UNEVEN_HEAD = 20.0;  /* M20 */
static const double LYING_DEG = 60.0;    /* our own: a length this far from upright does not hang */
static const double STRAIGHT = 0.3;      /* our own: coherence from which hair has a direction */
static const double MUCH_SHEEN = 0.30;   /* our own: a third of the zone gone to sheen bands */
static const double NOISY = 0.02;        /* our own: 5 steps of 255 in the smoothest tenth of the photo */
enum { HEAVY_JPEG = 75 };                /* our own */

static void warn_photo(wm_warnings *warnings, const wm_photo *photo)
{
    const wm_photo_facts facts = wm_photo_facts_of(photo);
    char detail[60];
    if (facts.profile_assumed)
        wm_warn(warnings, WM_WARN_PROFILE_ASSUMED, "", "");
    if (facts.flash == WM_FLASH_FIRED)
        wm_warn(warnings, WM_WARN_FLASH_FIRED, "", "");
    if (facts.resized)
        wm_warn(warnings, WM_WARN_PHOTO_RESIZED, "", "");
    snprintf(detail, sizeof detail, "JPEG quality about %d", facts.jpeg_quality);
    if (facts.jpeg_quality > 0 && facts.jpeg_quality < HEAVY_JPEG)
        wm_warn(warnings, WM_WARN_PHOTO_COMPRESSED, "", detail);
    snprintf(detail, sizeof detail, "by %.0f steps of 255 even where it is smooth", 255 * facts.noise);
    if (facts.noise > NOISY)
        wm_warn(warnings, WM_WARN_NOISY, "", detail);
}

static const char *label_of(const wm_zone *zone)
{
    return *zone->name || !zone->code ? zone->name : zone->code;
}

static void warn_gray(wm_warnings *warnings, const wm_surveyed_zone *zone)
{
    const wm_gray *gray = &zone->gray;
    const char *name = label_of(zone->zone);
    if (gray->status == WM_GRAY_NOT_RESOLVED && zone->zone->kind == WM_ZONE_GRAY)
        wm_warn(warnings, WM_WARN_GRAY_NOT_RESOLVED, name, "");
    if (zone->holds_gray)
        wm_warn(warnings, WM_WARN_NOT_GRAY_FREE, name, "");
    if (gray->status == WM_GRAY_NOT_RESOLVED && gray->bleached)
        wm_warn(warnings, WM_WARN_LIGHTER_FIBRES, name, "");
    if (gray->status >= WM_GRAY_LOW && gray->base_never_seen)
        wm_warn(warnings, WM_WARN_BASE_NEVER_SEEN, name, "");
}

/* H6 */
static void warn_hair(wm_warnings *warnings, const wm_surveyed_zone *zone)
{
    const wm_hair_check *hair = &zone->hair;
    const char *background = hair->skin_cut ? "skin and background" : "background";
    char detail[80];
    snprintf(detail, sizeof detail, "%.0f %% %s left out", 100 * hair->cut_share,
             hair->background_cut ? background : "skin");
    if (hair->verdict == WM_HAIR_PARTLY)
        wm_warn(warnings, WM_WARN_NOT_ONLY_HAIR, label_of(zone->zone), detail);
    if (hair->verdict == WM_HAIR_DOUBTFUL && zone->zone->kind != WM_ZONE_SWATCH)
        wm_warn(warnings, WM_WARN_HAIR_DOUBTFUL, label_of(zone->zone), hair->why);
}

static void warn_zone(wm_warnings *warnings, const wm_surveyed_zone *zone)
{
    const char *name = label_of(zone->zone);
    const double extreme = zone->window.extreme_share;
    char detail[80];
    snprintf(detail, sizeof detail, "%.0f %% of it", 100 * extreme);
    if (extreme > EXTREME_WARN)
        wm_warn(warnings, WM_WARN_CLIPPED_ZONE, name, detail);
    else if (zone->hair.verdict == WM_HAIR_NO)
        wm_warn(warnings, WM_WARN_NOT_HAIR, name, zone->hair.why);
    else if (zone->refused)
        wm_warn_why(warnings, WM_WARN_ZONE_REFUSED, name, zone->why);
    if (zone->refused)
        return;
    warn_hair(warnings, zone);
    snprintf(detail, sizeof detail, "%.0f %% of it", 100 * zone->cleaning.sheen_share);
    if (zone->cleaning.sheen_everywhere)
        wm_warn(warnings, WM_WARN_HAIR_WET_OR_SHINY, name, "everywhere");
    else if (zone->cleaning.sheen_share > MUCH_SHEEN)
        wm_warn(warnings, WM_WARN_HAIR_WET_OR_SHINY, name, detail);
    warn_gray(warnings, zone);
}

/* Gray hair is lighter by itself: its base tells of the light, where it is known. */
static double lightness(const wm_surveyed_zone *zone)
{
    const bool base = zone->zone->kind == WM_ZONE_GRAY && zone->gray.status == WM_GRAY_MEASURED && zone->base_known;
    return base ? zone->base.lab.L : zone->body.lab.L;
}

static bool is_length(const wm_zone *zone)
{
    return zone->kind == WM_ZONE_MID || zone->kind == WM_ZONE_ENDS;
}

/* M20: the lightest and the darkest zone, unless a swatch is held at both. */
static void warn_head(wm_warnings *warnings, const wm_survey *survey)
{
    const wm_surveyed_zone *worst[2] = { NULL, NULL };
    double most = UNEVEN_HEAD;
    for (size_t i = 0; i < survey->zone_count; i++)
        for (size_t k = 0; k < survey->zone_count; k++) {
            const wm_surveyed_zone *a = &survey->zones[i], *b = &survey->zones[k];
            const bool heads =
                wm_zone_is_client(a->zone->kind) && wm_zone_is_client(b->zone->kind) && !a->refused && !b->refused;
            if (heads && !(a->place && b->place) && lightness(a) - lightness(b) > most) {
                most = lightness(a) - lightness(b);
                worst[0] = a, worst[1] = b;
            }
        }
    if (worst[0]) {
        char names[120], detail[40];
        snprintf(names, sizeof names, "%.50s and %.50s", worst[0]->zone->name, worst[1]->zone->name);
        snprintf(detail, sizeof detail, "by %.0f L*", most);
        wm_warn(warnings, WM_WARN_UNEVEN_LIGHT_ON_HEAD, names, detail);
    }
}

static void warn_swatches(wm_warnings *warnings, const wm_survey *survey)
{
    char names[160] = "";
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        const size_t used = strlen(names);
        if (wm_zone_is_client(zone->zone->kind) && !zone->refused && !zone->place)
            snprintf(names + used, sizeof names - used, "%s%.60s", used ? ", " : "", zone->zone->name);
    }
    if (*names && survey->calibration.row != WM_KRIGE_NONE) /* else no_aid says it already */
        wm_warn(warnings, WM_WARN_NO_SWATCH_AT_ZONE, names, "");
}

/* Lengths hang; two or more that all lie tell of a photo without its orientation. */
static bool lengths_lie(const wm_survey *survey)
{
    const double upright = sin(LYING_DEG * acos(-1) / 180);
    int lengths = 0, lying = 0;
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        if (!is_length(zone->zone) || zone->refused || zone->cleaning.coherence < STRAIGHT)
            continue;
        lengths++;
        lying += fabs(sin(zone->cleaning.direction_rad)) >= upright; /* the direction across the fibres */
    }
    return lengths >= 2 && lying == lengths;
}

/* The ends, or two lengths, that all lie above every root: her hair hangs upwards. */
static bool hangs_upwards(const wm_survey *survey, const wm_photo *photo)
{
    const wm_photo_facts facts = wm_photo_facts_of(photo);
    int lowest_length = -1, highest_root = facts.height, lengths = 0;
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_zone *zone = survey->zones[i].zone;
        const wm_box box = wm_zone_box(zone, facts.width, facts.height);
        if (is_length(zone)) {
            lowest_length = box.y + box.height > lowest_length ? box.y + box.height : lowest_length;
            lengths += zone->kind == WM_ZONE_ENDS ? 2 : 1;
        } else if (wm_zone_is_client(zone->kind)) {
            highest_root = box.y < highest_root ? box.y : highest_root;
        }
    }
    return lengths >= 2 && highest_root < facts.height && lowest_length <= highest_root;
}

/* Surely less gray in a zone marked gray than in one that is not. */
static void warn_swapped(wm_warnings *warnings, const wm_survey *survey)
{
    for (size_t i = 0; i < survey->zone_count; i++)
        for (size_t k = 0; k < survey->zone_count; k++) {
            const wm_surveyed_zone *gray = &survey->zones[i], *other = &survey->zones[k];
            char names[120];
            if (gray->zone->kind != WM_ZONE_GRAY || !wm_zone_is_client(other->zone->kind) ||
                other->zone->kind == WM_ZONE_GRAY || gray->refused || other->refused ||
                !wm_gray_surely_more(&other->gray, &gray->gray))
                continue;
            snprintf(names, sizeof names, "%.50s and %.50s", gray->zone->name, other->zone->name);
            wm_warn(warnings, WM_WARN_ZONES_SWAPPED, names, "");
        }
}

void wm_survey_warn(wm_survey *survey, const wm_photo *photo)
{
    warn_photo(&survey->warnings, photo);
    for (size_t i = 0; i < survey->calibration.warnings.count; i++)
        wm_warnings_add(&survey->warnings, survey->calibration.warnings.items[i].code, "%s",
                        survey->calibration.warnings.items[i].text);
    warn_swatches(&survey->warnings, survey);
    warn_head(&survey->warnings, survey);
    if (lengths_lie(survey) || hangs_upwards(survey, photo))
        wm_warn(&survey->warnings, WM_WARN_PHOTO_TURNED, "", "");
    warn_swapped(&survey->warnings, survey);
    for (size_t i = 0; i < survey->zone_count; i++)
        warn_zone(&survey->warnings, &survey->zones[i]);
}

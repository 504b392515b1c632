#include "consult/swatch_put.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "match/shades.h"

enum { TAG_SIZE = WM_FRAME_SIZE - 1 };

/* One photo on its way into the catalogue. */
typedef struct putting {
    wm_swatch_put *out;
    wm_sheet *sheet;
    wm_catalogue *catalogue;
    const wm_swatch_readings *readings;
    const wm_swatch_origin *origin;
    char tag[WM_FRAME_SIZE];
    wm_krige_aid *shared; /* measured here, reference in the frame */
    size_t *which;        /* the readings they are */
    size_t shared_count;
} putting;

const char *wm_swatch_outcome_name(wm_swatch_outcome outcome)
{
    static const char *const WORDS[] = { "new",  "averaged",   "replaced",   "drifted",    "seen",
                                         "kept", "badly_laid", "too_unsure", "other_sheet" };
    return WORDS[outcome];
}

const char *wm_sheet_part_name(wm_sheet_part part)
{
    static const char *const WORDS[] = { "by_known", "opens_frame", "relaid", "not_laid_anew", "joined" };
    return WORDS[part];
}

static const wm_swatch *row_of(const putting *p, size_t i)
{
    return wm_catalogue_find(p->catalogue, p->readings->items[i].code);
}

static int photos_of(const wm_swatch *row)
{
    return row->photos > 0 ? row->photos : 1;
}

/* --- writing one row --- */

/* "sheet.jpg 3f2a9c1b (card)" and, behind a semicolon, the tags of photos averaged before, as many as fit. */
static void write_source(wm_swatch *row, const wm_swatch *old, const wm_swatch_origin *origin)
{
    char text[WM_NAME_SIZE];
    int n = snprintf(text, sizeof text, "%.60s %.*s (%s)", origin->photo, TAG_SIZE, origin->sha256,
                     wm_aid_set_name(origin->aid));
    if (old && *old->source && !origin->replace && (size_t)n + 2 + strlen(old->source) < sizeof text)
        snprintf(text + n, sizeof text - (size_t)n, "; %s", old->source);
    snprintf(row->source, sizeof row->source, "%s", text);
}

static double rounded(double x)
{
    return round(x * 100) / 100;
}

static wm_status write_row(putting *p, size_t i, wm_swatch row, wm_swatch_outcome outcome, wm_error *err)
{
    const wm_swatch *old = row_of(p, i);
    wm_swatch_put put = { .outcome = outcome };
    if (old) {
        put.change_de00 = wm_de00(old->lab, p->readings->items[i].colour.lab);
        put.change_u = hypot(wm_swatch_u(old), p->readings->items[i].colour.u_de00);
    }
    row.lab = (wm_lab){ rounded(row.lab.L), rounded(row.lab.a), rounded(row.lab.b) };
    row.u = rounded(row.u);
    row.u_frame = row.u_frame >= 0 ? rounded(row.u_frame) : -1;
    row.gray_share = row.gray_share >= 0 ? rounded(row.gray_share) : -1;
    snprintf(row.measured, sizeof row.measured, "%s", p->origin->date);
    write_source(&row, old, p->origin);
    put.lab = row.lab;
    put.u = row.u;
    const wm_status status = wm_catalogue_put(p->catalogue, &row, true, err);
    if (!status)
        p->out[i] = put;
    return status;
}

/* The reading as a row of that frame. */
static wm_swatch row_from(const putting *p, size_t i, const char *frame)
{
    const wm_swatch_reading *r = &p->readings->items[i];
    wm_swatch row = wm_swatch_new(r->code, "", r->colour.lab);
    row.u = r->colour.u_de00;
    row.gray_share = r->has_share ? r->share : -1;
    snprintf(row.frame, sizeof row.frame, "%s", frame);
    if (*frame) {
        row.u_frame = r->u_frame;
        row.photos = 1;
    }
    return row;
}

static void leave(putting *p, size_t i, wm_swatch_outcome outcome)
{
    const wm_swatch *old = row_of(p, i);
    const wm_measured *now = &p->readings->items[i].colour;
    p->out[i] = old ? (wm_swatch_put){ outcome, old->lab, wm_swatch_u(old), wm_de00(old->lab, now->lab), 0 }
                    : (wm_swatch_put){ outcome, now->lab, now->u_de00, 0, 0 };
}

static bool seen_before(const putting *p, const wm_swatch *row)
{
    return row && !p->origin->replace && strstr(row->source, p->tag);
}

/* --- known swatches lay beside them: rows of their frame or absolute ones, averaged by 1 / u^2 --- */

static double mean(double a, double weight_a, double b, double weight_b)
{
    return (a * weight_a + b * weight_b) / (weight_a + weight_b);
}

static double weight_of(double u)
{
    return 1 / fmax(u * u, 1e-6);
}

static wm_lab mean_lab(wm_lab a, double weight_a, wm_lab b, double weight_b)
{
    return (wm_lab){ mean(a.L, weight_a, b.L, weight_b), mean(a.a, weight_a, b.a, weight_b),
                     mean(a.b, weight_a, b.b, weight_b) };
}

/* The mean of two measurements of one colour. */
static wm_swatch averaged(const wm_swatch *old, wm_swatch row)
{
    const double before = weight_of(wm_swatch_u(old)), now = weight_of(row.u);
    row.lab = mean_lab(old->lab, before, row.lab, now);
    row.u = 1 / sqrt(before + now);
    if (old->gray_share >= 0)
        row.gray_share = row.gray_share >= 0 ? mean(old->gray_share, before, row.gray_share, now) : old->gray_share;
    row.photos = old->photos;
    return row;
}

/* Two colours that should be one are not averaged: it is another lot, label or light (C35). */
static void leave_drifted(putting *p, size_t i)
{
    const double u_old = wm_swatch_u(row_of(p, i));
    leave(p, i, WM_SWATCH_DRIFTED);
    p->out[i].change_u = hypot(u_old, p->readings->items[i].colour.u_de00);
}

static wm_status put_by_known(putting *p, size_t i, wm_error *err)
{
    const wm_swatch *old = row_of(p, i);
    wm_swatch row = row_from(p, i, p->sheet->frame);
    wm_swatch_outcome outcome = old ? WM_SWATCH_REPLACED : WM_SWATCH_NEW;
    if (seen_before(p, old))
        return leave(p, i, WM_SWATCH_SEEN), WM_OK;
    if (old && !p->origin->replace && strcmp(old->frame, row.frame) != 0)
        return leave(p, i, WM_SWATCH_OTHER_SHEET), WM_OK;
    if (*row.frame && !wm_frame_keeps(row.u))
        return leave(p, i, WM_SWATCH_TOO_UNSURE), WM_OK;
    if (old && !p->origin->replace && wm_frame_drifted(wm_de00(old->lab, row.lab), wm_swatch_u(old), row.u))
        return leave_drifted(p, i), WM_OK;
    if (old && !p->origin->replace) {
        row = averaged(old, row);
        outcome = WM_SWATCH_AVERAGED;
    }
    return write_row(p, i, row, outcome, err);
}

/* --- a sheet of its own --- */

static wm_status put_new_frame(putting *p, size_t i, wm_error *err)
{
    const wm_swatch *old = row_of(p, i);
    if (seen_before(p, old))
        return leave(p, i, WM_SWATCH_SEEN), WM_OK;
    if (old && !p->origin->replace)
        return leave(p, i, WM_SWATCH_OTHER_SHEET), WM_OK;
    return write_row(p, i, row_from(p, i, p->sheet->frame), old ? WM_SWATCH_REPLACED : WM_SWATCH_NEW, err);
}

/* --- the same swatches laid anew (C31) --- */

static size_t shared_at(const putting *p, size_t i)
{
    for (size_t k = 0; k < p->shared_count; k++)
        if (p->which[k] == i)
            return k;
    return p->shared_count;
}

static wm_status put_relaid(putting *p, size_t i, const wm_lab *aligned, wm_error *err)
{
    const wm_swatch *old = row_of(p, i);
    const wm_lab now = aligned[shared_at(p, i)];
    if (wm_frame_laid_badly(wm_de00(now, old->lab), p->sheet->u1))
        return leave(p, i, WM_SWATCH_BADLY_LAID), WM_OK;
    wm_swatch row = row_from(p, i, p->sheet->frame);
    row.photos = photos_of(old) + 1;
    row.lab = mean_lab(old->lab, photos_of(old), now, 1);
    row.u = wm_frame_mean_u(p->sheet->u1, row.photos);
    row.u_frame = old->u_frame; /* what they share is no smaller for a mean */
    p->sheet->photos = row.photos > p->sheet->photos ? row.photos : p->sheet->photos;
    return write_row(p, i, row, WM_SWATCH_AVERAGED, err);
}

/* --- joined by those that are on both (C33) --- */

static wm_krige_set shared_set(const putting *p)
{
    return (wm_krige_set){ .row = p->readings->row == WM_KRIGE_NONE ? WM_KRIGE_SWATCH : WM_KRIGE_GRAY,
                           .aids = p->shared,
                           .count = p->shared_count };
}

/* C35: by the others on both sheets; kept otherwise. */
static void judge_shared(putting *p, size_t i)
{
    const size_t at = shared_at(p, i), last = p->shared_count - 1;
    const wm_krige_aid own = p->shared[at];
    wm_krige_set others = shared_set(p);
    wm_joined joined;
    others.count = last;
    p->shared[at] = p->shared[last]; /* out of the way, and back */
    leave(p, i, WM_SWATCH_KEPT);
    if (wm_frame_join(&joined, &others, own.measured)) {
        const double d = wm_de00(joined.lab, own.reference), u = p->out[i].u;
        p->out[i].change_de00 = d;
        p->out[i].change_u = hypot(u, joined.u_de00);
        if (wm_frame_drifted(d, u, joined.u_de00))
            p->out[i].outcome = WM_SWATCH_DRIFTED;
    }
    p->shared[at] = own;
}

static wm_status put_joined(putting *p, size_t i, wm_error *err)
{
    const wm_krige_set set = shared_set(p);
    wm_swatch row = row_from(p, i, p->sheet->frame);
    wm_joined joined;
    if (!wm_frame_join(&joined, &set, row.lab))
        return leave(p, i, WM_SWATCH_TOO_UNSURE), WM_OK;
    row.lab = joined.lab;
    row.u = joined.u_de00;
    if (*row.frame)
        row.u_frame = row_of(p, p->which[0])->u_frame;
    if (wm_frame_keeps(row.u))
        return write_row(p, i, row, WM_SWATCH_NEW, err);
    leave(p, i, WM_SWATCH_TOO_UNSURE);
    p->out[i].u = row.u;
    return WM_OK;
}

/* --- which of these it is --- */

/* C28: the frame of most of the readings' rows; ties by order. */
static const char *most_shared(const putting *p, size_t *count)
{
    const char *best = NULL;
    *count = 0;
    for (size_t i = 0; i < p->readings->count; i++) {
        const wm_swatch *row = row_of(p, i);
        size_t alike = 0;
        for (size_t k = 0; row && k < p->readings->count; k++) {
            const wm_swatch *other = row_of(p, k);
            alike += other && strcmp(other->frame, row->frame) == 0;
        }
        if (alike > *count)
            *count = alike, best = row->frame;
    }
    return best;
}

static void find_shared(putting *p, const char *frame)
{
    for (size_t i = 0; i < p->readings->count; i++) {
        const wm_swatch *row = row_of(p, i);
        if (!row || strcmp(row->frame, frame) != 0)
            continue;
        p->which[p->shared_count] = i;
        p->shared[p->shared_count++] =
            (wm_krige_aid){ p->readings->items[i].colour.lab, row->lab, wm_frame_weakness(wm_swatch_u(row)) };
    }
}

static bool any_seen(const putting *p)
{
    for (size_t i = 0; i < p->readings->count; i++)
        if (seen_before(p, row_of(p, i)))
            return true;
    return false;
}

static wm_status check_agreement(const putting *p, wm_error *err)
{
    const wm_krige_set set = shared_set(p);
    wm_kriged k;
    if (!wm_krige(&k, &set, p->shared[0].measured) || k.disagreement >= WM_KRIGE_S2_HIGH)
        return wm_fail(
            err, WM_E_INPUT,
            "the swatches that are on both sheets don't agree; check their codes, lay them out again and take the "
            "photo again");
    return WM_OK;
}

/* The part of the photo; a frame's name is copied, because rows move when the catalogue grows. */
static wm_status decide(putting *p, wm_error *err)
{
    wm_sheet *sheet = p->sheet;
    size_t count = 0;
    const char *frame = most_shared(p, &count);
    *sheet = (wm_sheet){ .part = p->readings->by_known ? WM_SHEET_BY_KNOWN : WM_SHEET_OPENS_FRAME, .photos = 1 };
    snprintf(sheet->frame, sizeof sheet->frame, "%s", p->readings->by_known ? p->readings->frame : p->tag);
    if (sheet->part == WM_SHEET_BY_KNOWN || p->origin->replace || any_seen(p) || !frame || count < WM_FRAME_JOIN_LEAST)
        return WM_OK;
    find_shared(p, frame);
    const bool relaid = *frame && count >= WM_FRAME_RELAID_LEAST;
    if (!relaid && !wm_frame_spans(p->shared, count))
        return WM_OK;
    sheet->part = relaid ? WM_SHEET_RELAID : WM_SHEET_JOINED;
    snprintf(sheet->frame, sizeof sheet->frame, "%s", frame);
    return check_agreement(p, err);
}

static wm_status put_each(putting *p, const wm_lab *aligned, wm_error *err)
{
    wm_status status = WM_OK;
    for (size_t i = 0; i < p->readings->count && !status; i++) {
        const bool shared = shared_at(p, i) < p->shared_count;
        switch (p->sheet->part) {
        case WM_SHEET_BY_KNOWN: status = put_by_known(p, i, err); break;
        case WM_SHEET_OPENS_FRAME: status = put_new_frame(p, i, err); break;
        case WM_SHEET_NOT_LAID_ANEW: leave(p, i, shared ? WM_SWATCH_KEPT : WM_SWATCH_OTHER_SHEET); break;
        default:
            if (shared && p->sheet->part == WM_SHEET_RELAID)
                status = put_relaid(p, i, aligned, err);
            else if (shared)
                judge_shared(p, i);
            else if (row_of(p, i))
                leave(p, i, WM_SWATCH_OTHER_SHEET);
            else
                status = put_joined(p, i, err);
        }
    }
    return status;
}

/* Fewer than half of the neighbours on the sheet follow each other in the catalogue, whose order is that of the first
 * photo: somebody shuffled them, whatever chance did to their colours. */
static bool shuffled(const putting *p)
{
    size_t kept = 0;
    for (size_t k = 1; k < p->shared_count; k++)
        kept += row_of(p, p->which[k]) == row_of(p, p->which[k - 1]) + 1;
    return 2 * kept < p->shared_count - 1;
}

static wm_status relay(putting *p, wm_lab **aligned, wm_error *err)
{
    wm_relaid relaid;
    wm_lab *frame = calloc(p->shared_count + 1, sizeof *frame);
    *aligned = calloc(p->shared_count + 1, sizeof **aligned);
    wm_status status = frame && *aligned ? WM_OK : wm_fail_memory(err);
    for (size_t k = 0; k < p->shared_count && !status; k++) {
        (*aligned)[k] = p->shared[k].measured;
        frame[k] = p->shared[k].reference;
    }
    if (!status && !wm_frame_relay(&relaid, *aligned, frame, p->shared_count))
        status = wm_fail(err, WM_E_BUG, "the relaid sheet can't be fitted");
    if (!status) {
        p->sheet->u1 = relaid.u1;
        if (!relaid.laid_anew && shuffled(p))
            p->sheet->u1 = wm_frame_least_u1();
        else if (!relaid.laid_anew)
            p->sheet->part = WM_SHEET_NOT_LAID_ANEW;
    }
    free(frame);
    return status;
}

wm_status wm_swatches_put(wm_swatch_put *out, wm_sheet *sheet, wm_catalogue *catalogue,
                          const wm_swatch_readings *readings, const wm_swatch_origin *origin, wm_error *err)
{
    putting p = { out,
                  sheet,
                  catalogue,
                  readings,
                  origin,
                  .shared = calloc(readings->count + 1, sizeof *p.shared),
                  .which = calloc(readings->count + 1, sizeof *p.which) };
    wm_lab *aligned = NULL;
    wm_status status = p.shared && p.which ? WM_OK : wm_fail_memory(err);
    snprintf(p.tag, sizeof p.tag, "%.*s", TAG_SIZE, origin->sha256);
    if (!status)
        status = decide(&p, err);
    if (!status && sheet->part == WM_SHEET_RELAID)
        status = relay(&p, &aligned, err);
    if (!status)
        status = put_each(&p, aligned, err);
    for (size_t i = 0; i < catalogue->count && !status; i++)
        sheet->another = sheet->another || (catalogue->items[i].kind == WM_SWATCH_HAIR &&
                                            strcmp(catalogue->items[i].frame, sheet->frame) != 0);
    free(aligned);
    free(p.shared);
    free(p.which);
    return status;
}

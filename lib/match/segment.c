#include "match/segment.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double SIDE_CM = 6.0;            /* M26 */
static const double ROW_WITH_SIDES_CM = 18.0; /* M26 */
static const double SIDES_WEIGHT = 0.5;       /* M26 */
static const double ENDS_DIFFER_SHARE = 0.2;  /* M26 */

/* By kind: root, mid, ends, gray. */
static const double SIDE_TARGET[WM_HAIR_KINDS] = { 0.0, 0.0, 0.0, 1.0 };  /* M26 */
static const double CROWN_TARGET[WM_HAIR_KINDS] = { 0.5, 0.5, 0.0, 0.0 }; /* M26 */
/* In thirds. */
static const double BACK_TARGET[WM_HAIR_KINDS] = { 0.0, 2.0, 1.0, 0.0 }; /* M26 */
static const double NAPE_TARGET[WM_HAIR_KINDS] = { 0.0, 1.0, 2.0, 0.0 }; /* M26 */

#define ROUNDING 1e-9 /* a row of 23.0 - 2 x 2.5 cm is one of 18 */

/* ---- segments ---- */

/* The zones beside the ends of a row; told apart when there are exactly two and their shares differ. */
typedef struct ends {
    size_t count;
    int zones[WM_HEAD_ZONES];
    bool differ;
} ends;

static ends ends_of(const wm_drawn_head *head)
{
    ends found = { .count = 0 };
    for (size_t i = 0; i < head->zone_count; i++)
        if (wm_drawn_zone_kind(&head->zones[i]) == WM_ZONE_GRAY)
            found.zones[found.count++] = (int)i;
    found.differ = found.count == 2 && fabs(head->zones[found.zones[0]].share[0] -
                                            head->zones[found.zones[1]].share[0]) > ENDS_DIFFER_SHARE;
    return found;
}

size_t wm_segments_of(wm_segment *out, const wm_placed_row *rows, size_t row_count, const wm_drawn_head *head)
{
    ends sides = ends_of(head);
    double all_cm = 0;
    size_t count = 0;
    for (size_t i = 0; i < row_count; i++)
        all_cm += rows[i].row_cm;
    for (size_t i = 0; i < row_count; i++) {
        double cm = rows[i].row_cm, weight = cm / all_cm;
        if (sides.count == 0 || rows[i].place != WM_PLACE_BACK || cm < ROW_WITH_SIDES_CM - ROUNDING) {
            out[count++] = (wm_segment){ i, rows[i].place, -1, cm, 1, weight, 0 };
            continue;
        }
        if (sides.differ)
            for (int end = 0; end < 2; end++)
                out[count++] =
                    (wm_segment){ i, WM_PLACE_SIDE, sides.zones[end], SIDE_CM, 1, weight * SIDES_WEIGHT / 2, 0 };
        else
            out[count++] = (wm_segment){ i, WM_PLACE_SIDE, -1, SIDE_CM, 2, weight * SIDES_WEIGHT, 0 };
        out[count++] = (wm_segment){ i, WM_PLACE_BACK, -1, cm - 2 * SIDE_CM, 1, weight * (1 - SIDES_WEIGHT), 0 };
    }
    return count;
}

size_t wm_segments_beside(wm_segment *out, const wm_placed_row *rows, size_t row_count, size_t zone)
{
    double all_cm = 0;
    for (size_t i = 0; i < row_count; i++)
        all_cm += rows[i].row_cm;
    for (size_t i = 0; i < row_count; i++)
        out[i] = (wm_segment){ i, rows[i].place, -1, rows[i].row_cm, 1, rows[i].row_cm / all_cm, zone + 1 };
    return row_count;
}

/* ---- targets ---- */

void wm_segment_weights(double *weight, const wm_segment *segment, const wm_drawn_head *head)
{
    const double *of_kind = segment->place == WM_PLACE_SIDE    ? SIDE_TARGET
                            : segment->place == WM_PLACE_CROWN ? CROWN_TARGET
                            : segment->place == WM_PLACE_NAPE  ? NAPE_TARGET
                                                               : BACK_TARGET;
    wm_drawn_head_weights(weight, head, of_kind, true);
    const int alone = segment->beside ? (int)segment->beside - 1 : segment->end;
    for (size_t i = 0; i < head->zone_count && alone >= 0; i++)
        weight[i] = (int)i == alone;
}

/* Everything linear in c; the base by how much of it there is. */
static void draw_row(wm_drawn_target *out, const wm_drawn_head *head, const double *weight, int k)
{
    wm_cone body = { { 0, 0, 0 } }, base = { { 0, 0, 0 } };
    double base_weight = 0;
    for (size_t i = 0; i < head->zone_count; i++) {
        const wm_drawn_zone *zone = &head->zones[i];
        double of_base = weight[i] * (1 - zone->share[k] + 1e-9); /* all gray: still a base */
        out->share[k] += weight[i] * zone->share[k];
        base_weight += of_base;
        for (int c = 0; c < 3; c++) {
            body.c[c] += weight[i] * zone->body[k].c[c];
            base.c[c] += of_base * zone->base[k].c[c];
        }
    }
    for (int c = 0; c < 3; c++)
        base.c[c] /= base_weight;
    out->body[k] = wm_cone_to_lab(body);
    out->bases[k] = wm_cone_to_lab(base);
    out->gray[k] = wm_cone_to_lab(head->has_gray ? head->gray[k] : base);
}

wm_status wm_target_draw(wm_drawn_target *out, const wm_segment *segment, const wm_drawn_head *head, wm_error *err)
{
    double weight[WM_HEAD_ZONES];
    wm_segment_weights(weight, segment, head);
    wm_drawn_target target = { .bases = malloc((head->zone_count + 1) * WM_DRAW_ROWS * sizeof *target.bases),
                               .base_count = 1 };
    if (!target.bases)
        return wm_fail_memory(err);
    for (int k = 0; k < WM_DRAW_ROWS; k++)
        draw_row(&target, head, weight, k);
    if (head->bases_apart)
        target.base_count = 0;
    for (size_t i = 0; i < head->zone_count && head->bases_apart; i++)
        if (weight[i] > 0) {
            for (int k = 0; k < WM_DRAW_ROWS; k++)
                target.bases[target.base_count * WM_DRAW_ROWS + (size_t)k] = wm_cone_to_lab(head->zones[i].base[k]);
            target.base_count++;
        }
    *out = target;
    return WM_OK;
}

void wm_drawn_target_free(wm_drawn_target *target)
{
    if (!target)
        return;
    free(target->bases);
    *target = (wm_drawn_target){ 0 };
}

void wm_behind_draw(wm_cone out[WM_DRAW_ROWS], const wm_drawn_head *head)
{
    static const wm_zone_kind FIRST[WM_HAIR_KINDS] = { WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT, WM_ZONE_GRAY };
    for (size_t f = 0; f < WM_HAIR_KINDS; f++) {
        double of_kind[WM_HAIR_KINDS] = { 0 }, weight[WM_HEAD_ZONES];
        bool found = false;
        of_kind[FIRST[f]] = 1;
        wm_drawn_head_weights(weight, head, of_kind, false);
        for (size_t i = 0; i < head->zone_count; i++)
            found |= head->zones[i].kind == FIRST[f];
        for (int k = 0; k < WM_DRAW_ROWS && found; k++) {
            out[k] = (wm_cone){ { 0, 0, 0 } };
            for (size_t i = 0; i < head->zone_count; i++)
                for (int c = 0; c < 3; c++)
                    out[k].c[c] += weight[i] * head->zones[i].body[k].c[c];
        }
        if (found)
            return;
    }
}

wm_status wm_hanging_of(wm_hanging *out, const wm_segment *segments, size_t count, const wm_drawn_head *head,
                        wm_error *err)
{
    wm_hanging hanging = { .count = count, .targets = calloc(count, sizeof *hanging.targets) };
    if (!hanging.targets)
        return wm_fail_memory(err);
    memcpy(hanging.segments, segments, count * sizeof *segments);
    wm_status status = WM_OK;
    for (size_t i = 0; i < count && !status; i++)
        status = wm_target_draw(&hanging.targets[i], &segments[i], head, err);
    if (status) {
        wm_hanging_free(&hanging);
        return status;
    }
    wm_behind_draw(hanging.behind, head);
    *out = hanging;
    return WM_OK;
}

void wm_hanging_free(wm_hanging *hanging)
{
    if (!hanging)
        return;
    for (size_t i = 0; i < hanging->count && hanging->targets; i++)
        wm_drawn_target_free(&hanging->targets[i]);
    free(hanging->targets);
    *hanging = (wm_hanging){ 0 };
}

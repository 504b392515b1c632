/* consult: one consultation, options in, report out; knows the order of the work. */
#ifndef WM_CONSULT_CONSULT_H
#define WM_CONSULT_CONSULT_H

#include "consult/settings.h"
#include "match/shades.h"
#include "measure/zones.h"
#include "photo/photo.h"
#include "plan/plan.h"
#include "report/report.h"
#include "weftmatch/kept_zones.h"

/** A row that is wished for. */
typedef struct wm_wished_row {
    wm_place place;
    double arc_cm;
} wm_wished_row;

/** What the client wants and the stylist says of her hair. */
typedef struct wm_wishes {
    wm_worn worn;
    wm_filter filter;
    wm_wished_row rows[WM_MAX_ROWS];
    size_t row_count; /**< 0: no plan */
    wm_goal goal;
    const char *target_zone;                   /**< what all rows shall look like; NULL: each place its own */
    bool gray_inside;                          /**< keep the second shade to the inner layer: the closed sandwich */
    bool goal_given, hair_given, amount_given; /**< else it is assumed, and the report says so */
    double to_length_cm;                       /**< negative: not given */
    double line_cm, cover_cm; /**< M19: where regrowth meets old colour, how far below the parting the row lies;
                                 negative: not given */
    wm_head head;
} wm_wishes;
#define WM_WISHES_INIT                                                                                                 \
    {                                                                                                                  \
        .goal = WM_GOAL_COVERAGE, .to_length_cm = -1, .line_cm = -1, .cover_cm = -1, .head = {                         \
            WM_HAIR_MEDIUM,                                                                                            \
            WM_AMOUNT_AVERAGE,                                                                                         \
            false,                                                                                                     \
            -1                                                                                                         \
        }                                                                                                              \
    }

/** What follows from the length she wants: the shortest hair that will do.
 */
void wm_wishes_settle(wm_wishes *wishes);

typedef struct wm_consult_input {
    const wm_photo *photo;
    const wm_zones *zones;
    const wm_catalogue *catalogue; /**< measure: may be NULL when no zone is a swatch */
    const wm_settings *settings;
    const wm_wishes *wishes; /**< match only */
    const char *made_at;     /**< RFC 3339 */
    wm_date date;
    const char *client;        /**< name, or NULL */
    const wm_report *previous; /**< the report of her last visit, or NULL */
    const char *previous_date;
    const wm_report *worn_report; /**< what tells how the rows lie in which that hangs; NULL: nothing does */
    const wm_stack *worn;         /**< what was installed then, front first; NULL or none: what was proposed */
    wm_work work;                 /**< what the plan quotes */
    const wm_plan_again *again;   /**< at a move-up: shades that are sewn on again; NULL: none */
    int jobs;                     /**< threads, at least 1 */
    wm_kept_zones *kept;          /**< of the photo, for the next consultation on it; NULL: nothing is kept */
    bool live; /**< match: an answer while she marks; whether it holds (G11), and what comes with more gray (M33), is
                  asked when she rests */
} wm_consult_input;

/** Opens a photo to consult about these zones without a picture of it: little else of it is worked out
 * (wm_photo_open_parts); without zones all of it is. */
wm_status wm_consult_open_photo(wm_photo **out, const char *path, const wm_zones *zones, const wm_photo_limits *limits,
                                wm_error *err);

/** Zones to colours. pictures may be NULL. Free with wm_report_free, wm_report_pictures_free. */
wm_status wm_consult_measure(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input,
                             wm_error *err);

/** The main job: measure, rank, propose, plan when an arc is given. */
wm_status wm_consult_match(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, wm_error *err);

/** What a plan is made for. */
typedef struct wm_sewing {
    wm_design design;
    const char *bead_code; /**< NULL: none */
} wm_sewing;

/** Whole layers in every row that is wished for. */
void wm_sewing_of_stack(wm_sewing *out, const wm_stack *stack, const wm_wishes *wishes);

/** The plan alone, from input's catalogue, settings, wishes and date. */
wm_status wm_consult_plan(wm_plan *out, const wm_sewing *sewing, const wm_consult_input *input, wm_error *err);
/** The number of a quote: of the day and the photo that it was made from. */
void wm_consult_number(wm_quote *quote, wm_date date, const char *photo_sha256);

#endif

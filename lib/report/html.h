/* html: the report as one self-contained page for client and stylist: no script needed, no network, print first, light
 * and dark. */
#ifndef WM_REPORT_HTML_H
#define WM_REPORT_HTML_H

#include "core/buf.h"
#include "report/plot.h"
#include "report/report.h"
#include "report/spoken.h"

/** One line of a client's history (oldest first), for the page. */
typedef struct wm_history_item {
    char at[12];
    wm_stack installed; /**< no layers: not noted */
    bool has_worst;
    double worst_de00;
    bool has_share;
    double gray_share;
    char money[WM_MONEY_SIZE]; /**< what was charged; "" */
    const char *why, *note;    /**< lent, a line a note; NULL or "": none */
} wm_history_item;

/** A zone as it is, or repainted: her own hair in a shade, in the light of her photo. */
typedef struct wm_held_up_picture {
    char zone[WM_LABEL_SIZE];
    char shade[2 * WM_CODE_SIZE]; /**< "": as it is */
    wm_bytes jpeg;
} wm_held_up_picture;
enum { WM_HELD_UP = 24 };
/** Zone by zone, each as it is first. Zero-initialise; free with wm_held_up_free. */
typedef struct wm_held_up {
    wm_held_up_picture items[WM_HELD_UP];
    size_t count;
} wm_held_up;
void wm_held_up_free(wm_held_up *held_up);

typedef struct wm_html_input {
    const wm_report *report;
    const wm_report_pictures *pictures; /**< NULL: none */
    const wm_history_item *history;
    size_t history_count;
    const wm_plot_gray *gray; /**< over these visits; NULL: none */
    bool inches;
    bool settled;                /**< something was sewn on since: what would better the answer is not asked for */
    bool zone_rankings;          /**< rankings of single zones, not of the roles alone */
    const wm_held_up *held_up;   /**< NULL: none */
    bool with_face;              /**< the client's page shows the whole photo, else her hair alone */
    const wm_language *language; /**< NULL: English */
} wm_html_input;

/** The stylist's sheet. */
wm_status wm_report_to_html(wm_buf *out, const wm_html_input *input, wm_error *err);
/** The client's page: what will be sewn in words and colours, price, dates, care; no figures, no codes. */
wm_status wm_report_to_client_html(wm_buf *out, const wm_html_input *input, wm_error *err);

#endif

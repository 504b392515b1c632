/* report_model: reports filled by hand for the tests of their writers. The salon, its people, codes and prices are
 * invented. */
#ifndef SUPPORT_REPORT_MODEL_H
#define SUPPORT_REPORT_MODEL_H

#include "report/html.h"

typedef enum model_kind {
    MODEL_FULL,     /**< a third gray: layers, plan, scenarios, history, every section */
    MODEL_SMALL,    /**< one shade, one zone, nothing else */
    MODEL_ROUGH,    /**< no aid in the photo: no shade is named */
    MODEL_MEASURED, /**< `measure` */
    MODEL_HOSTILE   /**< every text tries to break out, every list is long, every text as long as its room */
} model_kind;

typedef struct model {
    wm_report report;
    wm_report_pictures pictures;
    wm_history_item history[6];
    size_t history_count;
    wm_plot_gray gray;
} model;

void model_make(model *out, model_kind kind);
void model_free(model *m);
wm_html_input model_input(const model *m);

/** What the hostile model's texts begin with. */
extern const char MODEL_HOSTILE_TEXT[];

#endif

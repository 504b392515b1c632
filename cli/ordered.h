/* ordered: what has to be ordered, as the document of `orders --json`; the desk answers with the same. */
#ifndef CLI_ORDERED_H
#define CLI_ORDERED_H

#include "consult/orders.h"
#include "consult/recheck.h"

/** Shades of another catalogue that would serve clients better. */
typedef struct ordered_new {
    wm_recheck_gain *gains;
    size_t count;
} ordered_new;

/** new_shades NULL: they were not asked for. */
void ordered_write_json(wm_buf *out, const wm_orders *orders, const ordered_new *new_shades, const char *currency);

#endif

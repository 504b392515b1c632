/* ordered: what has to be ordered, as the document of `orders --json`; the desk answers with the same. */
#ifndef CLI_ORDERED_H
#define CLI_ORDERED_H

#include "consult/orders.h"

void ordered_write_json(wm_buf *out, const wm_orders *orders, const char *currency);

#endif

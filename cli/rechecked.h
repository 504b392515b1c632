/* rechecked: what a recheck found, as the document of `recheck --json`. */
#ifndef CLI_RECHECKED_H
#define CLI_RECHECKED_H

#include "consult/recheck.h"
#include "core/buf.h"

void rechecked_write_json(wm_buf *out, const wm_rechecked *items, size_t count);

#endif

/* rechecked: what a recheck found, as the document of `recheck --json`. */
#ifndef CLI_RECHECKED_H
#define CLI_RECHECKED_H

#include "consult/recheck.h"
#include "core/buf.h"

/** Shades as "umber,fog". Returns out. */
char *rechecked_codes(char out[WM_STACK_TEXT_SIZE], const wm_recheck_codes *shades);
/** [{"code":..,"serves":..,"gain":..}, ..] */
void rechecked_write_gains(wm_buf *out, const wm_recheck_gain *gains, size_t count);
/** *err only when memory runs out. */
wm_status rechecked_write_json(wm_buf *out, const wm_rechecked *items, size_t count, wm_error *err);

#endif

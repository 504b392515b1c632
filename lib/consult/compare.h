/* compare: two photos or two saved visits of one head: what changed (M17, C14), both pictures brought to the same
 * light. */
#ifndef WM_CONSULT_COMPARE_H
#define WM_CONSULT_COMPARE_H

#include "book/book.h"
#include "consult/consult.h"
#include "report/compare_out.h"

/** Measures both. WM_E_INPUT when no zone bears the same name in both. Free with wm_comparison_free. */
wm_status wm_compare_photos(wm_comparison *out, const wm_consult_input *before, const wm_consult_input *now,
                            wm_error *err);
/** From what the book keeps of them. */
wm_status wm_compare_visits(wm_comparison *out, const wm_visit *before, const wm_visit *now, wm_error *err);

#endif

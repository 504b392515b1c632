/* report: a consultation, read out. The JSON holds everything and its keys are stable; text and page are made from it.
 * Texts that come as char ** are yours: free() them. */
#ifndef WEFTMATCH_REPORT_H
#define WEFTMATCH_REPORT_H

#include "weftmatch/consult.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The JSON document; *size, which may be NULL, without the NUL behind it. Lent. */
WM_PUBLIC const char *wm_consultation_json(const wm_consultation *consultation, size_t *size);
/** Reads such a document, of this version or an older one. WM_E_BOOK: it is none, damaged, or of a newer version.
 * WM_E_MEMORY. Close with wm_consultation_close; its page has no photo. */
WM_PUBLIC wm_status wm_consultation_read(wm_consultation **out, const char *json, size_t size, wm_error *err);

/** For a terminal of 80 columns, without colour; lengths as the settings say. WM_E_MEMORY. */
WM_PUBLIC wm_status wm_consultation_text(char **out, const wm_consultation *consultation, wm_error *err);
/** The page for client and stylist: one HTML document that needs no network. WM_E_MEMORY. */
WM_PUBLIC wm_status wm_consultation_html(char **out, const wm_consultation *consultation, wm_error *err);

/** True when a shade may be named or short-listed and the first proposal is at least close. */
WM_PUBLIC bool wm_consultation_answers(const wm_consultation *consultation);

/** The i-th warning, what is wrong and what to do, NULL behind the last; *code, which may be NULL, is its stable name.
 * Both lent. */
WM_PUBLIC const char *wm_consultation_warning(const wm_consultation *consultation, size_t i, const char **code);

#ifdef __cplusplus
}
#endif

#endif

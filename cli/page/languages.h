/* languages: those that the pages and both papers speak. A language is one file, such as de.js; its sentences of the
 * library are put into the program at build time. */
#ifndef CLI_PAGE_LANGUAGES_H
#define CLI_PAGE_LANGUAGES_H

#include "core/status.h"
#include "report/spoken.h"

/** By its tag; NULL asks for English. WM_E_USAGE for one that there is not. */
wm_status language_find(const wm_language **out, const char *tag, wm_error *err);

#endif

#include "page/languages.h"

#include <string.h>

static const wm_sentence GERMAN[] = {
#include "sentences_de.inc"
};

static const wm_language LANGUAGES[] = {
    { "en", '.', NULL, 0, NULL },
    { "de", ',', GERMAN, sizeof GERMAN / sizeof GERMAN[0], NULL },
};

wm_status language_find(const wm_language **out, const char *tag, wm_error *err)
{
    for (size_t i = 0; i < sizeof LANGUAGES / sizeof LANGUAGES[0]; i++)
        if (!tag || strcmp(LANGUAGES[i].tag, tag) == 0) {
            *out = &LANGUAGES[i];
            return WM_OK;
        }
    return wm_fail(err, WM_E_USAGE, "there is no language '%s'; choose en or de", tag);
}

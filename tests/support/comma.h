/* comma: runs the rest of a test under a locale that writes decimal commas; false when the machine has none. */
#ifndef SUPPORT_COMMA_H
#define SUPPORT_COMMA_H

#include "support/near.h"

#include <locale.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

static inline bool comma_locale(void)
{
    static const char *const names[] = { "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "fr_FR.utf8" };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (setlocale(LC_ALL, names[i])) {
            char text[8];
            snprintf(text, sizeof text, "%.1f", 1.5);
            assert_string_equal(text, "1,5"); /* else the test would prove nothing */
            return true;
        }
    }
    return false;
}

#endif

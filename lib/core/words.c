#include "core/words.h"

#include <string.h>

const char *wm_word_of(const char *const words[], unsigned value)
{
    for (unsigned i = 0; words[i]; i++)
        if (i == value)
            return words[i];
    return "";
}

bool wm_word_find(const char *const words[], const char *text, unsigned *value)
{
    for (unsigned i = 0; text && words[i]; i++)
        if (strcmp(words[i], text) == 0) {
            *value = i;
            return true;
        }
    return false;
}

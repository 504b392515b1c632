/* words: the names of an enum's values stand in one table beside the enum, in the order of the values and closed by
 * NULL; these two read it. */
#ifndef WM_CORE_WORDS_H
#define WM_CORE_WORDS_H

#include <stdbool.h>

/** The word of a value; "" beyond the table. Lent by it. */
const char *wm_word_of(const char *const words[], unsigned value);

/** Where text stands in the table. False, and untouched, for text that is NULL or no word of it. */
bool wm_word_find(const char *const words[], const char *text, unsigned *value);

#endif

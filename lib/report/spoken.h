/* spoken: what the library says, in another language. The library writes English; a language is a table of its
 * sentences, which a program brings (the desk's pages read the same one). A sentence that no row knows stays as it is.
 */
#ifndef WM_REPORT_SPOKEN_H
#define WM_REPORT_SPOKEN_H

#include "core/buf.h"

/** {a} stands for what stays: a name, a code, a number, or words that are said by another row; {A} is one word. */
typedef struct wm_sentence {
    const char *english, *spoken;
} wm_sentence;

typedef struct wm_language {
    const char *tag; /**< BCP 47, such as "de" */
    char decimal_sign;
    const wm_sentence *sentences; /**< the first that fits counts */
    size_t count;                 /**< 0: English, nothing is changed */
} wm_language;

/** One text: its sentences, its days (2026-05-14) as words, its decimal numbers. */
void wm_spoken(wm_buf *out, const char *text, const wm_language *language);

/** A page as wm_markup writes it: its texts and what is read aloud of its pictures. What an element with
 * translate="no" holds (names, codes, notes) stays. */
void wm_spoken_page(wm_buf *out, const char *page, const wm_language *language);

#endif

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

/** Names that stay as they are inside a sentence, even where one is called like a word of the language: codes and names
 * of shades, people. */
typedef struct wm_names {
    const char **items; /**< lent; in order and each once after wm_names_sort */
    size_t count, room;
    bool failed;
} wm_names;

void wm_names_add(wm_names *names, const char *name); /**< "" and NULL: nothing */
void wm_names_sort(wm_names *names);
void wm_names_free(wm_names *names);

typedef struct wm_language {
    const char *tag; /**< BCP 47, such as "de" */
    char decimal_sign;
    const wm_sentence *sentences; /**< the first that fits counts */
    size_t count;                 /**< 0: English, nothing is changed */
    const wm_names *kept;         /**< NULL: none */
} wm_language;

/** One text: its sentences, its days (2026-05-14) as words, its decimal numbers. */
void wm_spoken(wm_buf *out, const char *text, const wm_language *language);

/** A page as wm_markup writes it: its texts and what is read aloud of its pictures. What an element with
 * translate="no" holds (names, codes, notes) stays. */
void wm_spoken_page(wm_buf *out, const char *page, const wm_language *language);

#endif

/* plain: one rule for text that enters (names, notes, imports), one for text that leaves to a terminal, and the form in
 * which names are sought. */
#ifndef WM_CORE_PLAIN_H
#define WM_CORE_PLAIN_H

#include "core/buf.h"

/** Whether the character that bytes begins with prints as it is written; its length (1 where it is none). */
bool wm_plain_prints(const char *bytes, size_t size, size_t *length);

/** True for UTF-8 that prints as it is written: no control or escape character, nothing that turns the direction of
 * writing, no line end. */
bool wm_plain_line(const char *text);
/** The same, line feeds and tabs allowed. */
bool wm_plain_note(const char *text);

/** Makes any text one line that prints as it is written: '?' for what does not. */
void wm_plain_make_line(char *text);

/** Appends what may go to a terminal: colours (SGR) pass, every other control or escape sequence, whatever turns the
 * direction of writing, and invalid UTF-8 become '?'. */
void wm_plain_for_terminal(wm_buf *out, const char *bytes, size_t size);

/** The form in which a name is sought: lower case, Latin letters without their marks ("Zoë Müller" is "zoe
 * muller", "Straße" is "strasse"), outer space gone, inner space single. Returns out; cut where it does not fit.
 */
const char *wm_plain_sought(char *out, size_t size, const char *text);

#endif

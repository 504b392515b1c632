/* completion: what may be typed next, for the shells: generated from the tables of verbs and options. */
#ifndef WEFTMATCH_COMPLETION_H
#define WEFTMATCH_COMPLETION_H

#include "option.h"

/** What may follow an option. */
typedef enum completion_value {
    COMPLETE_NOTHING, /**< a flag */
    COMPLETE_CHOICE,  /**< the words of its argument, between bars */
    COMPLETE_ZONE,
    COMPLETE_FILE,
    COMPLETE_CLIENT,
    COMPLETE_CODES, /**< several, with commas */
    COMPLETE_CODE,
    COMPLETE_OWN /**< only the user knows */
} completion_value;
completion_value completion_value_of(const option_spec *option);
#define COMPLETION_ZONES "root= mid= ends= gray= card=" /* how a value of COMPLETE_ZONE begins */

/** " --name -n", for a list of words; user: wm_buf. */
void completion_option_word(void *user, const option_spec *option);
/** "--name|-n) ", for a case. */
void completion_option_pattern(wm_buf *out, const option_spec *option);

/** What the verb's operands name: a word of `complete`, or NULL: files. `most`: how many of them, 0 for any number. */
const char *completion_operands_of(const verb_spec *verb, int *most);

void completion_bash(wm_buf *out);
void completion_zsh(wm_buf *out);
void completion_fish(wm_buf *out);

#endif

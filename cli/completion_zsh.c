/* The completion for zsh, from the tables of verbs and options. */
#include <string.h>

#include "completion.h"

static void value(wm_buf *out, const option_spec *option)
{
    const completion_value value = completion_value_of(option);
    if (value == COMPLETE_NOTHING)
        return;
    completion_option_pattern(out, option);
    switch (value) {
    case COMPLETE_CHOICE: wm_buf_format(out, "compadd -- ${(s:|:):-'%s'}", option->argument); break;
    case COMPLETE_ZONE: wm_buf_text(out, "compadd -S '' -- " COMPLETION_ZONES); break;
    case COMPLETE_FILE: wm_buf_text(out, "_files"); break;
    case COMPLETE_CLIENT: wm_buf_text(out, "_weftmatch_names clients"); break;
    case COMPLETE_CODES: wm_buf_text(out, "compset -P '*[,/]'; _weftmatch_names codes"); break;
    case COMPLETE_CODE: wm_buf_text(out, "_weftmatch_names codes"); break;
    default: break;
    }
    wm_buf_text(out, "; return ;;\n");
}

/* First words, each once, and the second ones of each group. */
static void words(wm_buf *out)
{
    wm_buf_text(out, "    typeset -U first=(");
    for (const verb_spec *verb = VERBS; verb->name; verb++)
        wm_buf_format(out, " %.*s", (int)strcspn(verb->name, " "), verb->name);
    wm_buf_text(out, " help )\n    typeset -A second=(");
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        const size_t n = strcspn(verb->name, " ");
        if (!verb->name[n] || (verb > VERBS && strncmp(verb[-1].name, verb->name, n + 1) == 0))
            continue;
        wm_buf_format(out, " %.*s '", (int)n, verb->name);
        for (const verb_spec *each = verb; each->name && strncmp(each->name, verb->name, n + 1) == 0; each++)
            wm_buf_format(out, "%s%s", each == verb ? "" : " ", each->name + n + 1);
        wm_buf_text(out, "'");
    }
    wm_buf_text(out, " )\n");
}

static void verb_case(wm_buf *out, const verb_spec *verb)
{
    int most = 0;
    const char *names = completion_operands_of(verb, &most);
    wm_buf_format(out, "        '%s'%s) if [[ $PREFIX == -* ]]; then compadd --", verb->name,
                  strchr(verb->name, ' ') ? "" : "' '*");
    verb_each_option(verb, completion_option_word, out);
    common_each_option(completion_option_word, out);
    wm_buf_format(out, "; else %s%s; fi ;;\n", names ? "_weftmatch_names " : "_files", names ? names : "");
}

void completion_zsh(wm_buf *out)
{
    wm_buf_text(out, "#compdef weftmatch\n"
                     "# zsh completion for weftmatch, generated from the tables of the command line; do not edit\n"
                     "_weftmatch_names()\n{\n"
                     "    local -a names=(${(f)\"$(${(Q)words[1]} complete $1 -q -- \"${(Q)PREFIX}\" 2>/dev/null)\"})\n"
                     "    (( ${#names} )) && compadd -U -- $names\n}\n"
                     "_weftmatch()\n{\n"
                     "    local -a first\n    local -A second\n");
    words(out);
    wm_buf_text(
        out,
        "    if (( CURRENT == 2 )); then compadd -- $first; return; fi\n"
        "    if (( CURRENT == 3 )) && [[ -n $second[$words[2]] ]]; then compadd -- ${=second[$words[2]]}; return; fi\n"
        "    case $words[CURRENT-1] in\n");
    for (const option_spec *option = OPTIONS; option->name; option++)
        value(out, option);
    wm_buf_text(out, "    esac\n    case \"$words[2] $words[3]\" in\n");
    for (const verb_spec *verb = VERBS; verb->name; verb++)
        verb_case(out, verb);
    wm_buf_text(
        out, "    esac\n}\n[[ $funcstack[1] == _weftmatch ]] && _weftmatch \"$@\" || compdef _weftmatch weftmatch\n");
}

/* The completion for bash, from the tables of verbs and options. */
#include <string.h>

#include "option.h"

static void option_word(void *user, const option_spec *option)
{
    wm_buf_format(user, " --%s", option->name);
    if (option->letter)
        wm_buf_format(user, " -%c", option->letter);
}

static bool is_choice(const option_spec *option)
{
    return option->argument && strchr(option->argument, '|') && !strstr(option->argument, "NAME");
}

static void option_pattern(wm_buf *out, const option_spec *option)
{
    wm_buf_format(out, "        --%s", option->name);
    if (option->letter)
        wm_buf_format(out, "|-%c", option->letter);
    wm_buf_text(out, ") ");
}

/* What may follow an option: its words, a file, or something only the user knows. */
static void values(wm_buf *out)
{
    for (const option_spec *option = OPTIONS; option->name; option++) {
        if (!option->argument)
            continue;
        option_pattern(out, option);
        if (is_choice(option))
            wm_buf_format(out, "words='%s'; words=${words//|/ } ;;\n", option->argument);
        else if (strcmp(option->name, "zone") == 0)
            wm_buf_text(out, "words='root= mid= ends= gray= card=' ;;\n");
        else if (strcmp(option->argument, "FILE") == 0 || strcmp(option->argument, "PHOTO") == 0)
            wm_buf_text(out, "files=1 ;;\n");
        else
            wm_buf_text(out, "return ;;\n");
    }
}

static void verb_cases(wm_buf *out)
{
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        wm_buf_format(out, "        '%s'%s) options='", verb->name, strchr(verb->name, ' ') ? "" : "' '*");
        verb_each_option(verb, option_word, out);
        common_each_option(option_word, out);
        wm_buf_text(out, "' ;;\n");
    }
}

/* First words, each once; verbs of one group stand together. */
static void first_words(wm_buf *out)
{
    const char *last = "";
    for (const verb_spec *verb = VERBS; verb->name; last = verb->name, verb++) {
        size_t n = strcspn(verb->name, " ");
        if (strncmp(last, verb->name, n) != 0 || strcspn(last, " ") != n) {
            wm_buf_bytes(out, verb->name, n);
            wm_buf_text(out, " ");
        }
    }
}

static void second_words(wm_buf *out)
{
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        size_t n = strcspn(verb->name, " ");
        if (!verb->name[n])
            continue;
        wm_buf_format(out, "        %.*s) words='%s", (int)n, verb->name, verb->name + n + 1);
        for (; verb[1].name && strncmp(verb[1].name, verb->name, n + 1) == 0; verb++)
            wm_buf_format(out, " %s", verb[1].name + n + 1);
        wm_buf_text(out, "' ;;\n");
    }
}

void completion_script(wm_buf *out)
{
    wm_buf_text(out,
                "# bash completion for weftmatch, generated from the tables of the command line; do not edit\n"
                "_weftmatch()\n{\n"
                "    local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} words= options= files=\n"
                "    # --name=value comes as three words\n"
                "    if [[ $cur == = ]]; then cur=; elif [[ $prev == = ]]; then prev=${COMP_WORDS[COMP_CWORD-2]}; fi\n"
                "    COMPREPLY=()\n"
                "    if ((COMP_CWORD == 1)); then\n        COMPREPLY=($(compgen -W '");
    first_words(out);
    wm_buf_text(out, "help --help --version' -- \"$cur\"))\n        return\n    fi\n    case $prev in\n");
    values(out);
    wm_buf_text(out, "    esac\n"
                     "    if [[ -n $files ]]; then mapfile -t COMPREPLY < <(compgen -f -- \"$cur\"); return; fi\n"
                     "    if ((COMP_CWORD == 2)) && [[ -z $words ]]; then case ${COMP_WORDS[1]} in\n");
    second_words(out);
    wm_buf_text(out, "    esac; fi\n"
                     "    case \"${COMP_WORDS[1]} ${COMP_WORDS[2]}\" in\n");
    verb_cases(out);
    wm_buf_text(out, "    esac\n"
                     "    [[ -z $words && $cur == -* ]] && words=$options\n"
                     "    if [[ -z $words ]]; then mapfile -t COMPREPLY < <(compgen -f -- \"$cur\"); return; fi\n"
                     "    COMPREPLY=($(compgen -W \"$words\" -- \"$cur\"))\n"
                     "    compopt +o filenames 2>/dev/null\n"
                     "    [[ ${COMPREPLY[0]} == *= ]] && compopt -o nospace 2>/dev/null\n"
                     "    return 0\n}\n"
                     "complete -o filenames -F _weftmatch weftmatch\n");
}

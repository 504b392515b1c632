/* The completion for bash, from the tables of verbs and options, and what all shells share. */
#include <string.h>

#include "completion.h"

void completion_option_word(void *user, const option_spec *option)
{
    wm_buf_format(user, " --%s", option->name);
    if (option->letter)
        wm_buf_format(user, " -%c", option->letter);
}

static bool is_choice(const option_spec *option)
{
    return option->argument && strchr(option->argument, '|') && !strstr(option->argument, "NAME");
}

completion_value completion_value_of(const option_spec *option)
{
    static const struct {
        const char *argument;
        completion_value value;
    } KINDS[] = { { "FILE", COMPLETE_FILE },
                  { "PHOTO", COMPLETE_FILE },
                  { "NAME|ID", COMPLETE_CLIENT },
                  { "CODE,CODE,..", COMPLETE_CODES },
                  { "CODE", COMPLETE_CODE } };
    if (!option->argument)
        return COMPLETE_NOTHING;
    if (is_choice(option))
        return COMPLETE_CHOICE;
    if (strcmp(option->name, "zone") == 0)
        return COMPLETE_ZONE;
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (strcmp(option->argument, KINDS[i].argument) == 0)
            return KINDS[i].value;
    return COMPLETE_OWN;
}

void completion_option_pattern(wm_buf *out, const option_spec *option)
{
    wm_buf_format(out, "        --%s", option->name);
    if (option->letter)
        wm_buf_format(out, "|-%c", option->letter);
    wm_buf_text(out, ") ");
}

/* What may follow an option: its words, a file, a client, shades, or something only the user knows. */
static void values(wm_buf *out)
{
    for (const option_spec *option = OPTIONS; option->name; option++) {
        const completion_value value = completion_value_of(option);
        if (value == COMPLETE_NOTHING)
            continue;
        completion_option_pattern(out, option);
        switch (value) {
        case COMPLETE_CHOICE: wm_buf_format(out, "words='%s'; words=${words//|/ } ;;\n", option->argument); break;
        case COMPLETE_ZONE: wm_buf_text(out, "words='" COMPLETION_ZONES "' ;;\n"); break;
        case COMPLETE_FILE: wm_buf_text(out, "files=1 ;;\n"); break;
        case COMPLETE_CLIENT: wm_buf_text(out, "names=clients ;;\n"); break;
        case COMPLETE_CODES: wm_buf_text(out, "names=codes before=${cur%\"${cur##*[,/]}\"} ;;\n"); break;
        case COMPLETE_CODE: wm_buf_text(out, "names=codes ;;\n"); break;
        default: wm_buf_text(out, "return ;;\n");
        }
    }
}

static void verb_cases(wm_buf *out)
{
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        wm_buf_format(out, "        '%s'%s) options='", verb->name, strchr(verb->name, ' ') ? "" : "' '*");
        verb_each_option(verb, completion_option_word, out);
        common_each_option(completion_option_word, out);
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

const char *completion_operands_of(const verb_spec *verb, int *most)
{
    static const struct {
        const char *begins, *holds, *names;
        int most;
    } KINDS[] = { { "NAME|ID", "INTO", "clients", 2 },
                  { "NAME|ID", "", "clients", 1 },
                  { "[CODE=SHARE", "", "shares", 0 },
                  { "CODE", "", "codes", 1 },
                  { "KEY=VALUE", "", "settings", 0 } };
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (strncmp(verb->operands, KINDS[i].begins, strlen(KINDS[i].begins)) == 0 &&
            strstr(verb->operands, KINDS[i].holds)) {
            *most = KINDS[i].most;
            return KINDS[i].names;
        }
    return NULL;
}

/* What an operand names, and as which words of the line. */
static void operands(wm_buf *out)
{
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        int most = 0;
        const char *names = completion_operands_of(verb, &most);
        const bool one = !strchr(verb->name, ' ');
        if (!names)
            continue;
        wm_buf_format(out, "        '%s'%s) _weftmatch_at %d; ", verb->name, one ? "' '*" : "", one ? 2 : 3);
        if (most)
            wm_buf_format(out, "((at < %d)) && names=%s ;;\n", most, names);
        else
            wm_buf_format(out, "[[ $prev != = ]] && names=%s ;;\n", names);
    }
}

/* How many operands stand before the cursor, from word $1 on, into `at`. */
static void operands_before(wm_buf *out)
{
    wm_buf_text(out, "_weftmatch_at()\n{\n"
                     "    local i\n"
                     "    at=0\n"
                     "    for ((i = $1; i < COMP_CWORD; i++)); do case ${COMP_WORDS[i]} in\n"
                     "        =");
    for (const option_spec *option = OPTIONS; option->name; option++)
        if (option->argument) {
            wm_buf_format(out, "|--%s", option->name);
            if (option->letter)
                wm_buf_format(out, "|-%c", option->letter);
        }
    wm_buf_text(out, ") [[ ${COMP_WORDS[i+1]} == = ]] || ((i++)) ;;\n"
                     "        -*) ;;\n"
                     "        *) ((at++)) ;;\n"
                     "    esac; done\n}\n");
}

/* What book and catalogue hold, asked of the program itself: it quotes nothing, leaves out what does not begin as
 * typed, and without a book or a catalogue says nothing and makes none. */
static const char NAMES[] =
    "# a word of the line without its quotes\n"
    "_weftmatch_plain()\n{\n"
    "    local word=${1//\\\\/}\n"
    "    word=${word//[\\\"\\']/}\n"
    "    [[ $word == '~/'* ]] && word=$HOME/${word:2}\n"
    "    printf %s \"$word\"\n}\n"
    "# WHAT BEGINNING: clients, codes, settings of the book and the catalogue that the line names\n"
    "_weftmatch_names()\n{\n"
    "    local i given=()\n"
    "    for ((i = 1; i < COMP_CWORD; i++)); do case ${COMP_WORDS[i]} in\n"
    "        --book|-b|--swatches|-s) [[ ${COMP_WORDS[i+1]} == = ]] && ((i++))\n"
    "            ((i + 1 < COMP_CWORD)) && given+=(\"${COMP_WORDS[i-(${#COMP_WORDS[i]}==1)]}\" \"$(_weftmatch_plain \"${COMP_WORDS[i+1]}\")\") ;;\n"
    "    esac; done\n"
    "    \"$(_weftmatch_plain \"${COMP_WORDS[0]}\")\" complete \"$1\" -q \"${given[@]}\" -- \"$2\" 2>/dev/null\n}\n";

void completion_bash(wm_buf *out)
{
    wm_buf_text(out, "# bash completion for weftmatch, generated from the tables of the command line; do not edit\n");
    wm_buf_text(out, NAMES);
    operands_before(out);
    wm_buf_text(
        out,
        "_weftmatch()\n{\n"
        "    local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} words= options= files= names= before= at\n"
        "    # --name=value comes as three words\n"
        "    if [[ $cur == = ]]; then cur=; elif [[ $prev == = && ${COMP_WORDS[COMP_CWORD-2]} == -* ]]; then prev=${COMP_WORDS[COMP_CWORD-2]}; fi\n"
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
    wm_buf_text(out,
                "    esac\n"
                "    if [[ -z $words$names && $cur != -* ]]; then case \"${COMP_WORDS[1]} ${COMP_WORDS[2]}\" in\n");
    operands(out);
    wm_buf_text(out, "    esac; fi\n"
                     "    if [[ -n $names ]]; then\n"
                     "        before=$(_weftmatch_plain \"$before\")\n"
                     "        cur=$(_weftmatch_plain \"$cur\")\n"
                     "        mapfile -t COMPREPLY < <(_weftmatch_names \"$names\" \"${cur#\"$before\"}\")\n"
                     "        ((${#COMPREPLY[@]})) && COMPREPLY=(\"${COMPREPLY[@]/#/$before}\")\n"
                     "        if [[ ${COMPREPLY[0]} == *= ]]; then\n"
                     "            mapfile -t COMPREPLY < <(printf '%q\\n' \"${COMPREPLY[@]}\")\n"
                     "            compopt +o filenames 2>/dev/null\n"
                     "            compopt -o nospace 2>/dev/null\n"
                     "        fi\n"
                     "        return\n"
                     "    fi\n"
                     "    [[ -z $words && $cur == -* ]] && words=$options\n"
                     "    if [[ -z $words ]]; then mapfile -t COMPREPLY < <(compgen -f -- \"$cur\"); return; fi\n"
                     "    COMPREPLY=($(compgen -W \"$words\" -- \"$cur\"))\n"
                     "    compopt +o filenames 2>/dev/null\n"
                     "    [[ ${COMPREPLY[0]} == *= ]] && compopt -o nospace 2>/dev/null\n"
                     "    return 0\n}\n"
                     "complete -o filenames -F _weftmatch weftmatch\n");
}

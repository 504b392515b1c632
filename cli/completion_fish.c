/* The completion for fish, from the tables of verbs and options. */
#include <string.h>

#include "completion.h"

/* Between single quotes. */
static void quoted(wm_buf *out, const char *text)
{
    wm_buf_text(out, "'");
    for (; *text; text++) {
        if (*text == '\'' || *text == '\\')
            wm_buf_text(out, "\\");
        wm_buf_bytes(out, text, 1);
    }
    wm_buf_text(out, "'");
}

static void value(wm_buf *out, const option_spec *option)
{
    switch (completion_value_of(option)) {
    case COMPLETE_NOTHING: break;
    case COMPLETE_CHOICE: /* between bars */
        wm_buf_text(out, " -x -a \"(string split '|' -- '");
        wm_buf_text(out, option->argument);
        wm_buf_text(out, "')\"");
        break;
    case COMPLETE_ZONE: wm_buf_text(out, " -x -a '" COMPLETION_ZONES "'"); break;
    case COMPLETE_FILE: wm_buf_text(out, " -r -F"); break;
    case COMPLETE_CLIENT: wm_buf_text(out, " -x -a '(__weftmatch_names clients)'"); break;
    case COMPLETE_CODES:
    case COMPLETE_CODE: wm_buf_text(out, " -x -a '(__weftmatch_names codes)'"); break;
    case COMPLETE_OWN: wm_buf_text(out, " -x"); break;
    }
}

typedef struct for_verb {
    wm_buf *out;
    const char *verb;
} for_verb;

static void option_line(void *user, const option_spec *option)
{
    const for_verb *in = user;
    wm_buf_format(in->out, "complete -c weftmatch -n '__weftmatch_verb %s' -l %s", in->verb, option->name);
    if (option->letter)
        wm_buf_format(in->out, " -s %c", option->letter);
    value(in->out, option);
    wm_buf_text(in->out, " -d ");
    quoted(in->out, option->help);
    wm_buf_text(in->out, "\n");
}

static void verb_line(wm_buf *out, const verb_spec *verb)
{
    const size_t n = strcspn(verb->name, " ");
    if (verb->name[n])
        wm_buf_format(out,
                      "complete -c weftmatch -n __fish_use_subcommand -f -a %.*s\n"
                      "complete -c weftmatch -n '__weftmatch_verb %.*s; and __weftmatch_at 2' -f -a %s -d ",
                      (int)n, verb->name, (int)n, verb->name, verb->name + n + 1);
    else
        wm_buf_format(out, "complete -c weftmatch -n __fish_use_subcommand -f -a %s -d ", verb->name);
    quoted(out, verb->summary);
    wm_buf_text(out, "\n");
}

void completion_fish(wm_buf *out)
{
    wm_buf_text(out, "# fish completion for weftmatch, generated from the tables of the command line; do not edit\n"
                     "function __weftmatch_verb --description 'these are the first words of the line'\n"
                     "    set -l words (commandline -opc)\n"
                     "    set -l last (math 1 + (count $argv))\n"
                     "    test \"$words[2..$last]\" = \"$argv\"\n"
                     "end\n"
                     "function __weftmatch_at --description 'so many words stand before the cursor'\n"
                     "    test (count (commandline -opc)) -eq $argv[1]\n"
                     "end\n"
                     "function __weftmatch_names --description 'clients, codes, settings of book and catalogue'\n"
                     "    set -l program (commandline -opc)[1]\n"
                     "    $program complete $argv[1] -q -- (commandline -ct) 2>/dev/null\n"
                     "end\n");
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        for_verb in = { out, verb->name };
        int most = 0;
        const char *names = completion_operands_of(verb, &most);
        verb_line(out, verb);
        verb_each_option(verb, option_line, &in);
        common_each_option(option_line, &in);
        if (names)
            wm_buf_format(out, "complete -c weftmatch -n '__weftmatch_verb %s' -f -a '(__weftmatch_names %s)'\n",
                          verb->name, names);
    }
}

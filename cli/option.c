#include "option.h"

#include <stdio.h>
#include <string.h>

#include "core/file.h"

static size_t verb_words(const char *name)
{
    return strchr(name, ' ') ? 2 : 1;
}

static bool verb_matches(const verb_spec *verb, int argc, char *const argv[])
{
    const char *space = strchr(verb->name, ' ');
    if (!space)
        return argc >= 2 && strcmp(argv[1], verb->name) == 0;
    size_t first = (size_t)(space - verb->name);
    return argc >= 3 && strlen(argv[1]) == first && strncmp(argv[1], verb->name, first) == 0 &&
           strcmp(argv[2], space + 1) == 0;
}

const verb_spec *verb_find(int argc, char *const argv[], int *used)
{
    for (const verb_spec *verb = VERBS; verb->name; verb++)
        if (verb_matches(verb, argc, argv)) {
            *used = (int)verb_words(verb->name);
            return verb;
        }
    return NULL;
}

const option_spec *option_find(const char *name)
{
    for (const option_spec *option = OPTIONS; option->name; option++)
        if (strcmp(option->name, name) == 0)
            return option;
    return NULL;
}

/* True when the space separated list holds the word. */
static bool list_holds(const char *list, const char *word, size_t length)
{
    for (const char *p = list; *p; p += strspn(p, " ")) {
        size_t n = strcspn(p, " ");
        if (n == length && strncmp(p, word, n) == 0)
            return true;
        p += n;
    }
    return false;
}

static const char ALWAYS[] = "date color quiet jobs help version"; /* every verb takes these */

static void each_of(const char *list, each_option call, void *user)
{
    for (const char *p = list; *p; p += strspn(p, " ")) {
        char name[40];
        size_t n = strcspn(p, " ");
        snprintf(name, sizeof name, "%.*s", (int)n, p);
        p += n;
        call(user, option_find(name));
    }
}

void verb_each_option(const verb_spec *verb, each_option call, void *user)
{
    each_of(verb->options, call, user);
}

void common_each_option(each_option call, void *user)
{
    each_of(ALWAYS, call, user);
}

static bool verb_takes(const verb_spec *verb, const option_spec *option)
{
    return list_holds(verb->options, option->name, strlen(option->name)) ||
           list_holds(ALWAYS, option->name, strlen(option->name));
}

static const option_spec *find_long(const verb_spec *verb, const char *name, size_t length)
{
    for (const option_spec *option = OPTIONS; option->name; option++)
        if (strlen(option->name) == length && strncmp(option->name, name, length) == 0 && verb_takes(verb, option))
            return option;
    return NULL;
}

static const option_spec *find_letter(const verb_spec *verb, char letter)
{
    for (const option_spec *option = OPTIONS; option->name; option++)
        if (option->letter == letter && verb_takes(verb, option))
            return option;
    return NULL;
}

static wm_status unknown_option(const verb_spec *verb, const char *given, size_t length, wm_error *err)
{
    const char *names[128];
    char word[64];
    size_t count = 0;
    for (const option_spec *option = OPTIONS; option->name && count < 128; option++)
        if (verb_takes(verb, option))
            names[count++] = option->name;
    if (length >= sizeof word)
        length = sizeof word - 1;
    memcpy(word, given, length);
    word[length] = '\0';
    const char *near = wm_near_miss(word, names, count);
    if (near)
        return wm_fail(err, WM_E_USAGE, "unknown option '--%s' for %s; did you mean '--%s'?", word, verb->name, near);
    return wm_fail(err, WM_E_USAGE, "unknown option '--%s' for %s; see weftmatch %s --help", word, verb->name,
                   verb->name);
}

static bool choice_allows(const char *argument, const char *value)
{
    if (!strchr(argument, '|') || strchr(argument, ' ') || strstr(argument, "NAME"))
        return true;
    for (const char *p = argument; *p; p += strspn(p, "|")) {
        size_t n = strcspn(p, "|");
        if (strlen(value) == n && strncmp(p, value, n) == 0)
            return true;
        p += n;
    }
    return false;
}

/* "--worn can't be 'sideways'; give down, up or both" */
static wm_status refuse_choice(const option_spec *option, const char *value, wm_error *err)
{
    char choices[100] = "";
    for (const char *p = option->argument; *p; p += strspn(p, "|")) {
        size_t n = strcspn(p, "|"), used = strlen(choices);
        const char *between = !used ? "" : p[n] ? ", " : " or ";
        snprintf(choices + used, sizeof choices - used, "%s%.*s", between, (int)n, p);
        p += n;
    }
    return wm_fail(err, WM_E_USAGE, "--%s can't be '%s'; give %s", option->name, value, choices);
}

static wm_status give(args *out, const option_spec *option, const char *value, wm_error *err)
{
    if (option->argument && !choice_allows(option->argument, value))
        return refuse_choice(option, value, err);
    if (out->given_count == ARGS_MAX)
        return wm_fail(err, WM_E_USAGE, "too many options; a zones file holds any number of zones");
    if (!option->repeat && args_has(out, option->name))
        return wm_fail(err, WM_E_USAGE, "--%s is given twice; give it once", option->name);
    out->given[out->given_count].option = option;
    out->given[out->given_count++].value = value;
    return WM_OK;
}

/* --name, --name=value or --name value; *i is the index of the word and moves on when the value is the next one. */
static wm_status parse_long(args *out, int argc, char *const argv[], int *i, wm_error *err)
{
    const char *word = argv[*i] + 2, *equals = strchr(word, '=');
    size_t length = equals ? (size_t)(equals - word) : strlen(word);
    const option_spec *option = find_long(out->verb, word, length);
    if (!option)
        return unknown_option(out->verb, word, length, err);
    if (!option->argument && equals)
        return wm_fail(err, WM_E_USAGE, "--%s takes no value; leave out '%s'", option->name, equals);
    if (!option->argument)
        return give(out, option, "", err);
    if (equals)
        return give(out, option, equals + 1, err);
    if (*i + 1 >= argc)
        return wm_fail(err, WM_E_USAGE, "--%s needs a value; write --%s %s", option->name, option->name,
                       option->argument);
    return give(out, option, argv[++*i], err);
}

/* -o FILE, -oFILE, -hq */
static wm_status parse_letters(args *out, int argc, char *const argv[], int *i, wm_error *err)
{
    for (const char *p = argv[*i] + 1; *p; p++) {
        const option_spec *option = find_letter(out->verb, *p);
        if (!option && wm_file_exists(argv[*i]))
            return wm_fail(err, WM_E_USAGE, "unknown option '-%c' for %s; for the file write ./%s", *p, out->verb->name,
                           argv[*i]);
        if (!option)
            return wm_fail(err, WM_E_USAGE, "unknown option '-%c' for %s; see weftmatch %s --help", *p, out->verb->name,
                           out->verb->name);
        if (option->argument) {
            if (p[1])
                return give(out, option, p + 1, err);
            if (*i + 1 >= argc)
                return wm_fail(err, WM_E_USAGE, "-%c needs a value; write -%c %s", *p, *p, option->argument);
            return give(out, option, argv[++*i], err);
        }
        wm_status status = give(out, option, "", err);
        if (status)
            return status;
    }
    return WM_OK;
}

static bool takes_option(const verb_spec *verb, const char *name)
{
    return find_long(verb, name, strlen(name)) != NULL;
}

/* Where a word that stands by itself was meant to go. */
static const char *place_of_operand(const verb_spec *verb, const char *word)
{
    if (wm_file_ends_in(word, ".json") && takes_option(verb, "zones"))
        return "a zones file goes behind --zones";
    if (wm_file_ends_in(word, ".csv") && takes_option(verb, "swatches"))
        return "a catalogue goes behind --swatches";
    return takes_option(verb, "client") && !strstr(verb->operands, "PHOTO") ? "a client's name goes behind --client"
                                                                            : "a name with spaces goes in quotes";
}

static wm_status check_operands(const args *a, wm_error *err)
{
    if ((int)a->operand_count < a->verb->min_operands)
        return wm_fail(err, WM_E_USAGE, "%s needs %s; see weftmatch %s --help", a->verb->name, a->verb->operands,
                       a->verb->name);
    if ((int)a->operand_count > a->verb->max_operands) {
        const char *word = a->operands[a->verb->max_operands];
        return wm_fail(err, WM_E_USAGE, "%s takes %s, '%s' is too much; %s", a->verb->name,
                       a->verb->max_operands ? a->verb->operands : "options alone", word,
                       place_of_operand(a->verb, word));
    }
    return WM_OK;
}

wm_status args_parse(args *out, const verb_spec *verb, int argc, char *const argv[], wm_error *err)
{
    bool options_end = false;
    out->verb = verb;
    out->given_count = out->operand_count = 0;
    for (int i = 0; i < argc; i++) {
        wm_status status = WM_OK;
        const char *word = argv[i];
        if (!options_end && strcmp(word, "--") == 0)
            options_end = true;
        else if (!options_end && strncmp(word, "--", 2) == 0)
            status = parse_long(out, argc, argv, &i, err);
        else if (!options_end && word[0] == '-' && word[1])
            status = parse_letters(out, argc, argv, &i, err);
        else if (out->operand_count == ARGS_MAX)
            status = wm_fail(err, WM_E_USAGE, "more than %d operands; leave some out", ARGS_MAX);
        else
            out->operands[out->operand_count++] = word;
        if (status)
            return status;
        if (args_has(out, "help") || args_has(out, "version"))
            return WM_OK;
    }
    return check_operands(out, err);
}

bool args_has(const args *a, const char *option)
{
    return args_count(a, option) > 0;
}

const char *args_text(const args *a, const char *option)
{
    size_t count = args_count(a, option);
    return count ? args_nth(a, option, count - 1) : NULL;
}

size_t args_count(const args *a, const char *option)
{
    size_t count = 0;
    for (size_t i = 0; i < a->given_count; i++)
        count += strcmp(a->given[i].option->name, option) == 0;
    return count;
}

const char *args_nth(const args *a, const char *option, size_t n)
{
    for (size_t i = 0; i < a->given_count; i++)
        if (strcmp(a->given[i].option->name, option) == 0 && n-- == 0)
            return a->given[i].value;
    return NULL;
}

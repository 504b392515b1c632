#include "guard_files.h"

#include <stdio.h>
#include <string.h>

#include "context.h"
#include "core/file.h"

static const char *const OUTPUTS[] = { "output", "html", "client-html", "ics", "into" };
static const char *const INPUTS[] = { "zones", "swatches", "codes", "after", "calibrate", "new-shades" };

enum { OUTPUT_COUNT = sizeof OUTPUTS / sizeof OUTPUTS[0], INPUT_COUNT = sizeof INPUTS / sizeof INPUTS[0] };

static wm_status refuse(const char *output, const char *what, wm_error *err)
{
    return wm_fail_at(err, WM_E_OUTPUT, output, 0, 0, "is %s; name another file for the output", what);
}

/* A catalogue that is measured into is read first: the one output that may be an input. */
static bool may_be_both(const char *output_option, const char *input_option)
{
    return strcmp(output_option, "into") == 0 && strcmp(input_option, "swatches") == 0;
}

/* The catalogue that is read where none is named; without --force nothing that exists is replaced. */
static wm_status against_catalogue(const args *a, const char *option, const char *output, wm_error *err)
{
    char path[PATH_SIZE];
    wm_error none;
    if (may_be_both(option, "swatches") || args_has(a, "swatches") || !args_has(a, "force") ||
        context_swatches_path(path, a, &none))
        return WM_OK;
    return wm_file_same(output, path) ? refuse(output, "the salon's catalogue", err) : WM_OK;
}

static wm_status against_inputs(const args *a, const char *option, const char *output, wm_error *err)
{
    for (size_t i = 0; i < INPUT_COUNT; i++)
        for (size_t n = 0; n < args_count(a, INPUTS[i]); n++)
            if (!may_be_both(option, INPUTS[i]) && wm_file_same(output, args_nth(a, INPUTS[i], n)))
                return refuse(output, "read by this command", err);
    for (size_t i = 0; i < a->operand_count; i++)
        if (wm_file_same(output, a->operands[i]))
            return refuse(output, "read by this command", err);
    return against_catalogue(a, option, output, err);
}

/* The first part of PATH, a file that SQLite keeps beside a book, or all of it. */
static size_t book_length(const char *path)
{
    static const char *const BESIDE[] = { "-wal", "-shm", "-journal" };
    const size_t size = strlen(path);
    for (size_t i = 0; i < sizeof BESIDE / sizeof BESIDE[0]; i++) {
        const size_t end = strlen(BESIDE[i]);
        if (size > end && strcmp(path + size - end, BESIDE[i]) == 0)
            return size - end;
    }
    return size;
}

/* The command's own book under any name, and any other book; what lies beside them, whether it is there yet or not. */
static wm_status against_books(const args *a, const char *output, wm_error *err)
{
    static const char *const PARTS[] = { "", "-wal", "-shm" };
    char book[PATH_SIZE], path[PATH_SIZE + 8];
    wm_error none;
    const bool known = context_book_path(book, a, &none) == WM_OK;
    for (size_t i = 0; known && i < sizeof PARTS / sizeof PARTS[0]; i++) {
        snprintf(path, sizeof path, "%s%s", book, PARTS[i]);
        if (wm_file_same(output, path))
            return refuse(output, "the book", err);
    }
    snprintf(path, sizeof path, "%.*s", (int)book_length(output), output);
    if (wm_book_lies_at(path))
        return refuse(output, strcmp(path, output) == 0 ? "a book" : "kept for a book", err);
    return WM_OK;
}

static wm_status against_outputs(const args *a, size_t of, const char *output, wm_error *err)
{
    for (size_t i = of + 1; i < OUTPUT_COUNT; i++) {
        const char *other = args_text(a, OUTPUTS[i]);
        if (other && strcmp(other, "-") != 0 && wm_file_same(output, other))
            return refuse(output, "named for two outputs", err);
    }
    return WM_OK;
}

/* The result goes there, too, unless -o names a file for it. */
static wm_status against_stdout(const args *a, wm_error *err)
{
    static const char *const MAY_BE_STDOUT[] = { "output", "html", "client-html", "ics" };
    bool taken = !args_has(a, "output");
    for (size_t i = 0; i < sizeof MAY_BE_STDOUT / sizeof MAY_BE_STDOUT[0]; i++) {
        const char *output = args_text(a, MAY_BE_STDOUT[i]);
        const bool goes = output && strcmp(output, "-") == 0;
        if (goes && taken)
            return wm_fail(err, WM_E_OUTPUT,
                           "two outputs go to stdout; name a file for one of them (for the result: -o FILE)");
        taken = taken || goes;
    }
    return WM_OK;
}

/* `swatch convert IN OUT`, `book backup FILE`: the last operand is written. */
static wm_status check_operands(const args *a, wm_error *err)
{
    const bool converts = strcmp(a->verb->name, "swatch convert") == 0 && a->operand_count == 2,
               copies = strcmp(a->verb->name, "book backup") == 0 && a->operand_count == 1;
    if (converts && wm_file_same(a->operands[0], a->operands[1]))
        return refuse(a->operands[1], "read by this command", err);
    if (copies && wm_file_exists(a->operands[0]))
        return WM_OK; /* nothing is overwritten, says the verb */
    return converts || copies ? against_books(a, a->operands[a->operand_count - 1], err) : WM_OK;
}

wm_status guard_files(const args *a, wm_error *err)
{
    wm_status status = check_operands(a, err);
    if (!status)
        status = against_stdout(a, err);
    for (size_t i = 0; i < OUTPUT_COUNT && !status; i++) {
        const char *output = args_text(a, OUTPUTS[i]);
        if (!output || strcmp(output, "-") == 0)
            continue;
        status = against_inputs(a, OUTPUTS[i], output, err);
        if (!status)
            status = against_books(a, output, err);
        if (!status)
            status = against_outputs(a, i, output, err);
    }
    return status;
}

wm_status guard_references(const args *a, const wm_zones *zones, wm_error *err)
{
    for (size_t i = 0; i < OUTPUT_COUNT; i++)
        for (size_t k = 0; k < zones->count; k++) {
            const char *output = args_text(a, OUTPUTS[i]), *reference = zones->items[k].reference;
            if (output && reference && wm_file_same(output, reference))
                return refuse(output, "read by this command", err);
        }
    return WM_OK;
}

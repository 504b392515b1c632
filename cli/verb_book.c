/* book check, book backup. */
#include "context.h"
#include "say.h"
#include "verbs.h"

int verb_book_check(const args *a)
{
    wm_book *book = NULL;
    wm_notes findings = { 0 };
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_check(book, &findings, &err);
    wm_book_close(book);
    for (size_t i = 0; i < findings.count; i++)
        wm_buf_format(&out, "%s\n", findings.items[i].text);
    if (findings.count == 0)
        wm_buf_text(&out, "the book is whole\n");
    int code = status ? say_error(&err) : say_result(&out);
    if (!code && findings.count) {
        say_hint(a, "go back to the last backup; keep the damaged file");
        code = 1;
    }
    wm_buf_free(&out);
    wm_notes_free(&findings);
    return code;
}

int verb_book_backup(const args *a)
{
    wm_book *book = NULL;
    wm_error err;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_backup(book, a->operands[0], &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "%s holds all of the book; it is readable by you only", a->operands[0]);
    return 0;
}

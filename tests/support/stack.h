/* Stacks in tests: the codes as one writes them, front first. */
#ifndef TESTS_STACK_H
#define TESTS_STACK_H

#include <stdlib.h>

#include "match/stack.h"

static inline wm_stack stack_of(const char *codes)
{
    wm_stack stack = { .count = 0 };
    if (*codes && wm_stack_parse(&stack, codes, NULL))
        abort();
    return stack;
}

#define assert_stack(stack, codes)                                                                                     \
    do {                                                                                                               \
        char text_[WM_STACK_TEXT_SIZE];                                                                                \
        assert_string_equal(wm_stack_text(text_, stack, ","), codes);                                                  \
    } while (0)

#endif

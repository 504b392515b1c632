#include "memory.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void __real_free(void *block);
char *__real_strdup(const char *text);
char *__real_strndup(const char *text, size_t size);
char *__real_realpath(const char *path, char *out);

void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);
void __wrap_free(void *block);
char *__wrap_strdup(const char *text);
char *__wrap_strndup(const char *text, size_t size);
char *__wrap_realpath(const char *path, char *out);

static long until_failure, live;
static bool reached;

void memory_fail_at(long allocation)
{
    until_failure = allocation;
    live = 0;
    reached = false;
}

bool memory_failed(void)
{
    return reached;
}

long memory_live(void)
{
    return live;
}

static bool out_of_memory(void)
{
    if (until_failure == 0 || --until_failure > 0)
        return false;
    reached = true;
    errno = ENOMEM;
    return true;
}

static void *counted(void *block)
{
    live += block != NULL;
    return block;
}

void *__wrap_malloc(size_t size)
{
    return out_of_memory() ? NULL : counted(__real_malloc(size));
}

void *__wrap_calloc(size_t count, size_t size)
{
    return out_of_memory() ? NULL : counted(__real_calloc(count, size));
}

void *__wrap_realloc(void *block, size_t size)
{
    if (out_of_memory())
        return NULL;
    void *moved = __real_realloc(block, size);
    live += !block && moved;
    return moved;
}

void __wrap_free(void *block)
{
    live -= block != NULL;
    __real_free(block);
}

char *__wrap_strdup(const char *text)
{
    return out_of_memory() ? NULL : counted(__real_strdup(text));
}

char *__wrap_strndup(const char *text, size_t size)
{
    return out_of_memory() ? NULL : counted(__real_strndup(text, size));
}

char *__wrap_realpath(const char *path, char *out)
{
    return out_of_memory() ? NULL : counted(__real_realpath(path, out));
}

void *memory_take(size_t size)
{
    return malloc(size);
}

void memory_give(void *block)
{
    free(block);
}

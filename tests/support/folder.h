/* folder: a scratch folder for one test, and what is in it. Include after near.h. */
#ifndef SUPPORT_FOLDER_H
#define SUPPORT_FOLDER_H

#include "core/file.h"

#include <stddef.h>

/** Setup and teardown of cmocka: makes a folder, removes it with all that is in it. */
int folder_make(void **state);
int folder_remove(void **state);

/** The path of a name in it, good for the next seven calls. */
const char *folder_file(const char *name);
void folder_write(const char *name, const void *data, size_t size);
/** Free with wm_bytes_free. */
wm_bytes folder_read(const char *name);
/** Fails unless the file has these bytes. */
void folder_is(const char *name, const wm_bytes *want);
/** Fails unless these are the names in it, in order of their bytes, with a space between. */
void folder_holds(const char *names);
unsigned folder_mode(const char *name);

#endif

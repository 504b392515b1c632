/* assets: the page's own files, carried by the program. */
#ifndef CLI_DESK_ASSETS_H
#define CLI_DESK_ASSETS_H

#include <stddef.h>

typedef struct asset {
    const char *path, *type;
    const unsigned char *bytes;
    size_t size;
} asset;

/** NULL: no file of the page. */
const asset *assets_find(const char *path);

#endif

/* page: the marking page, one self-contained HTML file on which the zones of a photo are dragged.
 *
 * The template is page.html with page.css and the scripts beside it; the build turns them into bytes. The page works in
 * pixels of the upright full-size photo whatever size the picture inside it has, asks nothing of the network (its own
 * Content-Security-Policy forbids it), and saves a zones file that `match` takes unchanged. It stays usable with a
 * 48-megapixel picture inside; a smaller one opens faster and keeps the file small enough to send. */
#ifndef CLI_PAGE_PAGE_H
#define CLI_PAGE_PAGE_H

#include "core/buf.h"

typedef struct page_input {
    const char *photo; /**< base name of the photo, UTF-8 */
    int width, height; /**< of the upright full-size photo, in pixels */
    const void
        *image; /**< the picture to show: upright (or with the photo's own EXIF orientation), of the same proportions */
    size_t image_size;     /**< bytes */
    const char *mime;      /**< "image/jpeg" or "image/png" */
    const char *catalogue; /**< JSON array of {"code", "name", "kind", "L", "a", "b"}, valid JSON; NULL: codes are typed
                              freely */
    const char *zones;     /**< text of a zones file to start from (the page itself reports faults in it); NULL: none */
    const char *save_name; /**< file name under which the page saves, e.g. "client.zones.json" */
    const char *command;   /**< the exact next command, e.g. "weftmatch match client.jpg --zones client.zones.json" */
} page_input;

/** Appends the page to out. WM_E_MEMORY when out failed; the caller then drops it. */
wm_status page_write(wm_buf *out, const page_input *input);

#endif

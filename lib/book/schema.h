/* schema: the book's tables, one step a version. A step is never changed once released: add the next one. */
#ifndef WM_BOOK_SCHEMA_H
#define WM_BOOK_SCHEMA_H

enum {
    WM_BOOK_APPLICATION_ID = 0x77656674, /* "weft" */
    WM_BOOK_SCHEMA_VERSION = 1
};

/** SQL that leads from version `from` to `from + 1`. */
const char *wm_schema__step(int from);

#endif

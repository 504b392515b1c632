/* html_gallery: all clients as one self-contained page of cards: picture, name, last visit, next, what she wears. Found
 * by typing and put in order by a small script of its own; without scripts it is a list. */
#ifndef WM_REPORT_HTML_GALLERY_H
#define WM_REPORT_HTML_GALLERY_H

#include "report/html.h"

/** A shade that she wears. */
typedef struct wm_gallery_shade {
    char code[WM_CODE_SIZE];
    bool known; /**< its colour */
    wm_lab lab;
} wm_gallery_shade;

/** A client. "" and empty: nothing is known. */
typedef struct wm_gallery_client {
    int64_t id;
    const char *name, *note, *last; /**< last: the day of her last visit */
    char next[12];                  /**< the day of her next one */
    bool next_agreed;
    bool late; /**< it is past */
    long visits;
    wm_gallery_shade shades[2 * WM_MAX_LAYERS];
    size_t shade_count;
    char layers[WM_STACK_TEXT_SIZE]; /**< "moth / frost / moth" */
    wm_bytes picture_jpeg;           /**< small; owned */
} wm_gallery_client;

typedef struct wm_gallery {
    const char *salon, *today;
    wm_gallery_client *clients; /**< by name */
    size_t count;
    const wm_language *language; /**< NULL: English */
} wm_gallery;

wm_status wm_gallery_to_html(wm_buf *out, const wm_gallery *gallery, wm_error *err);

#endif

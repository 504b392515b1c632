/* client_pages: the pages of client show and client list. */
#ifndef CLI_CLIENT_PAGES_H
#define CLI_CLIENT_PAGES_H

#include "context.h"
#include "history.h"
#include "report/spoken.h"
#include "say.h"

enum { CLIENT_WEARS_SIZE = WM_STACK_TEXT_SIZE + WM_SEWN_SHADES * (WM_CODE_SIZE + 16) };
/** What she wears: the layers, and behind them the shades of pieces, which no layer is named after. Returns out. */
const char *client_wears(char out[CLIENT_WEARS_SIZE], const wm_client_latest *latest);

/** The day of her next visit as text; "" when none can be told. Returns whether it was agreed with her. */
bool client_next_day(char out[WM_DATE_SIZE], const wm_client_latest *latest, const wm_settings *settings);
/** What both pages are made from. */
typedef struct page_source {
    wm_book *book;
    const clock_reading *clock;
    const wm_language *language; /**< NULL: English */
} page_source;

/** One client with all her visits. */
wm_status client_page_write(wm_buf *out, const page_source *from, int64_t client_id, wm_error *err);
/** All clients, with pictures. `keeps`: the book is open to be written, small pictures that are made for it stay there.
 */
wm_status gallery_write(wm_buf *out, const page_source *from, bool keeps, say_progress *progress, wm_error *err);

#endif

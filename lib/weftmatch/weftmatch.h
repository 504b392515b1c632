/* weftmatch: the library, from a photo to a report. Compile and link with `pkg-config --cflags --libs weftmatch`.
 *
 *   photo     open the photo                    wm_photo_open
 *   zones     what is marked on it              wm_zones_open, wm_zones_add_file, wm_zones_add
 *   catalogue the shades that can be ordered    wm_catalogue_open
 *   settings  of the salon                      wm_settings_open
 *   consult   the main job                      wm_match, or wm_measure for the colours alone
 *   report    its result as JSON, text, page    wm_consultation_json, _text, _html
 *   book      clients and visits, in one file   wm_book_open, wm_book_save
 *
 * Rules for all of it. A function that can fail returns wm_status, WM_OK is 0; what it gives back comes through its
 * first parameter, which is untouched on failure; the details go to a wm_error of yours, which may be NULL. Nothing is
 * printed, no global state is kept, the environment is not read. Texts are UTF-8 and end with NUL. A pointer marked
 * "lent" stays with the object that lent it and is good until that object is closed; everything else that you are given
 * is yours to close or free. Different objects may be used from different threads; one object from one at a time.
 *
 * Option structs begin with their size: start them with their _INIT, so that a program keeps working when a later
 * version adds members behind the last. Objects are opaque. What is not in this folder is not promised. */
#ifndef WEFTMATCH_WEFTMATCH_H
#define WEFTMATCH_WEFTMATCH_H

#include "weftmatch/book.h"
#include "weftmatch/catalogue.h"
#include "weftmatch/colour.h"
#include "weftmatch/consult.h"
#include "weftmatch/kept_zones.h"
#include "weftmatch/photo.h"
#include "weftmatch/report.h"
#include "weftmatch/settings.h"
#include "weftmatch/status.h"
#include "weftmatch/zones.h"

#endif

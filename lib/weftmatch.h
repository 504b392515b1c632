/* weftmatch: the public face of the library. Compile and link with `pkg-config --cflags --libs weftmatch`.
 *
 * In the order in which a photo becomes a report: open the photo (photo), read what is marked on it (zones,
 * zones_file), load the catalogue (swatch), then let wm_consult_match do the whole work, or take its steps one by one;
 * write the report (json_out, text, html). Each header is the manual of its module. The rules of the whole library
 * stand in core/status.h: WM_OK is 0, outputs are untouched on failure, details go to a wm_error of the caller's,
 * nothing is printed, no global state; different objects may be used from different threads.
 *
 * Functions named wm_module__name, and headers that are not named here and not included by one that is, are ours to
 * change. */
#ifndef WEFTMATCH_H
#define WEFTMATCH_H

#ifdef __cplusplus
extern "C" {
#endif

#include "core/buf.h"
#include "core/file.h"
#include "core/plain.h"
#include "core/json.h"
#include "core/status.h"

#include "colour/colour.h"
#include "colour/difference.h"

#include "photo/photo.h"
#include "photo/profile_make.h"

#include "measure/calibrate.h"
#include "measure/gray.h"
#include "measure/sample.h"
#include "measure/zones.h"
#include "measure/zones_file.h"

#include "match/layers.h"
#include "match/mixing.h"
#include "match/rank.h"
#include "match/search.h"
#include "match/shades.h"
#include "match/swatch.h"
#include "match/swatch_out.h"

#include "plan/calendar.h"
#include "plan/plan.h"

#include "report/html.h"
#include "report/json_out.h"
#include "report/raster.h"
#include "report/report.h"
#include "report/text.h"

#include "book/book.h"

#include "consult/blend_law.h"
#include "consult/change.h"
#include "consult/client_file.h"
#include "consult/compare.h"
#include "consult/consult.h"
#include "consult/hand_over.h"
#include "consult/noticed.h"
#include "consult/recheck.h"
#include "consult/repaint.h"
#include "consult/settings.h"
#include "consult/survey.h"
#include "consult/swatch_add.h"

#ifdef __cplusplus
}
#endif

#endif

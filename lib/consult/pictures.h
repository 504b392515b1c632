/* pictures: the reduced pictures that go with a report: the photo and the map of what counted as what; thumbnails. */
#ifndef WM_CONSULT_PICTURES_H
#define WM_CONSULT_PICTURES_H

#include "consult/survey.h"
#include "report/report.h"

enum { WM_PICTURE_SIDE = 1200 };

/** The zones of a photo as a file, as they are kept beside it. */
wm_status wm_pictures__zones(wm_bytes *out, const wm_photo *photo, const wm_zones *zones, wm_error *err);
wm_status wm_pictures__of(wm_report_pictures *out, const wm_photo *photo, const wm_zones *zones,
                          const wm_survey *survey, wm_error *err);

/** A smaller copy of a kept JPEG, its longest side at most max_side. Opened like any photo: it may have come with an
 * imported file. */
wm_status wm_pictures_thumbnail(wm_bytes *out, const wm_bytes *jpeg, int max_side, wm_error *err);

#endif

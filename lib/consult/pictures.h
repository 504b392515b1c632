/* pictures: the reduced pictures that go with a report: the photo and the map of what counted as what. */
#ifndef WM_CONSULT_PICTURES_H
#define WM_CONSULT_PICTURES_H

#include "consult/survey.h"
#include "report/report.h"

enum { WM_PICTURE_SIDE = 1200 };

wm_status wm_pictures__of(wm_report_pictures *out, const wm_photo *photo, const wm_zones *zones,
                          const wm_survey *survey, wm_error *err);

#endif

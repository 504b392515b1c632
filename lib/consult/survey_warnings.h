/* survey_warnings: what a survey tells about the photo and its zones, as warnings (the texts stand in
 * measure/warnings). */
#ifndef WM_CONSULT_SURVEY_WARNINGS_H
#define WM_CONSULT_SURVEY_WARNINGS_H

#include "consult/survey.h"

/** Adds the warnings on the photo (flash, size, compression, profile, noise), on the aids, and on the zones (C15, M20,
 * sheen, gray). */
void wm_survey_warn(wm_survey *survey, const wm_photo *photo);

#endif

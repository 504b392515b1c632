/* remarks: what a survey tells about the photo and its zones, as notes (the texts stand in measure/advice). */
#ifndef WM_CONSULT_REMARKS_H
#define WM_CONSULT_REMARKS_H

#include "consult/survey.h"

/** Adds the notes on the photo (flash, size, compression, profile, noise), on the aids, and on the zones (C15, M20,
 * sheen, gray). */
WM_API void wm_survey_remarks(wm_survey *survey, const wm_photo *photo);

#endif

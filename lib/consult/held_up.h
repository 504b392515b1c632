/* held_up: her zones as they are and repainted in the shades of the short lists, from the pictures that a report comes
 * with. */
#ifndef WM_CONSULT_HELD_UP_H
#define WM_CONSULT_HELD_UP_H

#include "report/html.h"

/** The first zone of her own colour in each shade of the base list, the grayest in each of the gray list and as it
 * would be sewn, her own colour in the base shade, her gray in the gray one. Nothing where the report comes without
 * picture, a picture that is damaged, or names no shade. Free with wm_held_up_free. */
wm_status wm_held_up_of(wm_held_up *out, const wm_report *report, const wm_report_pictures *pictures, wm_error *err);

#endif

/* length: centimetres or inches, entered and shown. Inside the library every length is in centimetres; 1 in is 2.54 cm.
 */
#ifndef WM_PLAN_LENGTH_H
#define WM_PLAN_LENGTH_H

#include "core/status.h"

typedef enum wm_units { WM_UNITS_CM, WM_UNITS_IN } wm_units;

extern const char *const WM_UNITS_WORDS[];
bool wm_units_parse(const char *text, wm_units *out); /**< "cm" or "in"; false and untouched otherwise */
const char *wm_units_name(wm_units units);            /**< "cm" or "in" */

enum { WM_LENGTH_SIZE = 96 };
#define WM_LENGTH_MAX_CM 200.0

/** A length as typed: a number in `units`, or with its own behind it ("29", "29,5", "290mm", "11.5 in", "11\""). Above
 * 0 and at most WM_LENGTH_MAX_CM, else WM_E_USAGE. */
wm_status wm_length_parse(double *cm, const char *text, wm_units units, wm_error *err);

/** "24.0 cm" or "9.4 in"; decimals 0 to 3. Returns out; a NaN or infinity gives "?". */
const char *wm_length_text(char out[WM_LENGTH_SIZE], double cm, wm_units units, int decimals);

/** "1.38 to 1.72 cm". */
const char *wm_length_range(char out[WM_LENGTH_SIZE], const double cm[2], wm_units units, int decimals);

#endif

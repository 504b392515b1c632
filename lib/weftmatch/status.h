/* status: what every fallible function returns, and where its details go. */
#ifndef WEFTMATCH_STATUS_H
#define WEFTMATCH_STATUS_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A function of the library that programs may call. */
#define WM_PUBLIC __attribute__((visibility("default")))

/** Each code is one that a caller treats differently; the values are the command line's exit codes. */
typedef enum wm_status {
    WM_OK = 0,
    WM_E_USAGE = 2,   /**< a value that the caller passed is not possible */
    WM_E_INPUT = 3,   /**< bad or missing zones file, zone, catalogue, target or code */
    WM_E_PHOTO = 4,   /**< photo missing, unreadable, or nothing measurable in it */
    WM_E_BOOK = 5,    /**< book trouble, unknown or ambiguous client */
    WM_E_OUTPUT = 6,  /**< output can't be written, or exists */
    WM_E_MEMORY = 70, /**< out of memory */
    WM_E_BUG = 71     /**< our own fault; the command line ends with 70 */
} wm_status;

/** Details of a failure. Yours, may be NULL everywhere it is taken. */
typedef struct wm_error {
    wm_status code;
    char text[600]; /**< UTF-8, one line: what is wrong; what to do */
    char file[400]; /**< the file it is about, "" if none */
    long line;      /**< 1-based, 0 if it does not apply */
    long column;    /**< 1-based, 0 if it does not apply */
} wm_error;

/** "1.2.3". Lent, static. */
WM_PUBLIC const char *wm_version(void);

#ifdef __cplusplus
}
#endif

#endif

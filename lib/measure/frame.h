/* frame: colours that were measured among themselves, from a photo of a sheet of swatches: what each has of its own
 * error, what all share, how a second photo joins, and what may be said (C28 to C36). A frame is no instrument: what
 * its swatches share cancels only where the client's photo is corrected by swatches of the same frame. */
#ifndef WM_MEASURE_FRAME_H
#define WM_MEASURE_FRAME_H

#include "measure/claim.h"
#include "measure/kriging.h"

enum {
    WM_FRAME_SIZE = 9,          /**< C28: 8 hex digits of the first photo's SHA-256 and NUL; "" is absolute */
    WM_FRAME_RELAID_LEAST = 10, /**< C31: swatches that a relaid photo shares with its frame */
    WM_FRAME_JOIN_LEAST = 3     /**< C33: swatches by which a photo joins a frame */
};

/** C30: u of one swatch from one photo of a sheet; scatter: standard error of its mean (L, a, b), may be 0. */
double wm_frame_own_u(wm_krige_row row, wm_lab lab, wm_lab scatter);

/** C30: u of what the whole sheet shares. kriged: of this colour, where patches or known swatches corrected the sheet;
 * NULL: row alone. f: 1.4 by card or paper, else 1. */
double wm_frame_shared_u(wm_krige_row row, wm_lab lab, const wm_kriged *kriged, double f);
double wm_frame_factor(wm_krige_row row); /**< C30's f */

/** The same from what the sheet's patches or swatches left (sigma of wm_calibration_finish). */
double wm_frame_left_u(wm_krige_row row, wm_lab lab, wm_lab sigma);
/** C30: what laying does to L* of one swatch. */
double wm_frame_lay(double L);

/** C31: a photo of the same swatches laid anew, brought onto the frame: measured[i] moves, the frame's lab[i] stays.
 * count at least WM_FRAME_RELAID_LEAST. */
typedef struct wm_relaid {
    double u1;      /**< u of one laying, pooled over the swatches */
    bool laid_anew; /**< false: they lie as they lay, the photo says nothing new */
} wm_relaid;
double wm_frame_least_u1(void); /**< the least u1 that is believed */
bool wm_frame_relay(wm_relaid *out, wm_lab *measured, const wm_lab *frame, size_t count);

/** C31: swatch laid badly, or another one: its distance is beyond 3 u1. */
bool wm_frame_laid_badly(double de00, double u1);

/** C31: u of the mean of so many relaid photos. */
double wm_frame_mean_u(double u1, int photos);

/** C32: how weak a swatch of that u is as an aid (wm_krige_aid.weakness). */
double wm_frame_weakness(double u_de00);

/** C33: a colour of a second photo brought into a frame by the swatches they share (measured: second photo; reference:
 * frame). row: WM_KRIGE_GRAY, or WM_KRIGE_SWATCH where the second photo had no card. False: C25. */
typedef struct wm_joined {
    wm_lab lab;
    double u_de00, disagreement;
} wm_joined;
bool wm_frame_join(wm_joined *out, const wm_krige_set *shared, wm_lab z);
/** C33: dark, middle and light among the shared ones; at least three. */
bool wm_frame_spans(const wm_krige_aid *shared, size_t count);
bool wm_frame_keeps(double u_de00); /**< C33: a joined row so sure stays in */

/** C34: u of a distance between a zone and a shade of the same frame. */
double wm_frame_distance_u(double u_zone, double u_swatch, double de00);
/** C34: what decides the claim: u of the zone with what the five nearest shades have of their own, mean of squares. */
double wm_frame_claim_u(double u_zone, double mean_square_u);

/** C35: a swatch of another lot or of a second sheet has changed. */
bool wm_frame_drifted(double de00, double u_a, double u_b);

#endif

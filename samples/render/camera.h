/* camera: from camera signals to the 8 bits of a phone picture. Sensitivities are drawn around the observer's, so the
 * signals are no linear map of XYZ; white balance errs; flare, a tone curve per channel, local tone mapping, bent
 * colours, saturation, noise, chroma smoothing, sharpening and clipping follow. No correction can undo all of this. */
#ifndef RENDER_CAMERA_H
#define RENDER_CAMERA_H

#include "canvas.h"
#include "option.h"

typedef struct camera {
    double matrix[3][3];    /**< balanced signals to linear sRGB, least squares over training spectra */
    double balance[3];      /**< white-balance error per channel, 1 = none */
    double exposure;        /**< linear value of a perfect white */
    double flare;           /**< share of the picture's mean light added everywhere */
    double contrast, pivot; /**< S curve in the encoded domain */
    double saturation, sharpen;
    double twist[2];   /**< how colours are bent towards what the maker finds pleasing: quadratic terms of chroma */
    double local;      /**< local tone mapping: exponent by which dark surroundings lift a pixel */
    double shot, read; /**< noise: variance = shot * signal + read^2 */
    int blur_radius;   /**< out of focus, pixels */
    int chroma_radius; /**< pixels of chroma smoothing */
    double lens;       /**< share of a pixel's light that its neighbours get */
    bool p3;
} camera;

/** The camera of the options, and its sensor under this light. False when the light gives no signal (never for
 * daylight). */
bool camera_make(camera *out, sensor *sensor_out, const tables *t, const options *o);

/** Develops the canvas (its signals are used up) into rgb: width * height * 3 bytes that the caller frees. NULL:
 * memory. */
unsigned char *camera_develop(const camera *cam, canvas *c, dice noise);

#endif

#include "photo/noise.h"

#include "colour/stats.h"

#include <math.h>

enum { ACROSS = 24, SIDE = 8 };
static const double SMOOTHEST = 0.1;

wm_box wm_noise_square(int i, int width, int height)
{
    const int side_x = width < SIDE ? width : SIDE, side_y = height < SIDE ? height : SIDE;
    return (wm_box){ (int)((long)(width - side_x) * (i % ACROSS) / (ACROSS - 1)),
                     (int)((long)(height - side_y) * (i / ACROSS) / (ACROSS - 1)), side_x, side_y };
}

/* Second differences of second differences: they leave lines alone, as hair has. -1: too dark or too bright. */
static double noise_in(const wm_pixels *pixels, wm_box box)
{
    double rows[SIDE][3 * SIDE], sum = 0, mean = 0;
    for (int i = 0; i < SIDE; i++)
        wm_pixels_encoded(pixels, (wm_pixel_run){ box.x, box.y + i, 1, 0, SIDE }, rows[i]);
    for (int i = 1; i < SIDE - 1; i++)
        for (int k = 4; k < 3 * SIDE - 4; k += 3) {
            const double *a = rows[i - 1], *b = rows[i], *c = rows[i + 1];
            sum += fabs(a[k - 3] - 2 * a[k] + a[k + 3] - 2 * (b[k - 3] - 2 * b[k] + b[k + 3]) + c[k - 3] - 2 * c[k] +
                        c[k + 3]);
            mean += b[k];
        }
    const double count = (SIDE - 2) * (SIDE - 2);
    const bool exposed = mean / count > 0.05 && mean / count < 0.95;
    return exposed ? sqrt(acos(-1) / 2) * sum / (6 * count) : -1; /* the mask has norm 6; E|x| = sd sqrt(2 / pi) */
}

double wm_noise_of(const wm_pixels *pixels)
{
    double squares[WM_NOISE_SQUARES];
    size_t count = 0;
    if (pixels->width < SIDE || pixels->height < SIDE)
        return 0;
    for (int i = 0; i < WM_NOISE_SQUARES; i++) {
        const double noise = noise_in(pixels, wm_noise_square(i, pixels->width, pixels->height));
        if (noise >= 0)
            squares[count++] = noise;
    }
    return count > 0 ? wm_quantile(squares, count, SMOOTHEST) : 0;
}

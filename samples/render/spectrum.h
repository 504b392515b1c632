/* spectrum: light and colour as the renderer's truth needs them, apart from the library that is tested with it.
 * Reflectances and camera curves hold 61 bands, 400 to 700 nm by 5 nm. */
#ifndef RENDER_SPECTRUM_H
#define RENDER_SPECTRUM_H

#include <stdbool.h>

enum { BANDS = 61, FIRST_NM = 400, STEP_NM = 5, TABLE_ROWS = 95, TABLE_FIRST_NM = 360 };

typedef struct spectrum {
    double v[BANDS];
} spectrum;

/** Three numbers: XYZ, Lab, linear RGB or camera signals; the name of the variable says which. */
typedef struct triple {
    double v[3];
} triple;

/** The published tables, 360 to 830 nm by 5 nm, and the weights made from them. */
typedef struct tables {
    double observer[3][TABLE_ROWS];  /**< CIE 1931 2 degree colour-matching functions */
    double component[3][TABLE_ROWS]; /**< CIE daylight components S0, S1, S2 */
    spectrum d50_weight[3];          /**< reflectance to XYZ under D50: the perfect diffuser gives 0.9642 1 0.8249 */
} tables;

/** Reads cie1931_2deg_5nm.csv and daylight_components_5nm.csv from a folder. False when a table is missing or short. */
bool tables_read(tables *out, const char *folder);

/** CIE daylight of a correlated colour temperature (4000..25000 K), ISO/CIE 11664-2. */
spectrum daylight(const tables *t, double cct);

/** XYZ (D50, 2 degree, Y of the perfect diffuser 1) of a reflectance. */
triple spectrum_xyz(const tables *t, const spectrum *reflectance);

triple xyz_lab(triple xyz);
triple lab_xyz(triple lab);
triple xyz_srgb(triple xyz); /**< linear sRGB primaries, D50-adapted by Bradford */
triple srgb_xyz(triple rgb);

/** CIEDE2000 (Sharma, Wu & Dalal 2005), written for the renderer alone. */
double lab_difference(triple p, triple q);

#endif

/* Reads pairs "L a b L a b", a line each, and prints for each: dE00, dE00 of the batch kernel, X/Xn Y/Yn Z/Zn, C and h
 * of the first colour. For oracles in other languages. */
#include "colour/difference.h"

#include <stdio.h>

int main(void)
{
    wm_lab a, b;
    while (scanf("%lf %lf %lf %lf %lf %lf", &a.L, &a.a, &a.b, &b.L, &b.a, &b.b) == 6) {
        double batch;
        wm_de00_batch(&batch, a, &b, 1);
        wm_xyz xyz = wm_lab_to_xyz(a, WM_D50);
        wm_lch lch = wm_lab_to_lch(a);
        printf("%.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", wm_de00(a, b), batch, xyz.X / WM_D50.X, xyz.Y / WM_D50.Y,
               xyz.Z / WM_D50.Z, lch.C, lch.h_deg);
    }
    return 0;
}

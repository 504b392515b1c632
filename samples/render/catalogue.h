/* catalogue: the shades of our own invented salon, as pigments; their colours follow from the spectra. */
#ifndef RENDER_CATALOGUE_H
#define RENDER_CATALOGUE_H

#include "pigment.h"

typedef struct shade {
    char code[16], name[40];
    bool bead;
    pigment base, gray; /**< a salt-and-pepper shade mixes both fibre by fibre, else share is 0 */
    double share;
    triple lab;   /**< true body colour, D50 */
    triple label; /**< what the catalogue says: lab and the error of its measurement */
    double length_cm, pack_weight_g, pack_price;
    int pieces_per_pack, piece_width_cm, stock;
} shade;

typedef struct catalogue {
    shade *shades; /**< owned */
    int count;
} catalogue;

enum { SALON_SHADES = 36 };
/** Natural variation between the fibres of one hank. */
#define HANK_VARIATION 0.16

/** The salon's 30 hair and 6 bead shades, or `count` generated ones (all hair) when count is not SALON_SHADES.
 *  error_sd: standard error of each catalogue colour in Lab units. False when memory runs out. */
bool catalogue_make(catalogue *out, const tables *t, int count, double error_sd, uint64_t seed);
void catalogue_free(catalogue *c);

/** Index of a code, or -1. */
int catalogue_find(const catalogue *c, const char *code);

/** Hair shades by distance of their label from lab, nearest first; order has c->count entries. Returns how many. */
int catalogue_nearest(const catalogue *c, triple lab, int *order);

/** CSV of the contract. False when the file can't be written. */
bool catalogue_write(const catalogue *c, const char *path);

#endif

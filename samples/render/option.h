/* option: what a scene is, as keys and values. A scene file holds lines `key value` (# begins a comment); the command
 * line holds key=value, read in order, later ones win. `wm_render --help` lists the keys from the one table in
 * option.c. */
#ifndef RENDER_OPTION_H
#define RENDER_OPTION_H

#include <stdbool.h>
#include <stddef.h>

enum { TEXT = 400 };

typedef struct options {
    /* files */
    char out[TEXT], format[TEXT], catalogue_file[TEXT], target_file[TEXT], target_reference[TEXT];
    double width, height, quality, orientation, exif, flash, resized;
    char profile[TEXT], taken[TEXT];
    /* what is in the picture */
    double seed, client, grid_rows, grid_columns;
    char scene[TEXT], zones[TEXT], swatches[TEXT], codes[TEXT], omit[TEXT], mislabel[TEXT], card[TEXT];
    double target, target_turn, target_start, card_gradient, swatch_rank;
    /* catalogue */
    double catalogue, catalogue_seed, catalogue_error;
    /* hair */
    char base[TEXT];
    double eu, ph, gray_eu, gray_scatter, gray_yellow;
    double gray_root, gray_mid, gray_ends, gray_temple;
    double fibre, variation, sheen, plain, wet, ends_lighten, root_darken;
    /* light and camera */
    double cct, spread, jitter, camera, exposure, contrast, noise, blur;
    char look[TEXT];
} options;

options options_default(void);

/** Sets one key from "key=value" or "key value". On failure returns false and writes one line into message. */
bool options_set(options *o, const char *assignment, char *message, size_t size);

/** Reads a scene file. */
bool options_read(options *o, const char *path, char *message, size_t size);

/** Prints all keys with their defaults and meaning. */
void options_list(void);

/** True when the comma-separated list holds the word. */
bool list_has(const char *list, const char *word);

#endif

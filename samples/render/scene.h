/* scene: who sits where, what is held beside her, in which light; draws it and knows the truth. */
#ifndef RENDER_SCENE_H
#define RENDER_SCENE_H

#include "camera.h"
#include "catalogue.h"
#include "strands.h"

enum { TARGET_ROWS = 3, TARGET_COLUMNS = 8, PATCHES = TARGET_ROWS * TARGET_COLUMNS };

typedef enum item_kind { ITEM_ROOT, ITEM_MID, ITEM_ENDS, ITEM_GRAY, ITEM_SWATCH, ITEM_CARD, ITEM_TARGET } item_kind;

/** The square of a sheet that its grid fills, layout units. */
#define SHEET_X 0.10
#define SHEET_Y 0.10
#define SHEET_SIDE 0.80

/** Anything that has a rectangle in the zones file. */
typedef struct item {
    item_kind kind;
    char name[40];    /**< client zones; of a swatch the zone it is held at */
    point at, size;   /**< layout units, top left corner and size */
    double clear;     /**< of the size, unmarked at the lower edge */
    rect box;         /**< canvas pixels */
    int watch;        /**< canvas zone, -1 for a target */
    int shade, label; /**< swatch: what it is, what it is called; indices into the catalogue */
    double share;     /**< requested gray share */
    double level;     /**< card: reflectance */
    double light;     /**< factor of its own light */
    triple expected;  /**< Lab that its recipe has */
    point corner[4];  /**< target: centres of the corner patches, layout units */
    zone_truth truth;
} item;

typedef struct scene {
    const options *o;
    tables tables;
    sensor sensor;
    camera camera;
    catalogue catalogue;
    canvas canvas;
    frame frame;
    palette base[3], gray;
    item items[MAX_ZONES];
    int count;
    char fault[400];          /**< what was wrong; what to do */
    double field[5];          /**< light over the head: ln = field . (1, x, y, xy, y^2) */
    double nearby[MAX_ZONES]; /**< small light differences of each client zone's neighbourhood, ln */
} scene;

/** Lays the scene out; o must outlive it. On failure false and one line in s->fault. scene_free either way. */
bool scene_make(scene *s, const options *o);
/** Draws it and takes the truth of all items. */
bool scene_draw(scene *s);
void scene_free(scene *s);

bool item_is_client(const item *i);
/** Index of a client zone by name, or -1. */
int scene_zone(const scene *s, const char *name);

#endif

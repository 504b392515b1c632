/* zone: what the stylist points at: one shape and its pixels. (zones: the list and the `--zone` option; zones_file: the
 * zones file.) Coordinates are pixels of the upright photo, origin top left; a pixel belongs to a shape when its centre
 * lies inside. */
#ifndef WM_MEASURE_ZONE_H
#define WM_MEASURE_ZONE_H

#include "colour/colour.h"
#include "core/status.h"
#include "core/words.h"
#include "measure/place.h"
#include "photo/pixels.h"

typedef enum wm_zone_kind {
    WM_ZONE_ROOT,
    WM_ZONE_MID,
    WM_ZONE_ENDS,
    WM_ZONE_GRAY, /* client zones */
    WM_ZONE_SWATCH,
    WM_ZONE_CARD,
    WM_ZONE_TARGET /* aids */
} wm_zone_kind;

typedef struct wm_point {
    double x, y;
} wm_point;

/** A polygon for every kind: a rect has its four corners. A target holds the four corner-patch centres. */
typedef struct wm_zone {
    wm_zone_kind kind;
    char *name;         /**< unique among client zones (default: the kind); "" for an aid without one */
    wm_point *points;   /**< owned */
    size_t point_count; /**< >= 3; 4 for rect and target */
    bool is_rect;
    bool gray_free;    /**< "gray_free": may serve as reference G4 */
    wm_place place;    /**< client zone: where it lies, if the stylist says so */
    bool is_hair;      /**< "hair": the stylist says that all of it is hair; H6 does not doubt it */
    char *code;        /**< swatch: catalogue code, else NULL */
    char *at;          /**< swatch: name of the client zone it is held at, or NULL */
    wm_lab lab;        /**< card: its known colour (default L* 50, the 18.4 % gray card) */
    int rows, columns; /**< target */
    char *reference;   /**< target: path of its CGATS file, already relative to the working folder; else NULL */
} wm_zone;

/** C29: the colour of a card that has a name: "gray" (18.4 %) or "paper" (white). False: no such card. */
bool wm_card_named(wm_lab *out, const char *name);

bool wm_zone_is_client(wm_zone_kind kind);
extern const char *const WM_ZONE_KIND_WORDS[];
const char *wm_zone_kind_name(wm_zone_kind kind); /**< "root" ... "target" */

/** Where a client zone lies: as said, else by its kind (M26): gray at the side, root at the crown, mid and ends at the
 * back. */
wm_place wm_zone_place(const wm_zone *zone);

/** Bounding box. Coordinates are below a million, whoever gave them. */
void wm_zone_extent(const wm_zone *zone, wm_point *low, wm_point *high);
/** The same in whole pixels, clipped to the photo. */
wm_box wm_zone_box(const wm_zone *zone, int width, int height);
/** Middle of the shape's extent. */
wm_point wm_zone_middle(const wm_zone *zone);
/** True when the pixel (x, y) belongs to the shape. */
bool wm_zone_contains(const wm_zone *zone, int x, int y);
/** inside[0..count) for pixels (x .. x+count-1, y): the same answer as wm_zone_contains, one row at a time. */
void wm_zone_row(const wm_zone *zone, int x, int y, int count, unsigned char *inside);

/** Shape of patch (row, column) of a target: the middle half of the cell that the projective map of the four corner
 * centres gives it, as a zone without owned strings (points in `points[4]`). False when the four centres are
 * degenerate. */
bool wm_zone_target_patch(const wm_zone *target, int row, int column, wm_point points[4]);

/** Middle half of a cell (row by row) of a sheet: grid is {rows, columns}, outline its outer corners, clockwise from
 * the first cell's. False when the corners are degenerate. */
bool wm_zone_grid_cell(const wm_point outline[4], const int grid[2], int cell, wm_point points[4]);

#endif

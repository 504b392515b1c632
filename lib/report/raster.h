/* raster: pictures as files: JPEG and PNG. The only user of stb_image_write. */
#ifndef WM_REPORT_RASTER_H
#define WM_REPORT_RASTER_H

#include "core/file.h"
#include "photo/photo.h"

/** JPEG of a reduced picture (quality 85). */
wm_status wm_raster_jpeg(wm_bytes *out, const wm_picture *picture, wm_error *err);
/** PNG of width * height * 4 bytes, red, green, blue, opacity. */
wm_status wm_raster_png(wm_bytes *out, const unsigned char *rgba, int width, int height, wm_error *err);

#endif

/* picture: bytes to a JPEG or PNG file, turned as EXIF orientation says, with ICC profile and EXIF block. */
#ifndef RENDER_PICTURE_H
#define RENDER_PICTURE_H

#include "option.h"

/** Writes rgb (upright, width * height * 3) as the options say. False when the file can't be written. */
bool picture_write(const char *path, const unsigned char *rgb, int width, int height, const options *o);

#endif

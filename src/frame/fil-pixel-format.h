/* fil-pixel-format.h: how a camera lays its pixels into memory
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* What the numbers mean. Luma and compressed pixels have passed through a
 * gamma curve and edge enhancement: they are not raw counts. */
typedef enum
{
  FIL_KIND_MONO,
  FIL_KIND_BAYER,
  FIL_KIND_LUMA,
  FIL_KIND_COMPRESSED,
} FilPixelKind;

/* Colours of the top left 2 × 2 pixels as they lie in the driver's memory:
 * first row left to right, then the second row. */
typedef enum
{
  FIL_PATTERN_NONE,
  FIL_PATTERN_RGGB,
  FIL_PATTERN_GRBG,
  FIL_PATTERN_GBRG,
  FIL_PATTERN_BGGR,
} FilPattern;

typedef enum
{
  FIL_PACKING_8,       /* one byte a pixel */
  FIL_PACKING_16LE,    /* two bytes, little endian, value in the low bits */
  FIL_PACKING_16BE,
  FIL_PACKING_FITS16,  /* two bytes, big endian, less 32768 (BZERO) */
  FIL_PACKING_10P,     /* 4 pixels in 5 bytes: four high bytes, then the low bits */
  FIL_PACKING_12P,     /* 2 pixels in 3 bytes: two high bytes, then the low bits */
  FIL_PACKING_YUYV,    /* luma in the even bytes */
  FIL_PACKING_UYVY,    /* luma in the odd bytes */
  FIL_PACKING_PLANAR,  /* a plane of luma first (NV12, YU12) */
  FIL_PACKING_RGB24,
  FIL_PACKING_BGR24,
  FIL_PACKING_JPEG,
} FilPacking;

/**
 * FilPixelFormat:
 * @fourcc: the four characters, first one in the low byte, space-padded
 * @name: the same as text, trailing spaces kept ("Y12 ")
 * @bits: nominal depth of a sample, 8 to 16
 *
 * A constant description; never freed. The four characters are those of the
 * kernel's video API, which other camera standards name as well.
 */
typedef struct
{
  guint32      fourcc;
  char         name[5];
  FilPixelKind kind;
  FilPattern   pattern;
  FilPacking   packing;
  int          bits;
} FilPixelFormat;

#define FIL_FOURCC(a, b, c, d) \
  ((guint32) (a) | ((guint32) (b) << 8) | ((guint32) (c) << 16) | ((guint32) (d) << 24))

const FilPixelFormat *fil_pixel_format_from_fourcc   (guint32               fourcc);
const FilPixelFormat *fil_pixel_format_from_name     (const char           *name);
const FilPixelFormat *fil_pixel_format_stored        (int                   bits,
                                                      FilPattern            pattern);
gsize                 fil_pixel_format_stored_bytes  (const FilPixelFormat *format);
gsize                 fil_pixel_format_min_stride    (const FilPixelFormat *format,
                                                      int                   width);
const char           *fil_pixel_kind_to_string       (FilPixelKind          kind);
const char           *fil_pattern_to_string          (FilPattern            pattern);
gboolean              fil_pattern_from_string        (const char           *text,
                                                      FilPattern           *pattern);
FilPattern            fil_pattern_shifted            (FilPattern            pattern,
                                                      int                   dx,
                                                      int                   dy);
FilPattern            fil_pattern_flipped            (FilPattern            pattern,
                                                      int                   height);

G_END_DECLS

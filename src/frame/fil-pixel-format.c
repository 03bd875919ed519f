/* fil-pixel-format.c: how a camera lays its pixels into memory
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The four-character codes and layouts are those of the kernel's user-space
 * API, "Image Formats" (linux-doc, userspace-api/media/v4l/pixfmt). */

#include <string.h>

#include "fil-pixel-format.h"

#define FORMAT(a, b, c, d, kind, pattern, packing, bits)                  \
  { FIL_FOURCC (a, b, c, d), { a, b, c, d, 0 }, FIL_KIND_##kind,          \
    FIL_PATTERN_##pattern, FIL_PACKING_##packing, bits }

#define BE(d) ((char) ((d) | 0x80))  /* the API marks big endian in bit 31 */

static const FilPixelFormat formats[] = {
  FORMAT ('G', 'R', 'E', 'Y', MONO, NONE, 8, 8),
  FORMAT ('Y', '1', '0', ' ', MONO, NONE, 16LE, 10),
  FORMAT ('Y', '1', '2', ' ', MONO, NONE, 16LE, 12),
  FORMAT ('Y', '1', '4', ' ', MONO, NONE, 16LE, 14),
  FORMAT ('Y', '1', '6', ' ', MONO, NONE, 16LE, 16),
  FORMAT ('Y', '1', '6', BE (' '), MONO, NONE, 16BE, 16),
  FORMAT ('Y', '1', '0', 'P', MONO, NONE, 10P, 10),
  FORMAT ('Y', '1', '2', 'P', MONO, NONE, 12P, 12),

  FORMAT ('R', 'G', 'G', 'B', BAYER, RGGB, 8, 8),
  FORMAT ('G', 'R', 'B', 'G', BAYER, GRBG, 8, 8),
  FORMAT ('G', 'B', 'R', 'G', BAYER, GBRG, 8, 8),
  FORMAT ('B', 'A', '8', '1', BAYER, BGGR, 8, 8),
  FORMAT ('R', 'G', '1', '0', BAYER, RGGB, 16LE, 10),
  FORMAT ('B', 'A', '1', '0', BAYER, GRBG, 16LE, 10),
  FORMAT ('G', 'B', '1', '0', BAYER, GBRG, 16LE, 10),
  FORMAT ('B', 'G', '1', '0', BAYER, BGGR, 16LE, 10),
  FORMAT ('R', 'G', '1', '2', BAYER, RGGB, 16LE, 12),
  FORMAT ('B', 'A', '1', '2', BAYER, GRBG, 16LE, 12),
  FORMAT ('G', 'B', '1', '2', BAYER, GBRG, 16LE, 12),
  FORMAT ('B', 'G', '1', '2', BAYER, BGGR, 16LE, 12),
  FORMAT ('R', 'G', '1', '4', BAYER, RGGB, 16LE, 14),
  FORMAT ('G', 'R', '1', '4', BAYER, GRBG, 16LE, 14),
  FORMAT ('G', 'B', '1', '4', BAYER, GBRG, 16LE, 14),
  FORMAT ('B', 'G', '1', '4', BAYER, BGGR, 16LE, 14),
  FORMAT ('R', 'G', '1', '6', BAYER, RGGB, 16LE, 16),
  FORMAT ('G', 'R', '1', '6', BAYER, GRBG, 16LE, 16),
  FORMAT ('G', 'B', '1', '6', BAYER, GBRG, 16LE, 16),
  FORMAT ('B', 'Y', 'R', '2', BAYER, BGGR, 16LE, 16),
  FORMAT ('p', 'R', 'A', 'A', BAYER, RGGB, 10P, 10),
  FORMAT ('p', 'g', 'A', 'A', BAYER, GRBG, 10P, 10),
  FORMAT ('p', 'G', 'A', 'A', BAYER, GBRG, 10P, 10),
  FORMAT ('p', 'B', 'A', 'A', BAYER, BGGR, 10P, 10),
  FORMAT ('p', 'R', 'C', 'C', BAYER, RGGB, 12P, 12),
  FORMAT ('p', 'g', 'C', 'C', BAYER, GRBG, 12P, 12),
  FORMAT ('p', 'G', 'C', 'C', BAYER, GBRG, 12P, 12),
  FORMAT ('p', 'B', 'C', 'C', BAYER, BGGR, 12P, 12),

  FORMAT ('Y', 'U', 'Y', 'V', LUMA, NONE, YUYV, 8),
  FORMAT ('U', 'Y', 'V', 'Y', LUMA, NONE, UYVY, 8),
  FORMAT ('N', 'V', '1', '2', LUMA, NONE, PLANAR, 8),
  FORMAT ('Y', 'U', '1', '2', LUMA, NONE, PLANAR, 8),
  FORMAT ('R', 'G', 'B', '3', LUMA, NONE, RGB24, 8),
  FORMAT ('B', 'G', 'R', '3', LUMA, NONE, BGR24, 8),
  FORMAT ('M', 'J', 'P', 'G', COMPRESSED, NONE, JPEG, 8),
  FORMAT ('J', 'P', 'E', 'G', COMPRESSED, NONE, JPEG, 8),
};

/* As a clip stores them: 16 bit, big endian, less 32768. The codes are our
 * own and never leave the program. */
#define STORED(pattern, bits)                                             \
  { 0, { 'F', 'I', 'T', 'S', 0 },                                         \
    FIL_PATTERN_##pattern == FIL_PATTERN_NONE ? FIL_KIND_MONO : FIL_KIND_BAYER, \
    FIL_PATTERN_##pattern,                                                \
    (bits) == 8 ? FIL_PACKING_8 : FIL_PACKING_FITS16, bits }

static const FilPixelFormat stored_formats[][2] = {
  [FIL_PATTERN_NONE] = { STORED (NONE, 8), STORED (NONE, 16) },
  [FIL_PATTERN_RGGB] = { STORED (RGGB, 8), STORED (RGGB, 16) },
  [FIL_PATTERN_GRBG] = { STORED (GRBG, 8), STORED (GRBG, 16) },
  [FIL_PATTERN_GBRG] = { STORED (GBRG, 8), STORED (GBRG, 16) },
  [FIL_PATTERN_BGGR] = { STORED (BGGR, 8), STORED (BGGR, 16) },
};

static const char *const pattern_names[] = { "mono", "RGGB", "GRBG", "GBRG", "BGGR" };

/* Returns: (nullable): the description, or %NULL for a format we don't read */
const FilPixelFormat *
fil_pixel_format_from_fourcc (guint32 fourcc)
{
  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    if (formats[i].fourcc == fourcc)
      return &formats[i];

  return NULL;
}

/**
 * fil_pixel_format_from_name:
 * @name: four characters, trailing spaces optional ("Y12" or "Y12 "); the
 *   suffix "-BE" names the big-endian twin ("Y16-BE")
 *
 * Returns: (nullable): the description, or %NULL
 */
const FilPixelFormat *
fil_pixel_format_from_name (const char *name)
{
  char padded[4] = { ' ', ' ', ' ', ' ' };
  gsize length;
  gboolean big_endian;
  guint32 fourcc;

  g_return_val_if_fail (name != NULL, NULL);

  length = strlen (name);
  big_endian = length > 3 && g_str_has_suffix (name, "-BE");
  if (big_endian)
    length -= 3;
  if (length < 1 || length > 4)
    return NULL;

  memcpy (padded, name, length);
  fourcc = FIL_FOURCC (padded[0], padded[1], padded[2], padded[3]);
  if (big_endian)
    fourcc |= 1u << 31;

  return fil_pixel_format_from_fourcc (fourcc);
}

/**
 * fil_pixel_format_stored:
 * @bits: 8, or anything above for 16
 * @pattern: of the stored pixels
 *
 * The layout of a clip's pixels: bytes, or FITS 16-bit integers less 32768.
 */
const FilPixelFormat *
fil_pixel_format_stored (int        bits,
                         FilPattern pattern)
{
  g_return_val_if_fail (pattern <= FIL_PATTERN_BGGR, NULL);

  return &stored_formats[pattern][bits > 8];
}

/* Returns: the bytes that a clip keeps of each of this format's samples, 1 or 2 */
gsize
fil_pixel_format_stored_bytes (const FilPixelFormat *format)
{
  g_return_val_if_fail (format != NULL, 0);

  return format->bits > 8 ? 2 : 1;
}

/* Returns: the fewest bytes that a row of @width pixels takes; 0 for
 * compressed formats. For planar ones, the row of the luma plane. */
gsize
fil_pixel_format_min_stride (const FilPixelFormat *format,
                             int                   width)
{
  gsize w = (gsize) width;

  g_return_val_if_fail (format != NULL && width >= 0, 0);

  switch (format->packing)
    {
    case FIL_PACKING_8:
    case FIL_PACKING_PLANAR:
      return w;
    case FIL_PACKING_16LE:
    case FIL_PACKING_16BE:
    case FIL_PACKING_FITS16:
      return 2 * w;
    case FIL_PACKING_YUYV:
    case FIL_PACKING_UYVY:
      return 4 * ((w + 1) / 2);
    case FIL_PACKING_10P:
      return (w + 3) / 4 * 5;
    case FIL_PACKING_12P:
      return (w + 1) / 2 * 3;
    case FIL_PACKING_RGB24:
    case FIL_PACKING_BGR24:
      return 3 * w;
    case FIL_PACKING_JPEG:
    default:
      return 0;
    }
}

const char *
fil_pixel_kind_to_string (FilPixelKind kind)
{
  static const char *const names[] = { "mono", "bayer", "luma", "compressed" };

  g_return_val_if_fail (kind < G_N_ELEMENTS (names), NULL);

  return names[kind];
}

const char *
fil_pattern_to_string (FilPattern pattern)
{
  g_return_val_if_fail (pattern < G_N_ELEMENTS (pattern_names), NULL);

  return pattern_names[pattern];
}

/* Reads "mono" or "RGGB", in any case; leaves @pattern alone otherwise. */
gboolean
fil_pattern_from_string (const char *text,
                         FilPattern *pattern)
{
  g_return_val_if_fail (text != NULL && pattern != NULL, FALSE);

  for (gsize i = 0; i < G_N_ELEMENTS (pattern_names); i++)
    if (g_ascii_strcasecmp (text, pattern_names[i]) == 0)
      {
        *pattern = (FilPattern) i;
        return TRUE;
      }

  return FALSE;
}

/**
 * fil_pattern_shifted:
 * @dx: columns cut off at the left
 * @dy: rows cut off at the first row
 *
 * The pattern that a cut begins with. In the order of the enumeration, bit 0
 * of (pattern − 1) is the column's turn and bit 1 the row's.
 */
FilPattern
fil_pattern_shifted (FilPattern pattern,
                     int        dx,
                     int        dy)
{
  if (pattern == FIL_PATTERN_NONE)
    return pattern;

  return (FilPattern) ((((int) pattern - 1) ^ (dx & 1) ^ ((dy & 1) << 1)) + 1);
}

/* The pattern after the rows were put in reverse order, as a clip stores them. */
FilPattern
fil_pattern_flipped (FilPattern pattern,
                     int        height)
{
  return fil_pattern_shifted (pattern, 0, height - 1);
}

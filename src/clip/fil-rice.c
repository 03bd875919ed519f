/* fil-rice.c: whether a Rice-coded tile is sound
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cfitsio's decoder reads past the end of a tile that was cut or harmed. This
 * walks the same bits without keeping any pixel. Source: FITS Standard 4.0,
 * section 10.4.1. */

#include <string.h>

#include "fil-rice.h"

typedef struct
{
  const guint8 *data;
  guint64       length_bits;
  guint64       at;          /* bits */
} Bits;

/* The next bits at the top of a word, 57 at least or all there are; zeros
 * behind the end. */
static guint64
peek (const Bits *bits)
{
  const guint64 byte = bits->at / 8, n_bytes = bits->length_bits / 8;
  guint64 word = 0;

  if (byte < n_bytes)
    memcpy (&word, bits->data + byte, MIN (n_bytes - byte, sizeof word));

  return GUINT64_FROM_BE (word) << (bits->at % 8);
}

/* A run of zeros, the one behind it, and so many bits more. */
static gboolean
skip_coded (Bits *bits,
            int   n_more)
{
  guint64 word;

  while ((word = peek (bits)) == 0)
    {
      bits->at += 57;
      if (bits->at >= bits->length_bits)
        return FALSE;
    }
  bits->at += (guint64) __builtin_clzll (word) + 1 + (guint64) n_more;

  return bits->at <= bits->length_bits;
}

/**
 * fil_rice_is_sound:
 * @n_pixels: that the tile is to hold
 * @block_pixels: pixels coded with one parameter
 * @pixel_bytes: 1, 2 or 4
 *
 * Returns: whether decoding stays within @length bytes
 */
gboolean
fil_rice_is_sound (const guint8 *data,
                   gsize         length,
                   guint64       n_pixels,
                   int           block_pixels,
                   int           pixel_bytes)
{
  const int code_bits = pixel_bytes == 1 ? 3 : pixel_bytes == 2 ? 4 : 5;
  const int verbatim = pixel_bytes == 1 ? 6 : pixel_bytes == 2 ? 14 : 25;
  Bits bits = { data, 8 * (guint64) length, 8 * (guint64) pixel_bytes };

  if (length <= (gsize) pixel_bytes)
    return FALSE;

  for (guint64 i = 0; i < n_pixels; i += (guint64) block_pixels)
    {
      const guint64 n = MIN (n_pixels - i, (guint64) block_pixels);
      const int code = (int) (peek (&bits) >> (64 - code_bits)) - 1;

      bits.at += (guint64) code_bits;
      if (code > verbatim)
        return FALSE;
      if (code == verbatim)
        bits.at += n * 8 * (guint64) pixel_bytes;
      for (guint64 k = 0; code >= 0 && code < verbatim && k < n; k++)
        if (!skip_coded (&bits, code))
          return FALSE;
      if (bits.at > bits.length_bits)
        return FALSE;
    }

  return TRUE;
}

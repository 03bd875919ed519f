/* fil-pack.c: a frame's pixels as a clip stores them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-cpu.h"
#include "fil-frame-private.h"

#if FIL_CPU_HAVE_CLONES
#include <immintrin.h>
#endif

#define CHUNK 1024   /* pixels; two bytes each stay in the nearest cache */

/* Big endian less 32768 is the two bytes swapped and the top bit inverted. */
static void
store_16_scalar (const guint8 *counts,
                 gsize         n,
                 guint8       *stored)
{
  for (gsize i = 0; i < n; i++)
    {
      guint8 low = counts[2 * i], high = counts[2 * i + 1];

      stored[2 * i] = high ^ 0x80;
      stored[2 * i + 1] = low;
    }
}

#if FIL_CPU_HAVE_CLONES
FIL_CPU_TARGET_AVX2 static void
store_16_avx2 (const guint8 *counts,
               gsize         n,
               guint8       *stored)
{
  const __m256i swap = _mm256_setr_epi8 (1, 0, 3, 2, 5, 4, 7, 6, 9, 8, 11, 10, 13, 12, 15, 14,
                                         1, 0, 3, 2, 5, 4, 7, 6, 9, 8, 11, 10, 13, 12, 15, 14);
  const __m256i top_bit = _mm256_set1_epi16 (0x0080);
  gsize i;

  for (i = 0; i + 32 <= n; i += 32)
    {
      __m256i a = _mm256_loadu_si256 ((const __m256i *) (counts + 2 * i));
      __m256i b = _mm256_loadu_si256 ((const __m256i *) (counts + 2 * i + 32));

      a = _mm256_xor_si256 (_mm256_shuffle_epi8 (a, swap), top_bit);
      b = _mm256_xor_si256 (_mm256_shuffle_epi8 (b, swap), top_bit);
      _mm256_storeu_si256 ((__m256i *) (stored + 2 * i), a);
      _mm256_storeu_si256 ((__m256i *) (stored + 2 * i + 32), b);
    }
  store_16_scalar (counts + 2 * i, n - i, stored + 2 * i);
}
#endif

/* @counts: little-endian 16-bit, any alignment */
static void
store_16 (const guint8 *counts,
          gsize         n,
          guint8       *stored)
{
#if FIL_CPU_HAVE_CLONES
  if (fil_cpu_get_level () >= FIL_CPU_AVX2)
    {
      store_16_avx2 (counts, n, stored);
      return;
    }
#endif
  store_16_scalar (counts, n, stored);
}

static void
store_8 (const uint16_t *counts,
         gsize           n,
         guint8         *stored)
{
  for (gsize i = 0; i < n; i++)
    stored[i] = (guint8) counts[i];
}

/* Formats that have no way of their own go through a short run of counts. */
static void
pack_row_by_counts (const FilFrame *frame,
                    int             memory_row,
                    int             x,
                    int             n,
                    guint8         *stored)
{
  gboolean wide = frame->format->bits > 8;
  uint16_t counts[CHUNK];

  for (int done = 0; done < n; done += CHUNK)
    {
      int now = MIN (CHUNK, n - done);

      fil_frame_unpack_row (frame, memory_row, x + done, now, counts);
      if (!wide)
        store_8 (counts, (gsize) now, stored + done);
      else
        {
          for (int i = 0; G_BYTE_ORDER == G_BIG_ENDIAN && i < now; i++)
            counts[i] = GUINT16_TO_LE (counts[i]);
          store_16 ((const guint8 *) counts, (gsize) now, stored + 2 * (gsize) done);
        }
    }
}

static void
pack_row (const FilFrame *frame,
          int             memory_row,
          int             x,
          int             n,
          guint8         *stored)
{
  const guint8 *row = frame->data + frame->stride * (gsize) memory_row;

  switch (frame->format->packing)
    {
    case FIL_PACKING_8:
    case FIL_PACKING_PLANAR:
      memcpy (stored, row + x, (gsize) n);
      break;
    case FIL_PACKING_FITS16:
      memcpy (stored, row + 2 * (gsize) x, 2 * (gsize) n);
      break;
    case FIL_PACKING_16LE:
      store_16 (row + 2 * (gsize) x, (gsize) n, stored);
      break;
    default:
      pack_row_by_counts (frame, memory_row, x, n, stored);
      break;
    }
}

typedef struct
{
  const FilFrame *frame;
  FilRect         rect;
  guint8         *stored;
} JpegTarget;

static void
take_jpeg_row (int           memory_row,
               const guint8 *bytes,
               gpointer      user_data)
{
  JpegTarget *target = user_data;
  int from_top = fil_frame_memory_row (target->frame, memory_row) - target->rect.y;
  gsize row = (gsize) (target->rect.height - 1 - from_top);

  memcpy (target->stored + row * (gsize) target->rect.width, bytes + target->rect.x,
          (gsize) target->rect.width);
}

/**
 * fil_frame_pack_fits:
 * @frame: a frame of any format
 * @rect: (nullable): inside the picture, from the top left; %NULL: all of it
 * @stored: (out caller-allocates): rect width × height samples of
 *   fil_pixel_format_stored_bytes() each
 * @error: return location
 *
 * Swap, offset and row order in one pass: bytes for formats of 8 bits, else
 * big-endian 16 bit less 32768, the *bottom* row of the rectangle first, as
 * FITS has it. The counts are those of fil_frame_unpack(). On failure @stored
 * may be partly written. Thread-safe.
 *
 * Returns: %TRUE, or %FALSE with %FIL_FRAME_ERROR
 */
gboolean
fil_frame_pack_fits (const FilFrame *frame,
                     const FilRect  *rect,
                     guint8         *stored,
                     GError        **error)
{
  FilRect whole;
  gsize row_bytes;

  g_return_val_if_fail (frame != NULL && stored != NULL, FALSE);

  if (!fil_frame_check_rect (frame, rect, &whole, error))
    return FALSE;

  if (frame->format->packing == FIL_PACKING_JPEG)
    {
      JpegTarget target = { frame, whole, stored };
      int first = fil_frame_memory_row (frame, whole.y);
      int last = fil_frame_memory_row (frame, whole.y + whole.height - 1);

      return fil_jpeg_decode (frame, MIN (first, last), whole.height, take_jpeg_row, &target,
                              error);
    }

  row_bytes = (gsize) whole.width * fil_pixel_format_stored_bytes (frame->format);
  for (int i = 0; i < whole.height; i++)
    pack_row (frame, fil_frame_memory_row (frame, whole.y + whole.height - 1 - i), whole.x,
              whole.width, stored + row_bytes * (gsize) i);

  return TRUE;
}

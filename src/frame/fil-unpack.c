/* fil-unpack.c: any format's pixels as 16-bit counts
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-cpu.h"
#include "fil-frame-error.h"
#include "fil-frame-private.h"

#if FIL_CPU_HAVE_CLONES
#include <immintrin.h>
#endif

/* Row kernels: @n pixels from column @x of the row that begins at @row. */
typedef void (*UnpackRow) (const guint8 *row,
                           int           x,
                           int           n,
                           uint16_t     *pixels);

static void
unpack_8 (const guint8 *row,
          int           x,
          int           n,
          uint16_t     *pixels)
{
  for (int i = 0; i < n; i++)
    pixels[i] = row[x + i];
}

static void
unpack_16le (const guint8 *row,
             int           x,
             int           n,
             uint16_t     *pixels)
{
  memcpy (pixels, row + 2 * (gsize) x, 2 * (gsize) n);
#if G_BYTE_ORDER == G_BIG_ENDIAN
  for (int i = 0; i < n; i++)
    pixels[i] = GUINT16_SWAP_LE_BE (pixels[i]);
#endif
}

/* Swaps the bytes of @n counts and inverts the bits of @flip in each. */
static void
swap_16_scalar (const guint8 *bytes,
                int           n,
                guint16       flip,
                uint16_t     *pixels)
{
  memcpy (pixels, bytes, 2 * (gsize) n);
  for (int i = 0; i < n; i++)
    pixels[i] = GUINT16_FROM_BE (pixels[i]) ^ flip;
}

#if FIL_CPU_HAVE_CLONES
FIL_CPU_TARGET_AVX2 static void
swap_16_avx2 (const guint8 *bytes,
              int           n,
              guint16       flip,
              uint16_t     *pixels)
{
  const __m256i swap = _mm256_setr_epi8 (1, 0, 3, 2, 5, 4, 7, 6, 9, 8, 11, 10, 13, 12, 15, 14,
                                         1, 0, 3, 2, 5, 4, 7, 6, 9, 8, 11, 10, 13, 12, 15, 14);
  const __m256i flips = _mm256_set1_epi16 ((short) flip);
  int i;

  for (i = 0; i + 16 <= n; i += 16)
    {
      __m256i c = _mm256_loadu_si256 ((const __m256i *) (const void *) (bytes + 2 * i));

      c = _mm256_xor_si256 (_mm256_shuffle_epi8 (c, swap), flips);
      _mm256_storeu_si256 ((__m256i *) (void *) (pixels + i), c);
    }
  swap_16_scalar (bytes + 2 * i, n - i, flip, pixels + i);
}
#endif

static void
swap_16 (const guint8 *bytes,
         int           n,
         guint16       flip,
         uint16_t     *pixels)
{
#if FIL_CPU_HAVE_CLONES
  if (fil_cpu_get_level () >= FIL_CPU_AVX2)
    {
      swap_16_avx2 (bytes, n, flip, pixels);
      return;
    }
#endif
  swap_16_scalar (bytes, n, flip, pixels);
}

static void
unpack_16be (const guint8 *row,
             int           x,
             int           n,
             uint16_t     *pixels)
{
  swap_16 (row + 2 * (gsize) x, n, 0, pixels);
}

static void
unpack_fits16 (const guint8 *row,
               int           x,
               int           n,
               uint16_t     *pixels)
{
  swap_16 (row + 2 * (gsize) x, n, 0x8000, pixels);
}

/* The low bits of the first pixel are the lowest ones of the last byte, in
 * both packed layouts. Source: linux-doc, pixfmt-srggb10p, pixfmt-srggb12p. */
static void
unpack_10p (const guint8 *row,
            int           x,
            int           n,
            uint16_t     *pixels)
{
  for (int i = 0; i < n; i++)
    {
      const guint8 *group = row + (gsize) ((x + i) / 4) * 5;
      int k = (x + i) % 4;

      pixels[i] = (uint16_t) (group[k] << 2 | ((group[4] >> (2 * k)) & 3));
    }
}

static void
unpack_12p (const guint8 *row,
            int           x,
            int           n,
            uint16_t     *pixels)
{
  for (int i = 0; i < n; i++)
    {
      const guint8 *group = row + (gsize) ((x + i) / 2) * 3;
      int k = (x + i) % 2;

      pixels[i] = (uint16_t) (group[k] << 4 | ((group[2] >> (4 * k)) & 15));
    }
}

static void
unpack_yuyv (const guint8 *row,
             int           x,
             int           n,
             uint16_t     *pixels)
{
  for (int i = 0; i < n; i++)
    pixels[i] = row[2 * (gsize) (x + i)];
}

static void
unpack_uyvy (const guint8 *row,
             int           x,
             int           n,
             uint16_t     *pixels)
{
  unpack_yuyv (row + 1, x, n, pixels);
}

static void
unpack_rgb (const guint8 *row,
            int           x,
            int           n,
            uint16_t     *pixels)
{
  const guint8 *p = row + 3 * (gsize) x;

  for (int i = 0; i < n; i++, p += 3)
    pixels[i] = fil_luma_601 (p[0], p[1], p[2]);
}

static void
unpack_bgr (const guint8 *row,
            int           x,
            int           n,
            uint16_t     *pixels)
{
  const guint8 *p = row + 3 * (gsize) x;

  for (int i = 0; i < n; i++, p += 3)
    pixels[i] = fil_luma_601 (p[2], p[1], p[0]);
}

static const UnpackRow kernels[] = {
  [FIL_PACKING_8] = unpack_8,
  [FIL_PACKING_16LE] = unpack_16le,
  [FIL_PACKING_16BE] = unpack_16be,
  [FIL_PACKING_FITS16] = unpack_fits16,
  [FIL_PACKING_10P] = unpack_10p,
  [FIL_PACKING_12P] = unpack_12p,
  [FIL_PACKING_YUYV] = unpack_yuyv,
  [FIL_PACKING_UYVY] = unpack_uyvy,
  [FIL_PACKING_PLANAR] = unpack_8,
  [FIL_PACKING_RGB24] = unpack_rgb,
  [FIL_PACKING_BGR24] = unpack_bgr,
  [FIL_PACKING_JPEG] = NULL,
};

/* An uncompressed frame that was checked; @n pixels from column @x. */
void
fil_frame_unpack_row (const FilFrame *frame,
                      int             memory_row,
                      int             x,
                      int             n,
                      uint16_t       *pixels)
{
  kernels[frame->format->packing] (frame->data + frame->stride * (gsize) memory_row,
                                   x, n, pixels);
}

/**
 * fil_frame_check_rect:
 * @rect: (nullable): from the top left; %NULL: all of the picture
 * @inside: (out): @rect, or all of the picture; may be @rect itself
 *
 * fil_frame_check(), and that the rectangle lies inside the picture.
 */
gboolean
fil_frame_check_rect (const FilFrame *frame,
                      const FilRect  *rect,
                      FilRect        *inside,
                      GError        **error)
{
  if (!fil_frame_check (frame, error))
    return FALSE;

  *inside = rect != NULL ? *rect : (FilRect) { 0, 0, frame->width, frame->height };
  if (!fil_rect_is_inside (inside, frame->width, frame->height))
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_RECT,
                   _("the rectangle %d,%d,%d,%d lies beyond a picture of %d × %d pixels"),
                   inside->x, inside->y, inside->width, inside->height,
                   frame->width, frame->height);
      return FALSE;
    }

  return TRUE;
}

typedef struct
{
  const FilFrame *frame;
  FilRect         rect;
  uint16_t       *pixels;
} JpegTarget;

static void
take_jpeg_row (int           memory_row,
               const guint8 *bytes,
               gpointer      user_data)
{
  JpegTarget *target = user_data;
  int y = fil_frame_memory_row (target->frame, memory_row) - target->rect.y;

  unpack_8 (bytes, target->rect.x, target->rect.width,
            target->pixels + (gsize) y * (gsize) target->rect.width);
}

static gboolean
unpack_jpeg (const FilFrame *frame,
             const FilRect  *rect,
             uint16_t       *pixels,
             GError        **error)
{
  JpegTarget target = { frame, *rect, pixels };
  int first = fil_frame_memory_row (frame, rect->y);
  int last = fil_frame_memory_row (frame, rect->y + rect->height - 1);

  return fil_jpeg_decode (frame, MIN (first, last), rect->height, take_jpeg_row, &target,
                          error);
}

/**
 * fil_frame_unpack:
 * @frame: a frame of any format
 * @rect: (nullable): inside the picture, from the top left; %NULL: all of it
 * @pixels: (out caller-allocates): rect width × height counts, the top row
 *   of the rectangle first, no gaps
 * @error: return location
 *
 * Counts as the camera delivered them: luma of luma formats, BT.601 luma
 * (0.299, 0.587, 0.114, rounded) of RGB, grey of JPEG, Bayer pixels as they
 * are. On failure @pixels may be partly written. Thread-safe.
 *
 * Returns: %TRUE, or %FALSE with %FIL_FRAME_ERROR
 */
gboolean
fil_frame_unpack (const FilFrame *frame,
                  const FilRect  *rect,
                  uint16_t       *pixels,
                  GError        **error)
{
  FilRect whole;

  g_return_val_if_fail (frame != NULL && pixels != NULL, FALSE);

  if (!fil_frame_check_rect (frame, rect, &whole, error))
    return FALSE;
  if (frame->format->packing == FIL_PACKING_JPEG)
    return unpack_jpeg (frame, &whole, pixels, error);

  for (int i = 0; i < whole.height; i++)
    fil_frame_unpack_row (frame, fil_frame_memory_row (frame, whole.y + i), whole.x,
                          whole.width, pixels + (gsize) i * (gsize) whole.width);

  return TRUE;
}

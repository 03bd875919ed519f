/* fil-clip-pixels.c: a clip's frames, as numbers
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Uncompressed cubes are read straight from the file, in their own order:
 * row 0 of every buffer is the bottom row of the picture, FITS row 1. Tiles
 * go through cfitsio. */

#include <inttypes.h>
#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-private.h"

#define PIECE_PIXELS 65536

/* 0 to 255 as they stand in the file */
gboolean
fil_clip_stored_as_u8 (const FilClip *clip)
{
  return !clip->compressed && clip->bitpix == 8 && !clip->has_blank &&
         clip->bscale == 1.0 && clip->bzero == 0.0;
}

/* 0 to 65535 less 32768, big endian */
gboolean
fil_clip_stored_as_u16 (const FilClip *clip)
{
  return !clip->compressed && clip->bitpix == 16 && !clip->has_blank &&
         clip->bscale == 1.0 && clip->bzero == 32768.0;
}

/**
 * fil_clip_is_integer:
 *
 * Returns: whether every pixel is a whole number from 0 to 65535, by the
 *   header; otherwise fil_clip_read_u16() rounds and limits
 */
gboolean
fil_clip_is_integer (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, FALSE);

  if (clip->has_blank || clip->bscale != 1.0)
    return FALSE;

  return (clip->bitpix == 8 && clip->bzero == 0.0) ||
         (clip->bitpix == 16 && clip->bzero == 32768.0);
}

static gsize
n_pixels (const FilClip *clip)
{
  return (gsize) clip->width * (gsize) clip->height;
}

static guint64
frame_offset (const FilClip *clip,
              guint64        frame)
{
  return clip->picture->data_start + frame * clip->frame_bytes;
}

static gboolean
check_frame (const FilClip *clip,
             guint64        frame,
             GError       **error)
{
  if (frame < clip->n_frames)
    return TRUE;

  g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
               _("there is no frame %" PRIu64), frame);

  return FALSE;
}

/* @type: cfitsio's TUSHORT or TDOUBLE; blanks become NaN in the latter */
static gboolean
read_tiles (FilClip *clip,
            guint64  frame,
            int      type,
            void    *pixels,
            GError **error)
{
  fitsfile *fits = fil_clip_check_unpacked (clip, frame, error) ? fil_clip_get_fits (clip, error)
                                                                : NULL;
  LONGLONG first[8] = { 1, 1, 1, 1, 1, 1, 1, 1 };
  double nan_value = NAN;
  int status = 0, any_null;

  if (fits == NULL)
    return FALSE;
  if (clip->frame_axis >= 0)
    first[clip->frame_axis] = (LONGLONG) frame + 1;

  fits_read_pixll (fits, type, first, (LONGLONG) n_pixels (clip),
                   type == TDOUBLE ? &nan_value : NULL, pixels, &any_null, &status);

  return fil_clip_fits_error (status, error);
}

static guint64
big_endian (const guint8 *at,
            int           n_bytes)
{
  guint64 value = 0;

  for (int i = 0; i < n_bytes; i++)
    value = value << 8 | at[i];

  return value;
}

static double
integer_value (const FilClip *clip,
               const guint8  *at)
{
  gint64 value;

  switch (clip->bitpix)
    {
    case 8:
      value = *at;
      break;
    case 16:
      value = (gint16) big_endian (at, 2);
      break;
    case 32:
      value = (gint32) big_endian (at, 4);
      break;
    default:
      value = (gint64) big_endian (at, 8);
      break;
    }

  if (clip->has_blank && value == clip->blank)
    return NAN;

  return clip->bzero + clip->bscale * (double) value;
}

static double
real_value (const FilClip *clip,
            const guint8  *at)
{
  double value;

  if (clip->bitpix == -32)
    {
      guint32 bits = (guint32) big_endian (at, 4);
      float single;

      memcpy (&single, &bits, sizeof single);
      value = single;
    }
  else
    {
      guint64 bits = big_endian (at, 8);

      memcpy (&value, &bits, sizeof value);
    }

  return clip->bzero + clip->bscale * value;
}

static gboolean
read_plain_double (FilClip *clip,
                   guint64  frame,
                   double  *pixels,
                   GError **error)
{
  const gsize size = (gsize) ABS (clip->bitpix) / 8, n = n_pixels (clip);
  g_autofree guint8 *piece = g_malloc (MIN (n, PIECE_PIXELS) * size);
  guint64 offset = frame_offset (clip, frame);

  for (gsize done = 0; done < n;)
    {
      gsize step = MIN (n - done, PIECE_PIXELS);

      if (!fil_fits_read_at (clip->fd, offset + done * size, piece, step * size, error))
        return FALSE;
      for (gsize i = 0; i < step; i++)
        pixels[done + i] = clip->bitpix > 0 ? integer_value (clip, piece + i * size)
                                            : real_value (clip, piece + i * size);
      done += step;
    }

  return TRUE;
}

/**
 * fil_clip_read_double:
 * @frame: from 0
 * @pixels: (out caller-allocates): width × height, bottom row first; scaled
 *   by BSCALE and BZERO; NaN where the file says "no value"
 *
 * On error @pixels holds nothing of use.
 */
gboolean
fil_clip_read_double (FilClip *clip,
                      guint64  frame,
                      double  *pixels,
                      GError **error)
{
  g_return_val_if_fail (clip != NULL && pixels != NULL, FALSE);

  if (!check_frame (clip, frame, error))
    return FALSE;

  return clip->compressed ? read_tiles (clip, frame, TDOUBLE, pixels, error)
                          : read_plain_double (clip, frame, pixels, error);
}

/* Bytes to counts, in place: they were read into the buffer's upper half, and
 * the lower end never overtakes them. */
static gboolean
read_plain_u8 (FilClip  *clip,
               guint64   frame,
               uint16_t *pixels,
               GError  **error)
{
  const gsize n = n_pixels (clip);
  const guint8 *bytes = (const guint8 *) pixels + n;

  if (!fil_fits_read_at (clip->fd, frame_offset (clip, frame), (guint8 *) pixels + n, n, error))
    return FALSE;
  for (gsize i = 0; i < n; i++)
    pixels[i] = bytes[i];

  return TRUE;
}

static gboolean
read_plain_u16 (FilClip  *clip,
                guint64   frame,
                uint16_t *pixels,
                GError  **error)
{
  const gsize n = n_pixels (clip);

  if (!fil_fits_read_at (clip->fd, frame_offset (clip, frame), pixels, 2 * n, error))
    return FALSE;
  for (gsize i = 0; i < n; i++)
    pixels[i] = (uint16_t) (GUINT16_FROM_BE (pixels[i]) ^ 0x8000);

  return TRUE;
}

static gboolean
read_rounded (FilClip  *clip,
              guint64   frame,
              uint16_t *pixels,
              GError  **error)
{
  const gsize n = n_pixels (clip);
  g_autofree double *values = g_try_new (double, n);

  if (values == NULL)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
                           _("there is not enough memory for a frame"));
      return FALSE;
    }
  if (!fil_clip_read_double (clip, frame, values, error))
    return FALSE;
  for (gsize i = 0; i < n; i++)   /* not > 0 holds for NaN too */
    pixels[i] = !(values[i] > 0.0) ? 0 : (uint16_t) (MIN (values[i], 65535.0) + 0.5);

  return TRUE;
}

/**
 * fil_clip_read_u16:
 * @frame: from 0
 * @pixels: (out caller-allocates): width × height counts, bottom row first
 *
 * Exact where fil_clip_is_integer(); else rounded to the nearest count and
 * limited to 0 to 65535, "no value" becoming 0. On error @pixels holds
 * nothing of use.
 */
gboolean
fil_clip_read_u16 (FilClip  *clip,
                   guint64   frame,
                   uint16_t *pixels,
                   GError  **error)
{
  g_return_val_if_fail (clip != NULL && pixels != NULL, FALSE);

  if (!check_frame (clip, frame, error))
    return FALSE;

  if (fil_clip_stored_as_u8 (clip))
    return read_plain_u8 (clip, frame, pixels, error);
  if (fil_clip_stored_as_u16 (clip))
    return read_plain_u16 (clip, frame, pixels, error);
  if (clip->compressed && fil_clip_is_integer (clip))
    return read_tiles (clip, frame, TUSHORT, pixels, error);

  return read_rounded (clip, frame, pixels, error);
}

/* Counts to the bytes of a clip, in place. */
static void
store_u16 (uint16_t *pixels,
           gsize     n)
{
  for (gsize i = 0; i < n; i++)
    pixels[i] = GUINT16_TO_BE (pixels[i] ^ 0x8000);
}

/* The layout of the frames that fil_clip_read_frame() gives. */
const FilPixelFormat *
fil_clip_get_format (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, NULL);

  return fil_pixel_format_stored (fil_clip_stored_as_u8 (clip) ? 8 : 16,
                                  fil_clip_get_pattern (clip));
}

static void
take_row (FilClip  *clip,
          guint64   index,
          FilFrame *frame)
{
  gboolean have_times;
  const FilClipRow *rows = fil_clip_get_rows (clip, &have_times);
  gint64 begin_ns = fil_clip_get_utc_begin_ns (clip);

  frame->clock = FIL_CLOCK_UTC;
  frame->sequence = index;
  if (rows == NULL)
    return;

  frame->exposure_ms = rows[index].exposure_s * 1e3;
  frame->gain = rows[index].gain;
  if (rows[index].marks & FIL_CLIP_MARK_DAMAGED)
    frame->flags |= FIL_FRAME_DAMAGED;
  if (have_times)
    frame->time_ns = (begin_ns == G_MININT64 ? 0 : begin_ns) +
                     (gint64) llrint (rows[index].time_s * 1e9);
}

/**
 * fil_clip_read_frame:
 * @index: from 0
 *
 * One frame in fil_clip_get_format(), bottom row first (@bottom_up is set),
 * read straight into the frame's memory where the file holds it so. @sequence
 * is @index. @time_ns is UTC where the file tells; without DATE-BEG it counts
 * from 0, without times it is 0.
 *
 * Returns: (transfer full): a frame that owns its pixels, or %NULL
 */
FilFrame *
fil_clip_read_frame (FilClip *clip,
                     guint64  index,
                     GError **error)
{
  const FilPixelFormat *format = fil_clip_get_format (clip);
  g_autoptr (FilFrame) frame = NULL;
  gboolean done;

  g_return_val_if_fail (clip != NULL, NULL);

  if (!check_frame (clip, index, error))
    return NULL;

  frame = fil_frame_new_alloc (format, clip->width, clip->height);
  if (frame == NULL)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
                           _("there is not enough memory for a frame"));
      return NULL;
    }

  if (fil_clip_stored_as_u8 (clip) || fil_clip_stored_as_u16 (clip))
    done = fil_fits_read_at (clip->fd, frame_offset (clip, index),
                             (guint8 *) frame->data, frame->size, error);
  else
    {
      uint16_t *pixels = (uint16_t *) (gpointer) frame->data;

      done = fil_clip_read_u16 (clip, index, pixels, error);
      if (done)
        store_u16 (pixels, n_pixels (clip));
    }
  if (!done)
    return NULL;

  frame->bottom_up = TRUE;
  take_row (clip, index, frame);

  return g_steal_pointer (&frame);
}

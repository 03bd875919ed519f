/* fil-frame.c: one picture of a camera, shared by counting references
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-frame-error.h"
#include "fil-frame.h"

G_DEFINE_QUARK (fil-frame-error-quark, fil_frame_error)

/**
 * fil_frame_new:
 * @release: called once, on whatever thread drops the last reference; it owns
 *   the pixels and may give them back to a driver
 * @user_data: for @release
 *
 * A frame without pixels yet: its maker fills the public fields before
 * anybody else sees it. Thread-safe.
 *
 * Returns: (transfer full): a frame with one reference
 */
FilFrame *
fil_frame_new (FilFrameRelease release,
               gpointer        user_data)
{
  FilFrame *frame = g_new0 (FilFrame, 1);

  frame->exposure_ms = NAN;
  frame->gain = NAN;
  frame->release = release;
  frame->release_data = user_data;
  __atomic_store_n (&frame->refs, 1, __ATOMIC_RELAXED);

  return frame;
}

static void
free_pixels (FilFrame *frame,
             gpointer  user_data)
{
  g_free (user_data);
}

/**
 * fil_frame_new_alloc:
 * @format: an uncompressed format
 * @width: pixels, 1 to 100000
 * @height: pixels, 1 to 100000
 *
 * A frame that owns zeroed pixels with the least stride, top row first. Its
 * maker may write to them (casting @data) until it hands the frame on.
 *
 * Returns: (transfer full): a frame, or %NULL where memory doesn't suffice
 */
FilFrame *
fil_frame_new_alloc (const FilPixelFormat *format,
                     int                   width,
                     int                   height)
{
  gsize stride, size;
  guint8 *pixels;
  FilFrame *frame;

  g_return_val_if_fail (format != NULL && format->packing != FIL_PACKING_JPEG, NULL);
  g_return_val_if_fail (width > 0 && width <= 100000, NULL);
  g_return_val_if_fail (height > 0 && height <= 100000, NULL);

  stride = fil_pixel_format_min_stride (format, width);
  size = stride * (gsize) height;
  if (format->packing == FIL_PACKING_PLANAR)
    size += size / 2;

  pixels = g_try_malloc0 (size);
  if (pixels == NULL)
    return NULL;

  frame = fil_frame_new (free_pixels, pixels);
  frame->format = format;
  frame->width = width;
  frame->height = height;
  frame->stride = stride;
  frame->size = size;
  frame->data = pixels;

  return frame;
}

/* Thread-safe. */
FilFrame *
fil_frame_ref (FilFrame *frame)
{
  g_return_val_if_fail (frame != NULL, NULL);

  __atomic_add_fetch (&frame->refs, 1, __ATOMIC_RELAXED);

  return frame;
}

/* Thread-safe; the last holder's thread runs the maker's release function. */
void
fil_frame_unref (FilFrame *frame)
{
  g_return_if_fail (frame != NULL);

  /* Release: our reads of the pixels come before; acquire: the maker's reuse
   * of them comes after. */
  if (__atomic_sub_fetch (&frame->refs, 1, __ATOMIC_ACQ_REL) > 0)
    return;

  if (frame->release != NULL)
    frame->release (frame, frame->release_data);
  g_free (frame);
}

/**
 * fil_frame_check:
 * @frame: a frame
 * @error: return location
 *
 * Whether the frame's size, stride and memory agree, so that every row may be
 * read. Costs nothing; drivers and files can answer nonsense. Thread-safe.
 *
 * Returns: %TRUE if every pixel lies inside its memory
 */
gboolean
fil_frame_check (const FilFrame *frame,
                 GError        **error)
{
  gsize min_stride;

  g_return_val_if_fail (frame != NULL, FALSE);

  if (frame->format == NULL)
    {
      g_set_error_literal (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_FORMAT,
                           "the frame has no pixel format");
      return FALSE;
    }
  if (frame->width < 1 || frame->width > 100000 ||
      frame->height < 1 || frame->height > 100000 || frame->data == NULL)
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_SIZE,
                   "a frame of %d × %d pixels can't be read",
                   frame->width, frame->height);
      return FALSE;
    }
  if (frame->format->packing == FIL_PACKING_JPEG)
    return TRUE;

  min_stride = fil_pixel_format_min_stride (frame->format, frame->width);
  if (frame->stride < min_stride ||
      frame->size < frame->stride * (gsize) (frame->height - 1) + min_stride)
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_SIZE,
                   "%" G_GSIZE_FORMAT " bytes in rows of %" G_GSIZE_FORMAT
                   " are too few for %d × %d pixels of %s",
                   frame->size, frame->stride, frame->width, frame->height,
                   frame->format->name);
      return FALSE;
    }

  return TRUE;
}

/* fil-small-picture.c: a frame made smaller, for what needs no fine pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-small-picture.h"

#define LEAST_SIDE 48    /* of the small picture, where the frame has that many */

/* A Bayer pattern's colours must not show as a pattern: whole cells alone. */
static int
choose_bin (const FilFrame *frame,
            double          most_pixels)
{
  int step = frame->format->kind == FIL_KIND_BAYER ? 2 : 1;
  int bin = (int) ceil (sqrt ((double) frame->width * frame->height / most_pixels));
  int most = MIN (frame->width, frame->height) / LEAST_SIDE;

  bin = CLAMP (bin, 1, MAX (most, 1));

  return (bin + step - 1) / step * step;
}

/**
 * fil_small_picture_init:
 * @frame: whose size and format it will be used with
 * @most_pixels: of the small picture, about
 *
 * Returns: %FALSE with %FIL_FRAME_ERROR where the frame can't be read
 */
gboolean
fil_small_picture_init (FilSmallPicture *self,
                        const FilFrame  *frame,
                        double           most_pixels,
                        GError         **error)
{
  *self = (FilSmallPicture) { 0 };
  if (!fil_frame_check (frame, error))
    return FALSE;

  self->bin = choose_bin (frame, most_pixels);
  self->frame_width = frame->width;
  self->frame_height = frame->height;
  self->width = frame->width / self->bin;
  self->height = frame->height / self->bin;
  self->counts = g_new (uint16_t, (gsize) frame->width * (gsize) frame->height);
  self->columns = g_new (guint32, (gsize) frame->width);

  return TRUE;
}

void
fil_small_picture_clear (FilSmallPicture *self)
{
  g_clear_pointer (&self->counts, g_free);
  g_clear_pointer (&self->columns, g_free);
}

static void
sum_rows (const FilSmallPicture *self,
          int                    first)
{
  const gsize width = (gsize) self->frame_width;

  memset (self->columns, 0, width * sizeof (guint32));
  for (int j = 0; j < self->bin; j++)
    {
      const uint16_t *row = self->counts + (gsize) (first + j) * width;

      for (gsize i = 0; i < width; i++)
        self->columns[i] += row[i];
    }
}

/**
 * fil_small_picture_make:
 * @pixels: (out caller-allocates): width × height, the bottom row first:
 *   brightness over the mean of the picture, less 1
 * @level: (out): that mean, counts
 *
 * A picture without any light gives zeroes. Returns: %FALSE with
 * %FIL_FRAME_ERROR where the frame can't be read
 */
gboolean
fil_small_picture_make (FilSmallPicture *self,
                        const FilFrame  *frame,
                        float           *pixels,
                        double          *level,
                        GError         **error)
{
  const gsize width = (gsize) self->width, n = width * (gsize) self->height;
  guint64 sum = 0;
  double mean;

  g_return_val_if_fail (frame->width == self->frame_width &&
                        frame->height == self->frame_height, FALSE);

  if (!fil_frame_unpack (frame, NULL, self->counts, error))
    return FALSE;

  for (int y = 0; y < self->height; y++)
    {
      float *out = pixels + (gsize) (self->height - 1 - y) * width;

      sum_rows (self, y * self->bin);
      for (gsize x = 0; x < width; x++)
        {
          guint64 cell = 0;

          for (int i = 0; i < self->bin; i++)
            cell += self->columns[x * (gsize) self->bin + (gsize) i];
          sum += cell;
          out[x] = (float) cell;
        }
    }

  mean = (double) sum / (double) n;
  *level = mean / (self->bin * self->bin);
  for (gsize i = 0; i < n; i++)
    pixels[i] = mean > 0.0 ? pixels[i] / (float) mean - 1.0f : 0.0f;

  return TRUE;
}

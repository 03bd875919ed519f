/* cli-frames.c: frames of any FITS cube, as a camera would deliver them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "cli-frames.h"

#define TOP_COUNT 50000.0   /* of the first frame's brightest pixel; later ones may be brighter */

void
fil_cli_frames_clear (FilCliFrames *self)
{
  g_clear_pointer (&self->clip, fil_clip_close);
  g_clear_pointer (&self->numbers, g_free);
}

/* One scale for all frames. Zero stays zero unless there are negative numbers. */
static void
choose_scale (FilCliFrames *self,
              gsize         n)
{
  double low = 0.0, high = 0.0;

  for (gsize i = 0; i < n; i++)
    if (isfinite (self->numbers[i]))
      {
        low = MIN (low, self->numbers[i]);
        high = MAX (high, self->numbers[i]);
      }
  self->offset = low;
  self->factor = high > low ? TOP_COUNT / (high - low) : 1.0;
}

static FilFrame *
convert (FilCliFrames *self,
         int           width,
         int           height)
{
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), width, height);
  gsize n = (gsize) width * (gsize) height;
  guint8 *bytes;

  if (frame == NULL)
    return NULL;
  if (self->factor == 0.0)
    choose_scale (self, n);

  bytes = (guint8 *) frame->data;
  frame->bottom_up = TRUE;
  for (gsize i = 0; i < n; i++)
    {
      double count = (self->numbers[i] - self->offset) * self->factor;
      guint whole = isfinite (count) ? (guint) CLAMP (count + 0.5, 0.0, 65535.0) : 0;

      bytes[2 * i] = whole & 255;
      bytes[2 * i + 1] = (guint8) (whole >> 8);
    }

  return frame;
}

/**
 * fil_cli_frames_read:
 *
 * Counts as they are where they fit 16 bits; other numbers on a scale of their
 * own, the same for all frames of the clip.
 *
 * Returns: (transfer full) (nullable): %NULL with @error set
 */
FilFrame *
fil_cli_frames_read (FilCliFrames *self,
                     guint64       index,
                     GError      **error)
{
  int width = fil_clip_get_width (self->clip), height = fil_clip_get_height (self->clip);
  FilFrame *frame;

  if (fil_clip_is_integer (self->clip))
    return fil_clip_read_frame (self->clip, index, error);

  if (self->numbers == NULL)
    self->numbers = g_try_new (double, (gsize) width * (gsize) height);
  if (self->numbers != NULL && !fil_clip_read_double (self->clip, index, self->numbers, error))
    return NULL;
  frame = self->numbers != NULL ? convert (self, width, height) : NULL;
  if (frame == NULL)
    g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_NOMEM,
                 _("there is not enough memory for a frame of %d × %d pixels"), width, height);

  return frame;
}

/* render-help.h: small frames for the tests of rendering
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <string.h>

#include "fil-render.h"

/* Counts of a pixel, from the top left. */
typedef guint (*PixelValue) (int x,
                             int y);

static inline void
put (FilFrame *frame,
     int       x,
     int       y,
     guint     count)
{
  int row = frame->bottom_up ? frame->height - 1 - y : y;
  guint8 *at = (guint8 *) frame->data + (gsize) row * frame->stride;

  if (frame->format->packing == FIL_PACKING_8)
    at[x] = (guint8) count;
  else
    {
      at[2 * x] = (guint8) (count & 0xff);
      at[2 * x + 1] = (guint8) (count >> 8);
    }
}

static inline FilFrame *
make_frame (const char *format,
            int         width,
            int         height,
            gboolean    bottom_up,
            PixelValue  value)
{
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name (format), width, height);

  g_assert_nonnull (frame);
  frame->bottom_up = bottom_up;
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      put (frame, x, y, value (x, y));

  return frame;
}

/* Shades equal counts. */
static inline FilLook
plain_look (void)
{
  return (FilLook) { .black = 0.0, .white = 255.0 };
}

static inline uint32_t
grey (guint shade)
{
  return 0xff000000u | shade << 16 | shade << 8 | shade;
}

/* Returns: (transfer full): width × height pixels */
static inline uint32_t *
draw (FilFrame      *frame,
      FilRegion      region,
      const FilLook *look,
      int            width,
      int            height)
{
  g_autoptr (FilRenderer) renderer = fil_renderer_new ();
  g_autoptr (GError) error = NULL;
  uint32_t *pixels = g_new (uint32_t, (gsize) width * (gsize) height);

  memset (pixels, 0x5a, (gsize) width * (gsize) height * sizeof *pixels);
  fil_renderer_draw (renderer, frame, &region, look, pixels, width, height, (gsize) width,
                     &error);
  g_assert_no_error (error);

  return pixels;
}

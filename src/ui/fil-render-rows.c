/* fil-render-rows.c: a frame's rows as counts, from the top, in colour if asked
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include <gio/gio.h>

#include "fil-render-rows.h"

static void
make_room (FilRenderRows *rows,
           gsize          n)
{
  if (n <= rows->room)
    return;

  for (int i = 0; i < FIL_RENDER_N_ROWS; i++)
    rows->raw[i] = g_renew (uint16_t, rows->raw[i], n + 2);
  for (int i = 0; i < 3; i++)
    rows->rgb[i] = g_renew (uint16_t, rows->rgb[i], n);
  rows->room = n;
}

static void
forget_decoded (FilRenderRows *rows)
{
  g_clear_pointer (&rows->decoded, fil_frame_unref);
  g_clear_pointer (&rows->whole, g_free);
}

/* A compressed picture can't be read row by row. */
static gboolean
decode (FilRenderRows *rows,
        FilFrame      *frame,
        GError       **error)
{
  FilRect all = { 0, 0, frame->width, frame->height };
  gsize n = (gsize) frame->width * (gsize) frame->height;

  if (rows->decoded == frame)
    return TRUE;

  forget_decoded (rows);
  rows->whole = g_try_new (uint16_t, n);
  if (rows->whole == NULL)
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_NO_SPACE,
                   "no memory for a picture of %d × %d pixels", frame->width, frame->height);
      return FALSE;
    }
  if (!fil_frame_unpack (frame, &all, rows->whole, error))
    {
      forget_decoded (rows);
      return FALSE;
    }
  rows->decoded = fil_frame_ref (frame);

  return TRUE;
}

/**
 * fil_render_rows_begin:
 * @rows: zeroed, or begun before
 * @frame: read until the next begin; a compressed one is kept
 * @x_begin: first column wanted, 0 to width − 1
 * @x_end: one past the last
 *
 * Returns: %FALSE where the frame can't be read
 */
gboolean
fil_render_rows_begin (FilRenderRows          *rows,
                       FilFrame               *frame,
                       const FilRenderKernels *kernels,
                       int                     x_begin,
                       int                     x_end,
                       GError                **error)
{
  FilPattern pattern;

  if (!fil_frame_check (frame, error))
    return FALSE;

  g_return_val_if_fail (0 <= x_begin && x_begin < x_end && x_end <= frame->width, FALSE);

  if (frame->format->packing == FIL_PACKING_JPEG)
    {
      if (!decode (rows, frame, error))
        return FALSE;
    }
  else
    forget_decoded (rows);

  pattern = frame->format->pattern;
  rows->pattern = frame->bottom_up ? fil_pattern_flipped (pattern, frame->height) : pattern;
  rows->frame = frame;
  rows->kernels = kernels;
  rows->x_begin = x_begin;
  rows->x_end = x_end;
  rows->rgb_y = -1;
  for (int i = 0; i < FIL_RENDER_N_ROWS; i++)
    rows->raw_y[i] = -1;
  make_room (rows, (gsize) (x_end - x_begin));

  return TRUE;
}

/* Unpacks columns x_begin − 1 to x_end of row @y, so far as there are any. */
static gboolean
read_row (FilRenderRows *rows,
          int            y,
          uint16_t      *row,
          GError       **error)
{
  const FilFrame *frame = rows->frame;
  int left = rows->x_begin > 0 ? 1 : 0;
  int right = rows->x_end < frame->width ? 1 : 0;
  int n = rows->x_end - rows->x_begin;
  FilRect rect = { rows->x_begin - left, y, n + left + right, 1 };

  if (rows->whole != NULL)
    memcpy (row + 1 - left,
            rows->whole + (gsize) y * (gsize) frame->width + (gsize) rect.x,
            (gsize) rect.width * sizeof *row);
  else if (!fil_frame_unpack (frame, &rect, row + 1 - left, error))
    return FALSE;

  /* Beyond the edge its inner neighbour stands, which has the same colour. */
  if (!left)
    row[0] = n + right > 1 ? row[2] : row[1];
  if (!right)
    row[n + 1] = n + left > 1 ? row[n - 1] : row[n];

  return TRUE;
}

/* Returns: (nullable): counts of row @y from the top; good until three other
 * rows were asked for. [−1] and [n] may be read too. */
const uint16_t *
fil_render_rows_get_raw (FilRenderRows *rows,
                         int            y,
                         GError       **error)
{
  int slot = y % FIL_RENDER_N_ROWS;

  g_return_val_if_fail (y >= 0 && y < rows->frame->height, NULL);

  if (rows->raw_y[slot] != y)
    {
      rows->raw_y[slot] = -1;
      if (!read_row (rows, y, rows->raw[slot], error))
        return NULL;
      rows->raw_y[slot] = y;
    }

  return rows->raw[slot] + 1;
}

/* The row at distance @step, or at the picture's edge its mirror image. */
static int
neighbour (int y,
           int step,
           int height)
{
  if (height == 1)
    return 0;

  return y + step < 0 || y + step >= height ? y - step : y + step;
}

/* Debayered counts of row @y: red, green, blue; good until the next call. */
gboolean
fil_render_rows_get_rgb (FilRenderRows  *rows,
                         int             y,
                         const uint16_t *rgb[3],
                         GError        **error)
{
  FilPattern pattern = fil_pattern_shifted (rows->pattern, rows->x_begin, y);
  int height = rows->frame->height;
  const uint16_t *above, *row, *below;

  if (rows->rgb_y != y)
    {
      above = fil_render_rows_get_raw (rows, neighbour (y, -1, height), error);
      row = above == NULL ? NULL : fil_render_rows_get_raw (rows, y, error);
      below = row == NULL ? NULL
                          : fil_render_rows_get_raw (rows, neighbour (y, 1, height), error);
      if (below == NULL)
        return FALSE;

      rows->kernels->debayer (above, row, below,
                              pattern == FIL_PATTERN_GRBG || pattern == FIL_PATTERN_GBRG,
                              pattern == FIL_PATTERN_GBRG || pattern == FIL_PATTERN_BGGR,
                              rows->rgb, rows->x_end - rows->x_begin);
      rows->rgb_y = y;
    }
  for (int i = 0; i < 3; i++)
    rgb[i] = rows->rgb[i];

  return TRUE;
}

void
fil_render_rows_clear (FilRenderRows *rows)
{
  forget_decoded (rows);
  for (int i = 0; i < FIL_RENDER_N_ROWS; i++)
    g_free (rows->raw[i]);
  for (int i = 0; i < 3; i++)
    g_free (rows->rgb[i]);
  *rows = (FilRenderRows) { 0 };
}

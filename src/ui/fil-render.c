/* fil-render.c: a frame at the shown size, in shown shades
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-render-axis.h"
#include "fil-render-rows.h"
#include "fil-render.h"

#define LARGEST_SHOWN 32768
/* Rows that an automatic stretch looks at: enough for a thousandth of the
 * pixels to be many. */
#define STRETCH_ROWS  256

struct _FilRenderer
{
  const FilRenderKernels *kernels;
  FilRenderRows           rows;
  FilRenderAxis           across, down;
  FilShades               shades;
  FilLook                 shades_look;   /* what shades was filled for */
  gboolean                shades_known;

  float                  *sums[3];       /* picture rows, weighted and added */
  float                  *values[3];     /* the same at the shown width */
  uint16_t               *largest, *smallest;
  gsize                   room_sums, room_values;
};

/* One drawing under way. */
typedef struct
{
  FilRenderer   *renderer;
  const FilLook *look;
  int            n_channels;
  int            n_columns;    /* picture columns read */
  guint          full;         /* counts from which on a pixel is painted; 65536: none */
  gboolean       paint_empty;
} Pass;

FilRenderer *
fil_renderer_new (void)
{
  return g_new0 (FilRenderer, 1);
}

void
fil_renderer_free (FilRenderer *renderer)
{
  g_return_if_fail (renderer != NULL);

  fil_render_rows_clear (&renderer->rows);
  fil_render_axis_clear (&renderer->across);
  fil_render_axis_clear (&renderer->down);
  for (int i = 0; i < 3; i++)
    {
      g_free (renderer->sums[i]);
      g_free (renderer->values[i]);
    }
  g_free (renderer->largest);
  g_free (renderer->smallest);
  g_free (renderer);
}

/* Sums get as many spare zeros as the last shown pixel may read beyond. */
static void
make_room (FilRenderer *renderer)
{
  gsize n_values = (gsize) (renderer->across.end - renderer->across.begin);
  gsize n_sums = (gsize) (renderer->across.source_end - renderer->across.source_begin) +
                 (gsize) renderer->across.n_taps;

  if (n_sums > renderer->room_sums)
    {
      for (int i = 0; i < 3; i++)
        renderer->sums[i] = g_renew (float, renderer->sums[i], n_sums);
      renderer->largest = g_renew (uint16_t, renderer->largest, n_sums);
      renderer->smallest = g_renew (uint16_t, renderer->smallest, n_sums);
      renderer->room_sums = n_sums;
    }
  for (int i = 0; i < 3; i++)
    memset (renderer->sums[i], 0, n_sums * sizeof **renderer->sums);
  if (n_values > renderer->room_values)
    {
      for (int i = 0; i < 3; i++)
        renderer->values[i] = g_renew (float, renderer->values[i], n_values);
      renderer->room_values = n_values;
    }
}

static gboolean
get_channels (Pass            *pass,
              int              y,
              const uint16_t  *channels[3],
              GError         **error)
{
  FilRenderRows *rows = &pass->renderer->rows;

  if (pass->n_channels == 3)
    return fil_render_rows_get_rgb (rows, y, channels, error);

  channels[0] = fil_render_rows_get_raw (rows, y, error);

  return channels[0] != NULL;
}

/* Extremes are those of the raw counts, whatever colours are made of them. */
static gboolean
hold_extremes (Pass     *pass,
               int       y,
               gboolean  begin,
               GError  **error)
{
  FilRenderer *renderer = pass->renderer;
  gsize bytes = (gsize) pass->n_columns * sizeof (uint16_t);
  const uint16_t *raw;

  if (pass->full > G_MAXUINT16 && !pass->paint_empty)
    return TRUE;

  raw = fil_render_rows_get_raw (&renderer->rows, y, error);
  if (raw == NULL)
    return FALSE;
  if (begin)
    {
      memcpy (renderer->largest, raw, bytes);
      memcpy (renderer->smallest, raw, bytes);
      return TRUE;
    }

  renderer->kernels->largest (raw, renderer->largest, pass->n_columns);
  if (pass->paint_empty)
    renderer->kernels->smallest (raw, renderer->smallest, pass->n_columns);

  return TRUE;
}

/* Adds up the picture rows of shown row @j, which counts from the first one
 * with any picture in it. */
static gboolean
sum_rows (Pass    *pass,
          int      j,
          GError **error)
{
  FilRenderer *renderer = pass->renderer;
  const FilRenderAxis *down = &renderer->down;
  gsize n_shown = (gsize) (down->end - down->begin);

  for (int k = 0; k < down->count[j]; k++)
    {
      int y = down->source_begin + down->first[j] + k;
      float weight = down->weights[(gsize) k * n_shown + (gsize) j];
      const uint16_t *channels[3];

      if (!get_channels (pass, y, channels, error))
        return FALSE;
      for (int c = 0; c < pass->n_channels; c++)
        if (k == 0)
          renderer->kernels->set (channels[c], weight, renderer->sums[c], pass->n_columns);
        else
          renderer->kernels->add (channels[c], weight, renderer->sums[c], pass->n_columns);
      if (!hold_extremes (pass, y, k == 0, error))
        return FALSE;
    }

  return TRUE;
}

static void
shade_row (Pass     *pass,
           uint32_t *pixels)
{
  FilRenderer *renderer = pass->renderer;
  const FilRenderAxis *across = &renderer->across;
  int n = across->end - across->begin;

  for (int c = 0; c < pass->n_channels; c++)
    renderer->kernels->gather (renderer->sums[c], across->first, across->weights,
                               across->n_taps, renderer->values[c], n);
  if (pass->n_channels == 3)
    renderer->kernels->shade_rgb ((const float *const *) renderer->values,
                                  &renderer->shades, pixels, n);
  else
    renderer->kernels->shade (renderer->values[0], &renderer->shades, pixels, n);
}

/* Most rows have nothing to paint, and this is quick to find out. */
static gboolean
row_has_full (const Pass *pass)
{
  guint largest = 0;

  for (int i = 0; i < pass->n_columns; i++)
    largest = MAX (largest, pass->renderer->largest[i]);

  return largest >= pass->full;
}

static gboolean
row_has_empty (const Pass *pass)
{
  guint smallest = G_MAXUINT16;

  for (int i = 0; i < pass->n_columns; i++)
    smallest = MIN (smallest, pass->renderer->smallest[i]);

  return smallest == 0;
}

static void
paint_row (Pass     *pass,
           uint32_t *pixels)
{
  const FilRenderer *renderer = pass->renderer;
  const FilRenderAxis *across = &renderer->across;
  gboolean full = pass->full <= G_MAXUINT16 && row_has_full (pass);
  gboolean empty = pass->paint_empty && row_has_empty (pass);

  if (!full && !empty)
    return;

  for (int i = 0; i < across->end - across->begin; i++)
    {
      gboolean any_full = FALSE, any_empty = FALSE;

      for (int k = 0; k < across->count[i]; k++)
        {
          any_full |= renderer->largest[across->first[i] + k] >= pass->full;
          any_empty |= renderer->smallest[across->first[i] + k] == 0;
        }
      if (any_full && full)
        pixels[i] = FIL_PAINT_FULL;
      else if (any_empty && empty)
        pixels[i] = FIL_PAINT_EMPTY;
    }
}

/* Magnified: a shown row that shows the same picture row as the one above. */
static gboolean
repeats_row (const FilRenderAxis *down,
             int                  j)
{
  return j > 0 && down->count[j] == 1 && down->count[j - 1] == 1 &&
         down->first[j] == down->first[j - 1];
}

static gboolean
draw_rows (Pass     *pass,
           uint32_t *pixels,
           int       width,
           gsize     row_pixels,
           GError  **error)
{
  FilRenderer *renderer = pass->renderer;
  const FilRenderAxis *across = &renderer->across, *down = &renderer->down;

  for (int j = 0; j < down->end - down->begin; j++)
    {
      uint32_t *row = pixels + (gsize) (down->begin + j) * row_pixels;

      if (repeats_row (down, j))
        {
          memcpy (row, row - row_pixels, (gsize) width * sizeof *row);
          continue;
        }
      memset (row, 0, (gsize) across->begin * sizeof *row);
      memset (row + across->end, 0, (gsize) (width - across->end) * sizeof *row);
      if (!sum_rows (pass, j, error))
        return FALSE;
      shade_row (pass, row + across->begin);
      paint_row (pass, row + across->begin);
    }

  return TRUE;
}

static void
update_shades (FilRenderer   *renderer,
               const FilLook *look)
{
  const FilLook *known = &renderer->shades_look;

  if (renderer->shades_known && known->black == look->black &&
      known->white == look->white && known->curve == look->curve)
    return;

  fil_shades_fill (&renderer->shades, look);
  renderer->shades_look = *look;
  renderer->shades_known = TRUE;
}

static void
clear_rows (uint32_t *pixels,
            int       width,
            gsize     row_pixels,
            int       begin,
            int       end)
{
  for (int y = begin; y < end; y++)
    memset (pixels + (gsize) y * row_pixels, 0, (gsize) width * sizeof *pixels);
}

static guint
full_threshold (const FilLook *look)
{
  if (!look->paint_full || !(look->full > 0.0) || look->full > G_MAXUINT16)
    return G_MAXUINT16 + 1u;

  return (guint) ceil (look->full);
}

static gboolean
region_is_sound (const FilRegion *region)
{
  return isfinite (region->x) && isfinite (region->y) &&
         isfinite (region->width) && region->width > 0.0 &&
         isfinite (region->height) && region->height > 0.0;
}

/**
 * fil_renderer_draw:
 * @frame: any format; compressed ones are decoded once and kept
 * @region: what is shown, picture pixels; transparent beyond the picture
 * @look: shades; black and white must be finite
 * @pixels: (out caller-allocates): 0xAARRGGBB in the computer's byte order,
 *   premultiplied (Cairo's ARGB32, GDK_MEMORY_DEFAULT), rows from the top
 * @width: shown pixels, 1 to 32768
 * @height: shown pixels, 1 to 32768
 * @row_pixels: pixels from one row to the next, >= @width
 *
 * Each axis by itself: sharp pixels (nearest neighbour) where the region has
 * no more pixels than are shown, else the average over each shown pixel's
 * area. A shown pixel that holds a full one is painted, however many others
 * it holds. One thread at a time may use a renderer.
 *
 * Returns: %FALSE where the frame can't be read; some rows may be written
 */
gboolean
fil_renderer_draw (FilRenderer     *renderer,
                   FilFrame        *frame,
                   const FilRegion *region,
                   const FilLook   *look,
                   uint32_t        *pixels,
                   int              width,
                   int              height,
                   gsize            row_pixels,
                   GError         **error)
{
  FilRenderAxis *across, *down;
  Pass pass;

  g_return_val_if_fail (renderer != NULL && frame != NULL && pixels != NULL, FALSE);
  g_return_val_if_fail (width > 0 && width <= LARGEST_SHOWN, FALSE);
  g_return_val_if_fail (height > 0 && height <= LARGEST_SHOWN, FALSE);
  g_return_val_if_fail (row_pixels >= (gsize) width, FALSE);
  g_return_val_if_fail (region_is_sound (region), FALSE);

  if (!fil_frame_check (frame, error))
    return FALSE;

  across = &renderer->across;
  down = &renderer->down;
  fil_render_axis_set (across, region->x, region->width, width, frame->width);
  fil_render_axis_set (down, region->y, region->height, height, frame->height);
  if (across->begin == across->end)
    down->begin = down->end = 0;
  clear_rows (pixels, width, row_pixels, 0, down->begin);
  clear_rows (pixels, width, row_pixels, down->end, height);
  if (down->begin == down->end)
    return TRUE;

  make_room (renderer);
  renderer->kernels = fil_render_kernels_for (fil_cpu_get_level ());
  update_shades (renderer, look);
  if (!fil_render_rows_begin (&renderer->rows, frame, renderer->kernels,
                              across->source_begin, across->source_end, error))
    return FALSE;

  pass = (Pass) {
    .renderer = renderer,
    .look = look,
    .n_channels = frame->format->kind == FIL_KIND_BAYER && !look->mosaic ? 3 : 1,
    .n_columns = across->source_end - across->source_begin,
    .full = full_threshold (look),
    .paint_empty = look->paint_empty,
  };

  return draw_rows (&pass, pixels, width, row_pixels, error);
}

/**
 * fil_renderer_stretch:
 * @look: its full is used, black and white are set
 *
 * As fil_look_stretch(), by the frame's own pixels: up to 256 rows, evenly
 * spread.
 */
gboolean
fil_renderer_stretch (FilRenderer *renderer,
                      FilFrame    *frame,
                      FilLook     *look,
                      GError     **error)
{
  g_autofree guint32 *histogram = NULL;
  int step;

  g_return_val_if_fail (renderer != NULL && frame != NULL && look != NULL, FALSE);

  if (!fil_frame_check (frame, error))
    return FALSE;
  renderer->kernels = fil_render_kernels_for (fil_cpu_get_level ());
  if (!fil_render_rows_begin (&renderer->rows, frame, renderer->kernels, 0, frame->width,
                              error))
    return FALSE;

  histogram = g_new0 (guint32, G_MAXUINT16 + 1);
  /* Odd, so that both kinds of a mosaic's rows are looked at. */
  step = (frame->height / STRETCH_ROWS) | 1;
  for (int y = 0; y < frame->height; y += step)
    {
      const uint16_t *row = fil_render_rows_get_raw (&renderer->rows, y, error);

      if (row == NULL)
        return FALSE;
      for (int x = 0; x < frame->width; x++)
        histogram[row[x]]++;
    }

  return fil_look_stretch (look, histogram,
                           look->full > 0.0 && look->full <= G_MAXUINT16
                             ? (guint) look->full + 1 : G_MAXUINT16 + 1,
                           1.0);
}

/* fil-figures.c: walks the rows once and lets every figure look at them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-figure-private.h"

#define FIGURE_ENTRY(name, NAME) &fil_figure_##name,

static const FilFigure *const all_figures[] = { FIL_FIGURE_LIST (FIGURE_ENTRY) };

#define VALUE_ENTRY(name) { #name, G_STRUCT_OFFSET (FilFigures, name) },

static const FilFigureValue all_values[] = { FIL_FIGURE_VALUES (VALUE_ENTRY) };

#define RING 16   /* rows; a power of two, and a band with both neighbours is in use */
G_STATIC_ASSERT (RING >= FIL_FIGURE_BAND + 2);

struct _FilFigureMeter
{
  double    full_count;
  gpointer  states[FIL_N_FIGURES];
  uint16_t *ring;        /* unpacked rows, where the frame's can't be used as they lie */
  gsize     ring_size;   /* counts */
};

/* Where a row of counts comes from. */
typedef struct
{
  const FilFrame *frame;
  FilRect         rect;
  gboolean        direct;   /* the frame's memory is 16-bit counts of this machine */
  gboolean        decoded;  /* @ring holds the whole rectangle */
  uint16_t       *ring;
} RowReader;

/* Scratch memory; the histogram is a MiB. Belongs to one thread at a time. */
FilFigureMeter *
fil_figure_meter_new (void)
{
  FilFigureMeter *meter = g_new0 (FilFigureMeter, 1);

  meter->full_count = NAN;
  for (int i = 0; i < FIL_N_FIGURES; i++)
    meter->states[i] = all_figures[i]->state_new ();

  return meter;
}

void
fil_figure_meter_free (FilFigureMeter *meter)
{
  if (meter == NULL)
    return;

  for (int i = 0; i < FIL_N_FIGURES; i++)
    all_figures[i]->state_free (meter->states[i]);
  g_free (meter->ring);
  g_free (meter);
}

/**
 * fil_figure_meter_set_full:
 * @full_count: pixels at or above it are full; NaN, as at the start: unknown
 */
void
fil_figure_meter_set_full (FilFigureMeter *meter,
                           double          full_count)
{
  g_return_if_fail (meter != NULL);

  meter->full_count = full_count;
}

static gboolean
is_direct (const FilFrame *frame)
{
  FilPacking native = G_BYTE_ORDER == G_LITTLE_ENDIAN ? FIL_PACKING_16LE : FIL_PACKING_16BE;

  return frame->format->packing == native && frame->stride % 2 == 0 &&
         GPOINTER_TO_SIZE (frame->data) % 2 == 0;
}

static gboolean
reserve_ring (FilFigureMeter *meter,
              gsize           counts,
              GError        **error)
{
  if (counts > meter->ring_size)
    {
      uint16_t *ring = g_try_malloc_n (counts, sizeof *ring);

      if (ring == NULL)
        {
          g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_NOMEM,
                       "no memory for %" G_GSIZE_FORMAT " pixels", counts);
          return FALSE;
        }
      g_free (meter->ring);
      meter->ring = ring;
      meter->ring_size = counts;
    }

  return TRUE;
}

/* A compressed picture is decoded whole, others row by row. */
static gboolean
reader_init (RowReader      *reader,
             FilFigureMeter *meter,
             const FilFrame *frame,
             const FilRect  *rect,
             GError        **error)
{
  gsize width, height;

  if (!fil_frame_check_rect (frame, rect, &reader->rect, error))
    return FALSE;

  reader->frame = frame;
  reader->direct = is_direct (frame);
  reader->decoded = frame->format->packing == FIL_PACKING_JPEG;
  width = (gsize) reader->rect.width;
  height = (gsize) reader->rect.height;
  if (!reader->direct &&
      !reserve_ring (meter, width * (reader->decoded ? height : RING), error))
    return FALSE;
  reader->ring = meter->ring;

  return !reader->decoded || fil_frame_unpack (frame, &reader->rect, reader->ring, error);
}

/* Row @y from the bottom; the last RING rows asked for stay valid. */
static const uint16_t *
read_row (RowReader *reader,
          int        y)
{
  const FilFrame *frame = reader->frame;
  int from_top = reader->rect.height - 1 - y;
  gsize width = (gsize) reader->rect.width;
  FilRect line = { reader->rect.x, reader->rect.y + from_top, reader->rect.width, 1 };
  uint16_t *row;

  if (reader->decoded)
    return reader->ring + width * (gsize) from_top;
  if (reader->direct)
    {
      int memory_row = frame->bottom_up ? frame->height - 1 - line.y : line.y;

      return (const uint16_t *) (gconstpointer)
        (frame->data + frame->stride * (gsize) memory_row) + line.x;
    }

  row = reader->ring + width * (gsize) (y % RING);
  fil_frame_unpack (frame, &line, row, NULL);   /* was checked: can't fail */

  return row;
}

static void
show_rows (FilFigureMeter      *meter,
           const FilFigureBand *band,
           FilFiguresSet        set)
{
  for (int k = 0; k < band->n; k++)
    {
      const uint16_t *const *rows = band->rows + k;
      const FilFigureRows near = { band->y + k, rows[0], rows[1], rows[2] };

      for (int i = 0; i < FIL_N_FIGURES; i++)
        if ((set & (1 << i)) && all_figures[i]->row != NULL)
          all_figures[i]->row (meter->states[i], &near);
    }

  for (int i = 0; i < FIL_N_FIGURES; i++)
    if ((set & (1 << i)) && all_figures[i]->band != NULL)
      all_figures[i]->band (meter->states[i], band);
}

static void
walk_rows (FilFigureMeter         *meter,
           RowReader              *reader,
           const FilFigurePicture *picture)
{
  FilFigureBand band = { 0 };
  const uint16_t *below = NULL, *next = read_row (reader, 0);

  for (int y = 0; y < picture->height; y += band.n)
    {
      band.y = y;
      band.n = MIN (FIL_FIGURE_BAND, picture->height - y);
      band.rows[0] = below;
      for (int k = 1; k <= band.n; k++)
        {
          below = band.rows[k] = next;
          next = y + k < picture->height ? read_row (reader, y + k) : NULL;
        }
      band.rows[band.n + 1] = next;
      show_rows (meter, &band, picture->set);
    }
}

static void
clear_figures (FilFigures *figures)
{
  for (gsize i = 0; i < G_N_ELEMENTS (all_values); i++)
    G_STRUCT_MEMBER (double, figures, all_values[i].offset) = NAN;
}

/**
 * fil_figure_meter_measure:
 * @frame: a frame of any format
 * @rect: (nullable): inside the picture, from the top left; %NULL: all of it
 * @set: what to measure; values not asked for are NaN
 * @figures: (out): untouched on failure
 * @error: return location
 *
 * One pass over the rows. Sums are whole numbers and exact, so that the plain
 * code and the vector clones, and any two runs, agree to the last bit.
 *
 * Returns: %TRUE, or %FALSE with %FIL_FRAME_ERROR
 */
gboolean
fil_figure_meter_measure (FilFigureMeter *meter,
                          const FilFrame *frame,
                          const FilRect  *rect,
                          FilFiguresSet   set,
                          FilFigures     *figures,
                          GError        **error)
{
  RowReader reader;
  FilFigurePicture picture;
  double full;

  g_return_val_if_fail (meter != NULL && frame != NULL && figures != NULL, FALSE);

  if (!reader_init (&reader, meter, frame, rect, error))
    return FALSE;

  full = ceil (meter->full_count);
  picture.width = reader.rect.width;
  picture.height = reader.rect.height;
  picture.full_known = !isnan (full);
  picture.full = picture.full_known ? (guint32) CLAMP (full, 0.0, 65536.0) : 65536;
  picture.set = set;
  picture.level = fil_cpu_get_level ();

  for (int i = 0; i < FIL_N_FIGURES; i++)
    if (set & (1 << i))
      all_figures[i]->begin (meter->states[i], &picture);
  walk_rows (meter, &reader, &picture);

  clear_figures (figures);
  for (int i = 0; i < FIL_N_FIGURES; i++)
    if (set & (1 << i))
      all_figures[i]->end (meter->states[i], meter, figures);

  return TRUE;
}

/**
 * fil_figure_meter_get_histogram:
 * @n_bins: (out): bins, a power of two above the largest count
 *
 * Returns: (transfer none): pixels of each count in the last picture that was
 *   measured with %FIL_FIGURES_HISTOGRAM, valid until the next one
 */
const guint32 *
fil_figure_meter_get_histogram (FilFigureMeter *meter,
                                guint          *n_bins)
{
  g_return_val_if_fail (meter != NULL && n_bins != NULL, NULL);

  return fil_figure_histogram_get (meter->states[FIL_FIGURE_INDEX_HISTOGRAM], n_bins);
}

/**
 * fil_figures_measure_double:
 * @pixels: width × height numbers of any kind, the bottom row first
 * @full_count: NaN: unknown
 * @figures: (out): everything but the histogram
 *
 * For cubes that don't fit 16 bits. Pixels that are not finite are left out,
 * and so is every gradient that touches one. Keeps no state: thread-safe.
 */
void
fil_figures_measure_double (const double *pixels,
                            int           width,
                            int           height,
                            double        full_count,
                            FilFigures   *figures)
{
  g_return_if_fail (pixels != NULL && figures != NULL && width > 0 && height > 0);

  clear_figures (figures);
  for (int i = 0; i < FIL_N_FIGURES; i++)
    all_figures[i]->measure_double (pixels, width, height, full_count, figures);
}

/* Returns: every value's name, in the order of meson.build */
const FilFigureValue *
fil_figures_list_values (guint *n_values)
{
  g_return_val_if_fail (n_values != NULL, NULL);

  *n_values = G_N_ELEMENTS (all_values);

  return all_values;
}

double
fil_figures_get (const FilFigures     *figures,
                 const FilFigureValue *value)
{
  g_return_val_if_fail (figures != NULL && value != NULL, NAN);

  return G_STRUCT_MEMBER (double, figures, value->offset);
}

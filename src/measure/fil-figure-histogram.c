/* fil-figure-histogram.c: how many pixels there are of each count
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-figure-private.h"

#define N_COUNTS 65536
#define N_TABLES 4

/* Neighbouring pixels are often equal. With one table each addition would
 * wait for the last one's store, so four take turns. The odd distance keeps
 * the same count of two tables apart in the address bits that the processor
 * compares first. */
#define TABLE_DISTANCE (N_COUNTS + 1040)

typedef struct
{
  guint32 *tables;    /* N_TABLES, and the first one holds the merged counts */
  guint    n_bins;    /* a power of two; all above is zero */
  gboolean merged;
  int      width;
} Histogram;

static gpointer
histogram_new (void)
{
  Histogram *histogram = g_new0 (Histogram, 1);

  histogram->tables = g_new0 (guint32, N_TABLES * TABLE_DISTANCE);
  histogram->n_bins = 1;
  histogram->merged = TRUE;

  return histogram;
}

static void
histogram_free (gpointer state)
{
  Histogram *histogram = state;

  g_free (histogram->tables);
  g_free (histogram);
}

static void
histogram_begin (gpointer                state,
                 const FilFigurePicture *picture)
{
  Histogram *histogram = state;

  for (int i = 0; i < N_TABLES; i++)
    memset (histogram->tables + i * TABLE_DISTANCE, 0, histogram->n_bins * sizeof (guint32));
  histogram->n_bins = 1;
  histogram->merged = FALSE;
  histogram->width = picture->width;
}

static void
histogram_row (gpointer             state,
               const FilFigureRows *rows)
{
  Histogram *histogram = state;
  guint32 *t0 = histogram->tables, *t1 = t0 + TABLE_DISTANCE;
  guint32 *t2 = t1 + TABLE_DISTANCE, *t3 = t2 + TABLE_DISTANCE;
  const uint16_t *row = rows->here;
  guint64 bits = 0;
  int i;

  /* Four counts a load; which table gets which doesn't matter. */
  for (i = 0; i + 8 <= histogram->width; i += 8)
    {
      guint64 a, b;

      memcpy (&a, row + i, sizeof a);
      memcpy (&b, row + i + 4, sizeof b);
      bits |= a | b;
      t0[a & 0xffff]++;
      t1[(a >> 16) & 0xffff]++;
      t2[(a >> 32) & 0xffff]++;
      t3[a >> 48]++;
      t0[b & 0xffff]++;
      t1[(b >> 16) & 0xffff]++;
      t2[(b >> 32) & 0xffff]++;
      t3[b >> 48]++;
    }
  bits |= bits >> 32;
  bits |= bits >> 16;
  bits &= 0xffff;
  for (; i < histogram->width; i++)
    {
      t0[row[i]]++;
      bits |= row[i];
    }

  while (histogram->n_bins <= bits)
    histogram->n_bins *= 2;
}

/* Merges on the first call, so that figures may ask in any order. */
const guint32 *
fil_figure_histogram_get (gpointer state,
                          guint   *n_bins)
{
  Histogram *histogram = state;
  guint32 *sum = histogram->tables;

  for (int k = 1; k < N_TABLES && !histogram->merged; k++)
    {
      const guint32 *part = histogram->tables + k * TABLE_DISTANCE;

      for (guint i = 0; i < histogram->n_bins; i++)
        sum[i] += part[i];
    }
  histogram->merged = TRUE;
  *n_bins = histogram->n_bins;

  return sum;
}

static void
histogram_end (gpointer        state,
               FilFigureMeter *meter,
               FilFigures     *figures)
{
}

static void
histogram_measure_double (const double *pixels,
                          int           width,
                          int           height,
                          double        full_count,
                          FilFigures   *figures)
{
}

const FilFigure fil_figure_histogram = {
  histogram_new, histogram_free, histogram_begin, histogram_row, histogram_end,
  histogram_measure_double
};

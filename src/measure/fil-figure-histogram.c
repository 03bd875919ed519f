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

/* Counts that spread wider than this over four tables leave the nearest
 * cache; one table is faster then, unless neighbours are equal. */
#define FEW_LARGEST 8191

typedef struct
{
  guint16 *tables;    /* N_TABLES of 16 bits, small enough for the cache */
  guint32 *counts;    /* what is no longer in the tables; in the end everything */
  guint    n_bins;    /* a power of two; all above is zero, */
  guint    n_spread;  /* and above this in all tables but the first */
  guint    row_bits;  /* all bits that occurred in the last row */
  guint    fill;      /* at or above every table entry, 65536: no bound */
  int      width;
} Histogram;

static gpointer
histogram_new (void)
{
  Histogram *histogram = g_new0 (Histogram, 1);

  histogram->tables = g_new0 (guint16, N_TABLES * TABLE_DISTANCE);
  histogram->counts = g_new0 (guint32, N_COUNTS);
  histogram->n_bins = histogram->n_spread = 1;

  return histogram;
}

static void
histogram_free (gpointer state)
{
  Histogram *histogram = state;

  g_free (histogram->tables);
  g_free (histogram->counts);
  g_free (histogram);
}

static void
clear_tables (Histogram *histogram)
{
  memset (histogram->tables, 0, histogram->n_bins * sizeof (guint16));
  for (int i = 1; i < N_TABLES; i++)
    memset (histogram->tables + i * TABLE_DISTANCE, 0, histogram->n_spread * sizeof (guint16));
  histogram->fill = 0;
}

static void
histogram_begin (gpointer                state,
                 const FilFigurePicture *picture)
{
  Histogram *histogram = state;

  clear_tables (histogram);
  memset (histogram->counts, 0, histogram->n_bins * sizeof (guint32));
  histogram->n_bins = histogram->n_spread = 1;
  histogram->row_bits = 0;
  histogram->width = picture->width;
}

/* Moves the tables' entries over to the counts. */
static void
empty_tables (Histogram *histogram)
{
  const guint16 *t0 = histogram->tables, *t1 = t0 + TABLE_DISTANCE;
  const guint16 *t2 = t1 + TABLE_DISTANCE, *t3 = t2 + TABLE_DISTANCE;
  guint32 *counts = histogram->counts;

  for (guint i = 0; i < histogram->n_bins; i++)
    counts[i] += t0[i];
  for (guint i = 0; i < histogram->n_spread; i++)
    counts[i] += (guint32) t1[i] + t2[i] + t3[i];
  clear_tables (histogram);
}

/* Where a table entry may run over, once in 65536 times, the caller gives
 * @over: that is written down there. */
static inline void
tally (guint16 *table,
       guint32 *over,
       guint64  count)
{
  if (G_UNLIKELY (++table[count] == 0) && over != NULL)
    over[count] += 65536;
}

/* Returns: all bits that occur. Four counts a load; which table gets which
 * doesn't matter. @distance: from table to table, 0 for one alone;
 * @over: (nullable): see tally() */
static inline guint
tally_row (const uint16_t *row,
           int             width,
           guint16        *t0,
           gsize           distance,
           guint32        *over)
{
  guint16 *t1 = t0 + distance, *t2 = t1 + distance, *t3 = t2 + distance;
  guint64 bits = 0;
  int i;

  for (i = 0; i + 8 <= width; i += 8)
    {
      guint64 a, b;

      memcpy (&a, row + i, sizeof a);
      memcpy (&b, row + i + 4, sizeof b);
      bits |= a | b;
      tally (t0, over, a & 0xffff);
      tally (t1, over, (a >> 16) & 0xffff);
      tally (t2, over, (a >> 32) & 0xffff);
      tally (t3, over, a >> 48);
      tally (t0, over, b & 0xffff);
      tally (t1, over, (b >> 16) & 0xffff);
      tally (t2, over, (b >> 32) & 0xffff);
      tally (t3, over, b >> 48);
    }
  for (; i < width; i++)
    {
      tally (t0, over, row[i]);
      bits |= row[i];
    }
  bits |= bits >> 32;

  return (guint) ((bits | bits >> 16) & 0xffff);
}

/* Whether equal counts stand close together: one look at every 64th pixel. */
static gboolean
repeats (const uint16_t *row,
         int             width)
{
  int equal = 0, looks = 0;

  for (int i = 0; i + 4 < width; i += 64, looks++)
    equal += row[i] == row[i + 1] || row[i] == row[i + 2] || row[i] == row[i + 3];

  return equal * 4 > looks;
}

/* Three calls, so that the compiler makes three loops. Counts that fit few
 * bins leave no entry to look at: their tables are emptied before one can be
 * full, which would take too long for many bins. */
static void
histogram_row (gpointer             state,
               const FilFigureRows *rows)
{
  Histogram *histogram = state;
  guint16 *tables = histogram->tables;
  guint32 *counts = histogram->counts;
  int width = histogram->width;
  guint share = (guint) width / N_TABLES + 8;   /* of one table, with the row's rest */
  gboolean few, one;

  if (rows->y == 0)   /* later the last row tells well enough what will come */
    histogram->row_bits = fil_figure_or_bits (rows->here, width);
  few = histogram->row_bits <= FEW_LARGEST && share <= G_MAXUINT16;
  one = !few && !repeats (rows->here, width);

  if (few && histogram->fill + share > G_MAXUINT16)
    empty_tables (histogram);
  histogram->fill = few ? histogram->fill + share : G_MAXUINT16 + 1;

  if (few)
    histogram->row_bits = tally_row (rows->here, width, tables, TABLE_DISTANCE, NULL);
  else if (one)
    histogram->row_bits = tally_row (rows->here, width, tables, 0, counts);
  else
    histogram->row_bits = tally_row (rows->here, width, tables, TABLE_DISTANCE, counts);

  while (histogram->n_bins <= histogram->row_bits)
    histogram->n_bins *= 2;
  if (!one)
    while (histogram->n_spread <= histogram->row_bits)
      histogram->n_spread *= 2;
}

/* Empties the tables on the first call, so that figures may ask in any order. */
const guint32 *
fil_figure_histogram_get (gpointer state,
                          guint   *n_bins)
{
  Histogram *histogram = state;

  if (histogram->fill > 0)
    empty_tables (histogram);
  *n_bins = histogram->n_bins;

  return histogram->counts;
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
  histogram_new, histogram_free, histogram_begin, histogram_row, NULL, histogram_end,
  histogram_measure_double
};

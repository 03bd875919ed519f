/* fil-figure-private.h: what each figure of the whole picture provides
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-cpu.h"
#include "fil-figures.h"

G_BEGIN_DECLS

/* Sums of squares over any picture: exact, whatever the order. */
typedef unsigned __int128 FilWide;

/**
 * FilFigurePicture:
 * @full: pixels at or above it are full; above 65535: there is no such count
 * @full_known: FALSE: the full fraction is NaN
 */
typedef struct
{
  int           width, height;
  guint32       full;
  gboolean      full_known;
  FilFiguresSet set;
  FilCpuLevel   level;
} FilFigurePicture;

/**
 * FilFigureRows:
 * @y: the row's number from the bottom, 0 to height − 1
 * @here: the row's counts
 * @below: row y − 1, NULL for the first
 * @above: row y + 1, NULL for the last
 */
typedef struct
{
  int             y;
  const uint16_t *below, *here, *above;
} FilFigureRows;

/* Rows that a figure may take at once: enough to share work between them, few
 * enough to stay in the nearest cache. */
#define FIL_FIGURE_BAND 8

/**
 * FilFigureBand:
 * @y: the first row's number from the bottom
 * @n: rows in this band: FIL_FIGURE_BAND, or fewer at the top of the picture
 * @rows: row y − 1 (%NULL for the first band), the band's own, and row y + n
 *   (%NULL for the last band)
 */
typedef struct
{
  int             y, n;
  const uint16_t *rows[FIL_FIGURE_BAND + 2];
} FilFigureBand;

/**
 * FilFigure:
 * @state_new: its memory, kept from picture to picture
 * @begin: a new picture; never smaller than 1 × 1
 * @row: (nullable): called once for each row, the bottom one first, while it is
 *   in cache
 * @band: (nullable): called once for each band, the bottom one first
 * @end: fills in its own values of @figures
 * @measure_double: the same values of numbers of any kind, plainly; pixels
 *   that are not finite are left out
 */
typedef struct
{
  gpointer (*state_new)      (void);
  void     (*state_free)     (gpointer                state);
  void     (*begin)          (gpointer                state,
                              const FilFigurePicture *picture);
  void     (*row)            (gpointer                state,
                              const FilFigureRows    *rows);
  void     (*band)           (gpointer                state,
                              const FilFigureBand    *band);
  void     (*end)            (gpointer                state,
                              FilFigureMeter         *meter,
                              FilFigures             *figures);
  void     (*measure_double) (const double           *pixels,
                              int                     width,
                              int                     height,
                              double                  full_count,
                              FilFigures             *figures);
} FilFigure;

#define FIL_FIGURE_EXTERN(name, NAME) extern const FilFigure fil_figure_##name;
FIL_FIGURE_LIST (FIL_FIGURE_EXTERN)
#undef FIL_FIGURE_EXTERN

/* fil-figure-histogram.c: the counts so far, merged */
const guint32 *fil_figure_histogram_get (gpointer state,
                                         guint   *n_bins);

/* Variance of a population of @n whole numbers from their exact sums. */
static inline double
fil_figure_variance (FilWide n,
                     FilWide sum,
                     FilWide sum_of_squares)
{
  return (double) (n * sum_of_squares - sum * sum) / ((double) n * (double) n);
}

/* All bits that occur in the row: at or above its largest count. */
static inline uint16_t
fil_figure_or_bits (const uint16_t *row,
                    int             n)
{
  uint16_t bits = 0;

  for (int i = 0; i < n; i++)
    bits |= row[i];

  return bits;
}

G_END_DECLS

/* fil-figure-gradients.c: Brenner, Tenengrad, variance of the Laplacian
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-gradient-sums.h"

#define RING 4   /* split rows; a power of two, and three are in use */

typedef struct
{
  FilFigurePicture picture;
  FilWide          brenner, tenengrad, laplacian_squares;
  __int128         laplacian;

  /* Vector clones only. */
  uint16_t         bits[RING];     /* all bits that occur in a row, by y % RING */
  gint16          *split;          /* RING rows of high bytes, then as many of low ones */
  gsize            split_size;
  int              split_y[RING];  /* which row lies there, −1: none */
} Gradients;

static gpointer
gradients_new (void)
{
  return g_new0 (Gradients, 1);
}

static void
gradients_free (gpointer state)
{
  Gradients *gradients = state;

  g_free (gradients->split);
  g_free (gradients);
}

static void
gradients_begin (gpointer                state,
                 const FilFigurePicture *picture)
{
  Gradients *gradients = state;
  gsize needed = 2 * RING * (gsize) picture->width;

  if (needed > gradients->split_size)
    {
      g_free (gradients->split);
      gradients->split = g_new (gint16, needed);
      gradients->split_size = needed;
    }
  gradients->picture = *picture;
  gradients->brenner = gradients->tenengrad = gradients->laplacian_squares = 0;
  gradients->laplacian = 0;
  for (int i = 0; i < RING; i++)
    gradients->split_y[i] = -1;
}

/* The plain reference; the clones below must give the same sums. */
static gint64
add_row_scalar (const FilFigureRows *rows,
                int                  width,
                FilGradientSums     *sums)
{
  const uint16_t *a = rows->below, *b = rows->here, *c = rows->above;
  gint64 laplacian = 0;

  for (int x = 1; x < width - 1; x++)
    {
      int gx = a[x + 1] + 2 * b[x + 1] + c[x + 1] - a[x - 1] - 2 * b[x - 1] - c[x - 1];
      int gy = c[x - 1] + 2 * c[x] + c[x + 1] - a[x - 1] - 2 * a[x] - a[x + 1];
      int l = a[x] + c[x] + b[x - 1] + b[x + 1] - 4 * b[x];
      int d = b[x + 1] - b[x - 1];

      sums->brenner += (guint64) ((gint64) d * d);
      sums->tenengrad += (guint64) ((gint64) gx * gx + (gint64) gy * gy);
      sums->laplacian_squares += (guint64) ((gint64) l * l);
      laplacian += l;
    }

  return laplacian;
}

/* First and last row: Brenner's pairs alone have all their pixels. */
static void
add_edge_row (const uint16_t  *row,
              int              width,
              FilGradientSums *sums)
{
  for (int x = 1; x < width - 1; x++)
    {
      int d = row[x + 1] - row[x - 1];

      sums->brenner += (guint64) ((gint64) d * d);
    }
}

#if FIL_CPU_HAVE_CLONES
static gint64
sum_interior (const uint16_t *row,
              int             width)
{
  gint64 sum = 0;

  for (int x = 1; x < width - 1; x++)
    sum += row[x];

  return sum;
}

/* The sum of second differences is that of the first ones at both ends, so
 * the Laplacian's own sum needs the picture's edges only. */
static void
add_laplacian_edges (Gradients           *gradients,
                     const FilFigureRows *rows)
{
  const uint16_t *b = rows->here;
  int width = gradients->picture.width;

  if (rows->below == NULL)
    gradients->laplacian += sum_interior (b, width) - sum_interior (rows->above, width);
  else if (rows->above == NULL)
    gradients->laplacian += sum_interior (b, width) - sum_interior (rows->below, width);
  else
    gradients->laplacian += b[0] - b[1] + b[width - 1] - b[width - 2];
}

static FilSplitRow
split_row (Gradients      *gradients,
           const uint16_t *row,
           int             y)
{
  gsize width = (gsize) gradients->picture.width, slot = (gsize) (y % RING);
  gint16 *high = gradients->split + slot * width;
  gint16 *low = gradients->split + (RING + slot) * width;

  if (gradients->split_y[slot] != y)
    fil_gradient_split_avx2 (row, (int) width, high, low);
  gradients->split_y[slot] = y;

  return (FilSplitRow) { high, low };
}

static void
add_row_avx2 (Gradients           *gradients,
              const FilFigureRows *rows,
              FilGradientSums     *sums)
{
  int width = gradients->picture.width, y = rows->y;
  uint16_t bits = gradients->bits[(y - 1) % RING] | gradients->bits[y % RING] |
                  gradients->bits[(y + 1) % RING];
  FilSplitRow below, here, above;

  if (bits <= FIL_GRADIENT_NARROW_LARGEST)
    {
      fil_gradient_narrow_avx2 (rows, width, bits, sums);
      return;
    }

  below = split_row (gradients, rows->below, y - 1);
  here = split_row (gradients, rows->here, y);
  above = split_row (gradients, rows->above, y + 1);
  fil_gradient_split_row_avx2 (&below, &here, &above, width, sums);
}

static void
note_bits (Gradients           *gradients,
           const FilFigureRows *rows)
{
  int width = gradients->picture.width;

  if (rows->below == NULL)
    gradients->bits[0] = fil_gradient_or_bits_avx2 (rows->here, width);
  if (rows->above != NULL)
    gradients->bits[(rows->y + 1) % RING] = fil_gradient_or_bits_avx2 (rows->above, width);
}
#endif

static void
gradients_row (gpointer             state,
               const FilFigureRows *rows)
{
  Gradients *gradients = state;
  int width = gradients->picture.width;
  gboolean inside = rows->below != NULL && rows->above != NULL;
  gboolean vectors = FALSE;
  FilGradientSums sums = { 0 };

#if FIL_CPU_HAVE_CLONES
  vectors = gradients->picture.level >= FIL_CPU_AVX2 && gradients->picture.height >= 3 &&
            width >= FIL_GRADIENT_LEAST_WIDTH;
  if (vectors)
    {
      note_bits (gradients, rows);
      add_laplacian_edges (gradients, rows);
      if (inside)
        add_row_avx2 (gradients, rows, &sums);
    }
#endif
  if (!inside)
    add_edge_row (rows->here, width, &sums);
  else if (!vectors)
    gradients->laplacian += add_row_scalar (rows, width, &sums);

  gradients->brenner += sums.brenner;
  gradients->tenengrad += sums.tenengrad;
  gradients->laplacian_squares += sums.laplacian_squares;
}

static void
gradients_end (gpointer        state,
               FilFigureMeter *meter,
               FilFigures     *figures)
{
  Gradients *gradients = state;
  gint64 width = gradients->picture.width, height = gradients->picture.height;
  FilWide inside = (FilWide) (width - 2) * (FilWide) (height - 2);
  /* Squared below: the sign doesn't matter. */
  FilWide sum = (FilWide) (gradients->laplacian < 0 ? -gradients->laplacian
                                                    : gradients->laplacian);

  if (width < 3)
    return;

  figures->brenner = (double) gradients->brenner / (double) ((width - 2) * height);
  if (height < 3)
    return;

  figures->tenengrad = (double) gradients->tenengrad / (double) inside;
  figures->laplacian_variance =
    fil_figure_variance (inside, sum, gradients->laplacian_squares);
}

/* Running mean and variance lose nothing to large offsets.
 * Source: Welford 1962, Technometrics 4, 419 (from memory). */
typedef struct
{
  double n, mean, squares;
} Running;

static void
running_add (Running *running,
             double   value)
{
  double before = value - running->mean;

  if (!isfinite (value))
    return;

  running->n += 1.0;
  running->mean += before / running->n;
  running->squares += before * (value - running->mean);
}

static void
gradients_measure_double (const double *pixels,
                          int           width,
                          int           height,
                          double        full_count,
                          FilFigures   *figures)
{
  Running brenner = { 0 }, tenengrad = { 0 }, laplacian = { 0 };

  for (int y = 0; y < height; y++)
    for (int x = 1; x < width - 1; x++)
      {
        const double *b = pixels + (gsize) y * (gsize) width + x;
        const double *a, *c;
        double d = b[1] - b[-1], gx, gy;

        running_add (&brenner, d * d);
        if (y == 0 || y == height - 1)
          continue;
        a = b - width;
        c = b + width;
        gx = a[1] - a[-1] + 2.0 * d + c[1] - c[-1];
        gy = c[-1] - a[-1] + 2.0 * (c[0] - a[0]) + c[1] - a[1];
        running_add (&tenengrad, gx * gx + gy * gy);
        running_add (&laplacian, a[0] + c[0] + b[-1] + b[1] - 4.0 * b[0]);
      }

  if (brenner.n > 0.0)
    figures->brenner = brenner.mean;
  if (tenengrad.n > 0.0)
    figures->tenengrad = tenengrad.mean;
  if (laplacian.n > 0.0)
    figures->laplacian_variance = laplacian.squares / laplacian.n;
}

const FilFigure fil_figure_gradients = {
  gradients_new, gradients_free, gradients_begin, gradients_row, gradients_end,
  gradients_measure_double
};

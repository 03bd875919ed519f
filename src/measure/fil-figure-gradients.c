/* fil-figure-gradients.c: Brenner, Tenengrad, variance of the Laplacian
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-gradient-sums.h"

/* One instruction set's kernels; see fil-gradient-sums.h. */
typedef struct
{
  FilCpuLevel level;
  int         least_width;
  void      (*narrow) (const FilFigureBand *band,
                       int                  width,
                       uint16_t             bits,
                       FilGradientSums     *sums);
  void      (*split)  (const FilFigureBand *band,
                       int                  width,
                       FilGradientSums     *sums);
} Kernels;

typedef struct
{
  FilFigurePicture picture;
  const Kernels   *kernels;                     /* NULL: the plain reference */
  FilWide          brenner, tenengrad, laplacian_squares;
  __int128         laplacian;
  uint16_t         bits[FIL_FIGURE_BAND + 2];   /* all that occur in each row of the band */
} Gradients;

static gpointer
gradients_new (void)
{
  return g_new0 (Gradients, 1);
}

static const Kernels *
choose_kernels (const FilFigurePicture *picture)
{
#if FIL_CPU_HAVE_CLONES
  static const Kernels all[] = {
    { FIL_CPU_AVX512, 34, fil_gradient_narrow_avx512, fil_gradient_split_avx512 },
    { FIL_CPU_AVX2, 18, fil_gradient_narrow_avx2, fil_gradient_split_avx2 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (all) && picture->height >= 3; i++)
    if (picture->level >= all[i].level && picture->width >= all[i].least_width)
      return &all[i];
#endif

  return NULL;
}

static void
gradients_begin (gpointer                state,
                 const FilFigurePicture *picture)
{
  Gradients *gradients = state;

  *gradients = (Gradients) { .picture = *picture, .kernels = choose_kernels (picture) };
}

/* The plain reference; the clones below must give the same sums. */
static gint64
add_row_scalar (const uint16_t  *a,
                const uint16_t  *b,
                const uint16_t  *c,
                int              width,
                FilGradientSums *sums)
{
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
static gint64
sum_laplacian_edges (const uint16_t *below,
                     const uint16_t *here,
                     const uint16_t *above,
                     int             width)
{
  if (below == NULL)
    return sum_interior (here, width) - sum_interior (above, width);
  if (above == NULL)
    return sum_interior (here, width) - sum_interior (below, width);

  return here[0] - here[1] + here[width - 1] - here[width - 2];
}

/* Bands are full but for the last: two of the rows were in the one before. */
static uint16_t
note_bits (Gradients           *gradients,
           const FilFigureBand *band)
{
  uint16_t *bits = gradients->bits, all = 0;
  gboolean first = band->y == 0;

  bits[0] = bits[FIL_FIGURE_BAND];
  bits[1] = bits[FIL_FIGURE_BAND + 1];
  for (int i = first ? 1 : 2; i <= band->n + 1; i++)
    bits[i] = band->rows[i] == NULL
                ? 0
                : fil_gradient_or_bits_avx2 (band->rows[i], gradients->picture.width);
  for (int i = 0; i <= band->n + 1; i++)
    all |= bits[i];

  return all;
}

/* The rows of @band that have one above and one below. */
static FilFigureBand
cut_inside (const FilFigureBand *band)
{
  FilFigureBand inside = *band;

  if (inside.rows[0] == NULL)
    {
      memmove (inside.rows, inside.rows + 1, sizeof inside.rows - sizeof inside.rows[0]);
      inside.y++;
      inside.n--;
    }
  if (inside.rows[inside.n + 1] == NULL)
    inside.n--;

  return inside;
}

static void
add_band (Gradients           *gradients,
          const FilFigureBand *band,
          FilGradientSums     *sums)
{
  int width = gradients->picture.width;
  uint16_t bits = note_bits (gradients, band);
  FilFigureBand inside = cut_inside (band);
  const uint16_t *const *rows = band->rows;

  for (int i = 1; i <= band->n; i++)
    gradients->laplacian += sum_laplacian_edges (rows[i - 1], rows[i], rows[i + 1], width);
  if (inside.n <= 0)
    return;

  if (bits <= FIL_GRADIENT_NARROW_LARGEST)
    gradients->kernels->narrow (&inside, width, bits, sums);
  else
    gradients->kernels->split (&inside, width, sums);
}
#endif

static void
gradients_band (gpointer             state,
                const FilFigureBand *band)
{
  Gradients *gradients = state;
  int width = gradients->picture.width;
  FilGradientSums sums = { 0 };

#if FIL_CPU_HAVE_CLONES
  if (gradients->kernels != NULL)
    add_band (gradients, band, &sums);
#endif
  for (int i = 1; i <= band->n; i++)
    {
      const uint16_t *a = band->rows[i - 1], *b = band->rows[i], *c = band->rows[i + 1];

      if (a == NULL || c == NULL)
        add_edge_row (b, width, &sums);
      else if (gradients->kernels == NULL)
        gradients->laplacian += add_row_scalar (a, b, c, width, &sums);
    }

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
  gradients_new, g_free, gradients_begin, NULL, gradients_band, gradients_end,
  gradients_measure_double
};

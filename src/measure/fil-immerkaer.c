/* fil-immerkaer.c: the noise of a picture from the picture itself
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-immerkaer.h"

/* σ = √(π/2) / (6 (W − 2) (H − 2)) · Σ |c * N|, N the difference of two
 * Laplacians, 1 −2 1 −2 4 −2 1 −2 1, which smooth structure hardly touches.
 * Source: Immerkær 1996, "Fast noise variance estimation", Computer Vision
 * and Image Understanding 64, 300 (from memory). */
static double
variance_from_sum (double sum,
                   int    width,
                   int    height)
{
  double sd = sqrt (G_PI / 2.0) * sum / (6.0 * (width - 2.0) * (height - 2.0));

  return sd * sd;
}

/**
 * fil_immerkaer_variance:
 * @pixels: width × height numbers without gaps
 * @width: at least 3
 * @height: at least 3
 *
 * Returns: variance of the white noise, in squares of the pixels' unit
 */
double
fil_immerkaer_variance (const double *pixels,
                        int           width,
                        int           height)
{
  double sum = 0.0;

  for (int y = 1; y < height - 1; y++)
    {
      const double *b = pixels + (gsize) y * (gsize) width, *a = b - width, *c = b + width;

      for (int x = 1; x < width - 1; x++)
        sum += fabs (a[x - 1] + a[x + 1] + c[x - 1] + c[x + 1] + 4.0 * b[x] -
                     2.0 * (a[x] + b[x - 1] + b[x + 1] + c[x]));
    }

  return variance_from_sum (sum, width, height);
}

/* The same of counts; the sum is exact. */
double
fil_immerkaer_variance_u16 (const uint16_t *pixels,
                            int             width,
                            int             height)
{
  guint64 sum = 0;

  for (int y = 1; y < height - 1; y++)
    {
      const uint16_t *b = pixels + (gsize) y * (gsize) width, *a = b - width, *c = b + width;
      guint64 row = 0;

      for (int x = 1; x < width - 1; x++)
        row += (guint64) ABS (a[x - 1] + a[x + 1] + c[x - 1] + c[x + 1] + 4 * b[x] -
                              2 * (a[x] + b[x - 1] + b[x + 1] + c[x]));
      sum += row;
    }

  return variance_from_sum ((double) sum, width, height);
}

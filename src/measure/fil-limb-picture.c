/* fil-limb-picture.c: a frame's light at lower resolutions
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-limb-private.h"

#define N_BINS 4096

/* So much of the frame may be darker or brighter than its dark and bright
 * parts: dust and hot pixels hold less, a corner of sky more. */
#define TAIL_SHARE 0.004

static void
make_room (FilLimbPicture *picture,
           int             width,
           int             height,
           int             step)
{
  gsize size = (gsize) width * (gsize) height;

  if (size > picture->allocated)
    {
      g_free (picture->values);
      picture->values = g_new (float, size);
      picture->allocated = size;
    }
  picture->width = width;
  picture->height = height;
  picture->step = step;
}

static void
add_row (const uint16_t *counts,
         int             n,
         guint32        *sums)
{
  for (int i = 0; i < n; i++)
    sums[i] += counts[i];
}

/* Means of @step × @step pixels; what is left at the right and the bottom is
 * left out. An even step takes whole cells of a Bayer pattern. */
void
fil_limb_picture_reduce (FilLimbPicture *picture,
                         const uint16_t *counts,
                         int             width,
                         int             height,
                         int             step)
{
  int columns = width / step, rows = height / step;
  g_autofree guint32 *sums = g_new (guint32, columns * step);
  float scale = 1.0f / (float) (step * step);

  make_room (picture, columns, rows, step);
  for (int j = 0; j < rows; j++)
    {
      float *row = picture->values + (gsize) j * (gsize) columns;

      memset (sums, 0, sizeof (guint32) * (gsize) (columns * step));
      for (int k = 0; k < step; k++)
        add_row (counts + (gsize) (j * step + k) * (gsize) width, columns * step, sums);
      for (int i = 0; i < columns; i++)
        {
          guint32 sum = 0;

          for (int k = 0; k < step; k++)
            sum += sums[i * step + k];
          row[i] = scale * (float) sum;
        }
    }
}

void
fil_limb_picture_halve (FilLimbPicture       *half,
                        const FilLimbPicture *picture)
{
  int pitch = picture->width;

  make_room (half, picture->width / 2, picture->height / 2, 2 * picture->step);
  for (int j = 0; j < half->height; j++)
    {
      const float *a = picture->values + (gsize) (2 * j) * (gsize) pitch, *b = a + pitch;
      float *row = half->values + (gsize) j * (gsize) half->width;

      for (int i = 0; i < half->width; i++)
        row[i] = 0.25f * (a[2 * i] + a[2 * i + 1] + b[2 * i] + b[2 * i + 1]);
    }
}

/* 1 2 1 along a line of @n samples, @pitch apart; ends are kept. */
static void
smooth_rows (const FilLimbPicture *picture,
             float                *row)
{
  int n = picture->width;

  for (int j = 0; j < picture->height; j++)
    {
      float *values = picture->values + (gsize) j * (gsize) n;

      memcpy (row, values, sizeof (float) * (gsize) n);
      for (int i = 1; i < n - 1; i++)
        values[i] = 0.25f * (row[i - 1] + row[i + 1]) + 0.5f * row[i];
    }
}

static void
smooth_columns (const FilLimbPicture *picture,
                float                *above)
{
  int n = picture->width;

  memcpy (above, picture->values, sizeof (float) * (gsize) n);
  for (int j = 1; j < picture->height - 1; j++)
    {
      float *here = picture->values + (gsize) j * (gsize) n;
      const float *below = here + n;

      for (int i = 0; i < n; i++)
        {
          float was = here[i];

          here[i] = 0.25f * (above[i] + below[i]) + 0.5f * was;
          above[i] = was;
        }
    }
}

/* Twice 1 2 1 in both directions, as good as a Gaussian of σ = 1 sample;
 * @row: room for a row. */
void
fil_limb_picture_smooth (FilLimbPicture *picture,
                         float          *row)
{
  for (int i = 0; i < 2; i++)
    {
      smooth_rows (picture, row);
      smooth_columns (picture, row);
    }
}

static double
between (const FilLimbPicture *picture,
         double                x,
         double                y)
{
  double u = CLAMP (x, 0.0, picture->width - 1.001), v = CLAMP (y, 0.0, picture->height - 1.001);
  int i = (int) u, j = (int) v;
  const float *a = picture->values + (gsize) j * (gsize) picture->width + i;
  const float *b = a + picture->width;

  u -= i;
  v -= j;

  return (1.0 - v) * ((1.0 - u) * (double) a[0] + u * (double) a[1]) +
         v * ((1.0 - u) * (double) b[0] + u * (double) b[1]);
}

/* Between means of 2 × 2 pixels, which hold one cell of any Bayer pattern. */
static double
between_counts (const FilLimbPicture *picture,
                double                x,
                double                y)
{
  double u = CLAMP (x - 0.5, 0.0, picture->width - 2.001);
  double v = CLAMP (y - 0.5, 0.0, picture->height - 2.001);
  int i = (int) u, j = (int) v;
  const uint16_t *row = picture->counts + (gsize) j * (gsize) picture->width + i;
  double sum = 0.0;

  u -= i;
  v -= j;
  for (int k = 0; k < 3; k++, row += picture->width)
    {
      double share = k == 0 ? 1.0 - v : k == 1 ? 1.0 : v;

      sum += share * ((1.0 - u) * row[0] + row[1] + u * row[2]);
    }

  return 0.25 * sum;
}

/**
 * fil_limb_picture_at:
 * @x: column of the frame, from 0
 * @y: row from the top, from 0
 *
 * Returns: the light there, counts; outside of the frame that of its border
 */
double
fil_limb_picture_at (const FilLimbPicture *picture,
                     double                x,
                     double                y)
{
  double middle = 0.5 * (picture->step - 1);

  if (picture->counts != NULL)
    return between_counts (picture, x, y);

  return between (picture, (x - middle) / picture->step, (y - middle) / picture->step);
}

/* Where @share of all values lie below. */
static double
find_level (const guint32 *bins,
            guint64        wanted,
            double         step)
{
  guint64 n = 0;

  for (int i = 0; i < N_BINS; i++)
    {
      n += bins[i];
      if (n > wanted)
        return (i + 0.5) * step;
    }

  return N_BINS * step;
}

/* The noise as the least of what neighbouring samples differ in rows of the
 * picture: rows of sky have no other differences. Smoothed samples lie
 * together, so samples four apart are compared. */
static double
find_noise (const FilLimbPicture *picture)
{
  double least = G_MAXDOUBLE;

  for (int j = 0; j < picture->height; j += 8)
    {
      const float *row = picture->values + (gsize) j * (gsize) picture->width;
      double sum = 0.0;

      for (int i = 0; i + 8 < picture->width; i++)
        {
          double bend = (double) (row[i] + row[i + 8] - 2.0f * row[i + 4]);

          sum += bend * bend;
        }
      least = MIN (least, sum / MAX (picture->width - 8, 1));
    }

  return sqrt (least / 6.0);
}

void
fil_limb_picture_weigh (const FilLimbPicture *picture,
                        double                black_level,
                        FilLimbLight         *light)
{
  g_autofree guint32 *bins = g_new0 (guint32, N_BINS);
  gsize n = (gsize) picture->width * (gsize) picture->height;
  float top = 1.0f, scale;
  guint64 tail = (guint64) (TAIL_SHARE * (double) n);

  for (gsize i = 0; i < n; i++)
    top = MAX (top, picture->values[i]);
  scale = (float) (N_BINS - 1) / top;
  for (gsize i = 0; i < n; i++)
    bins[(int) (scale * picture->values[i])]++;

  light->black = black_level;
  light->dark = find_level (bins, tail, 1.0 / (double) scale) - black_level;
  light->bright = find_level (bins, n - 1 - tail, 1.0 / (double) scale) - black_level;
  light->noise = find_noise (picture);
}

/* fil-sharpness-double.c: sharpness in double precision, for files
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-fftw-lock.h"
#include "fil-immerkaer.h"
#include "fil-sharpness-double.h"

void
fil_sharpness_double_clear (FilSharpnessDouble *self)
{
  fil_fftw_lock ();
  if (self->plan != NULL)
    fftw_destroy_plan (self->plan);
  fil_fftw_unlock ();
  fftw_free (self->patch);
  fftw_free (self->bins);
  *self = (FilSharpnessDouble) { 0 };
}

static gboolean
init (FilSharpnessDouble *self,
      int                 width,
      int                 height)
{
  if (self->width == width && self->height == height)
    return TRUE;

  fil_sharpness_double_clear (self);
  self->patch = fftw_alloc_real ((gsize) width * (gsize) height);
  self->bins = fftw_alloc_complex ((gsize) height * ((gsize) width / 2 + 1));
  if (self->patch != NULL && self->bins != NULL)
    {
      fil_fftw_lock ();
      self->plan = fftw_plan_dft_r2c_2d (height, width, self->patch, self->bins, FFTW_ESTIMATE);
      fil_fftw_unlock ();
    }
  if (self->plan == NULL)
    {
      fil_sharpness_double_clear (self);
      return FALSE;
    }
  self->width = width;
  self->height = height;

  return TRUE;
}

/* Returns: the mean, or NaN where a pixel is not finite */
static double
copy_patch (FilSharpnessDouble *self,
            const double       *pixels,
            int                 stride)
{
  gsize width = (gsize) self->width, height = (gsize) self->height;
  double sum = 0.0;

  for (gsize y = 0; y < height; y++)
    for (gsize x = 0; x < width; x++)
      {
        double value = pixels[y * (gsize) stride + x];

        self->patch[y * width + x] = value;
        sum += value;
      }

  return isfinite (sum) ? sum / ((double) width * (double) height) : NAN;
}

/* Takes the plane off, by unweighted least squares, and applies the window. */
static void
window_patch (FilSharpnessDouble *self,
              double              mean)
{
  int width = self->width, height = self->height;
  double n = (double) width * height, along_x = 0.0, along_y = 0.0;
  double slope_x, slope_y;
  g_autofree double *window = g_new (double, width);

  for (int x = 0; x < width; x++)
    window[x] = 0.5 - 0.5 * cos (2.0 * G_PI * x / width);
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        double value = self->patch[(gsize) y * (gsize) width + (gsize) x] - mean;

        along_x += (x - 0.5 * (width - 1)) * value;
        along_y += (y - 0.5 * (height - 1)) * value;
      }
  slope_x = along_x / (n * ((double) width * width - 1.0) / 12.0);
  slope_y = along_y / (n * ((double) height * height - 1.0) / 12.0);

  for (int y = 0; y < height; y++)
    {
      double hy = 0.5 - 0.5 * cos (2.0 * G_PI * y / height);

      for (int x = 0; x < width; x++)
        {
          double *value = &self->patch[(gsize) y * (gsize) width + (gsize) x];

          *value -= mean + slope_x * (x - 0.5 * (width - 1)) + slope_y * (y - 0.5 * (height - 1));
          *value *= window[x] * hy;
        }
    }
}

static double
bin_power (const FilSharpnessDouble *self,
           int                       k,
           int                       l)
{
  const double *bin = self->bins[(gsize) l * ((gsize) self->width / 2 + 1) + (gsize) k];

  return bin[0] * bin[0] + bin[1] * bin[1];
}

/* The run of m from @from up to before @to, of both signs of fy. */
static double
run_power (const FilSharpnessDouble *self,
           int                       k,
           int                       from,
           int                       to)
{
  double sum = 0.0;

  for (int m = from; m < to; m++)
    {
      sum += bin_power (self, k, m);
      if (m != 0 && 2 * m != self->height)
        sum += bin_power (self, k, self->height - m);
    }

  return sum;
}

/* @band: of this width and height; @sharpness: untouched when it can't be told */
void
fil_sharpness_double_measure (FilSharpnessDouble *self,
                              const FilBand      *band,
                              const double       *pixels,
                              int                 stride,
                              double              black_level,
                              FilSharpness       *sharpness)
{
  FilBandPower power = { 0.0, 0.0, 0.0 };
  double mean, noise_variance = NAN;

  if (!init (self, band->width, band->height))
    return;
  mean = copy_patch (self, pixels, stride);
  if (isnan (mean))
    return;

  if (fil_band_needs_immerkaer (band))
    noise_variance = fil_immerkaer_variance (self->patch, band->width, band->height);
  window_patch (self, mean);
  fftw_execute (self->plan);
  for (int k = 0; k < band->n_columns; k++)
    {
      const FilBandColumn *c = &band->columns[k];
      double weight = fil_band_column_weight (band, k);

      power.lower += weight * run_power (self, k, c->lower, c->upper);
      power.upper += weight * run_power (self, k, c->upper, c->upper_end);
      power.noise += weight * run_power (self, k, c->noise, band->height / 2 + 1);
    }

  fil_band_finish (band, &power, noise_variance, mean - black_level, sharpness);
}

/* fil-sharpness.c: the running focus figure
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The patch less its plane, times a Hann window, transformed; the power in
 * the band less the noise floor, over the mean less the black level. */

#include <math.h>
#include <string.h>

#include <fftw3.h>

#include "fil-band.h"
#include "fil-fftw-lock.h"
#include "fil-immerkaer.h"
#include "fil-sharpness-double.h"
#include "fil-sharpness-private.h"

#define LARGEST_DEFAULT 512
#define LARGEST_PIXELS  (64 * 1024 * 1024)   /* 2 GiB of scratch */

/* Scratch memory and plans for one size of patch. Real rows go through the
 * row transform in pairs, as real and imaginary part. */
typedef struct
{
  int            width, height, n_pairs, n_columns;
  uint16_t      *counts;          /* top row first */
  float         *window;          /* h(x) */
  float         *tilted_window;   /* h(x) · (x − (width − 1) / 2) */
  fftwf_complex *pairs;           /* n_pairs × width, before the row transform */
  fftwf_complex *pair_bins;       /* n_pairs × width, after it */
  fftwf_complex *row_bins;        /* 2 n_pairs × n_columns */
  fftwf_complex *bins;            /* n_columns × height: columns lie contiguous */
  fftwf_plan     row_plan, column_plan;
} Scratch;

struct _FilSharpnessMeter
{
  double             cutoff;
  double             black_level;
  Scratch            scratch;
  FilBand            band;         /* of the last size and cut-off */
  FilSharpnessDouble doubles;
};

/* The cut-off is 0.5 cycles/px and the black level 0 until they are set. */
FilSharpnessMeter *
fil_sharpness_meter_new (void)
{
  FilSharpnessMeter *meter = g_new0 (FilSharpnessMeter, 1);

  meter->cutoff = 0.5;

  return meter;
}

static void
scratch_clear (Scratch *scratch)
{
  fil_fftw_lock ();
  if (scratch->row_plan != NULL)
    fftwf_destroy_plan (scratch->row_plan);
  if (scratch->column_plan != NULL)
    fftwf_destroy_plan (scratch->column_plan);
  fil_fftw_unlock ();
  fftwf_free (scratch->pairs);
  fftwf_free (scratch->pair_bins);
  fftwf_free (scratch->row_bins);
  fftwf_free (scratch->bins);
  g_free (scratch->counts);
  g_free (scratch->window);
  g_free (scratch->tilted_window);
  *scratch = (Scratch) { 0 };
}

void
fil_sharpness_meter_free (FilSharpnessMeter *meter)
{
  if (meter == NULL)
    return;

  scratch_clear (&meter->scratch);
  fil_band_clear (&meter->band);
  fil_sharpness_double_clear (&meter->doubles);
  g_free (meter);
}

/**
 * fil_sharpness_meter_set:
 * @cutoff_cycles_per_px: the optical cut-off on the sensor, p/(λN); not a
 *   positive number: unknown, 0.5
 * @black_level: counts; NaN: unknown, 0
 */
void
fil_sharpness_meter_set (FilSharpnessMeter *meter,
                         double             cutoff_cycles_per_px,
                         double             black_level)
{
  g_return_if_fail (meter != NULL);

  meter->cutoff = isfinite (cutoff_cycles_per_px) && cutoff_cycles_per_px > 0.0
                    ? cutoff_cycles_per_px
                    : 0.5;
  meter->black_level = isfinite (black_level) ? black_level : 0.0;
}

static void
make_windows (Scratch *scratch)
{
  int width = scratch->width;

  for (int x = 0; x < width; x++)
    {
      double h = 0.5 - 0.5 * cos (2.0 * G_PI * x / width);

      scratch->window[x] = (float) h;
      scratch->tilted_window[x] = (float) (h * (x - 0.5 * (width - 1)));
    }
}

/* Estimated plans: the same on every run, made in under a millisecond, and
 * with paired rows as fast as measured ones of a real transform. */
static void
make_plans (Scratch *scratch)
{
  int n_pairs = scratch->n_pairs, n_columns = scratch->n_columns;

  fil_fftw_lock ();
  scratch->row_plan =
    fftwf_plan_many_dft (1, &scratch->width, n_pairs, scratch->pairs, NULL, 1, scratch->width,
                         scratch->pair_bins, NULL, 1, scratch->width, FFTW_FORWARD,
                         FFTW_ESTIMATE);
  scratch->column_plan =
    fftwf_plan_many_dft (1, &scratch->height, n_columns, scratch->row_bins, NULL, n_columns, 1,
                         scratch->bins, NULL, 1, scratch->height, FFTW_FORWARD, FFTW_ESTIMATE);
  fil_fftw_unlock ();
}

static gboolean
scratch_init (Scratch *scratch,
              int      width,
              int      height)
{
  gsize columns = (gsize) width / 2 + 1, pairs = ((gsize) height + 1) / 2;

  if (scratch->width == width && scratch->height == height)
    return TRUE;

  scratch_clear (scratch);
  if ((gsize) width * (gsize) height > LARGEST_PIXELS)
    return FALSE;

  scratch->n_pairs = (int) pairs;
  scratch->n_columns = (int) columns;
  scratch->counts = g_try_malloc_n ((gsize) width * (gsize) height, sizeof (uint16_t));
  scratch->window = g_new (float, width);
  scratch->tilted_window = g_new (float, width);
  scratch->pairs = fftwf_alloc_complex (pairs * (gsize) width);
  scratch->pair_bins = fftwf_alloc_complex (pairs * (gsize) width);
  scratch->row_bins = fftwf_alloc_complex (2 * pairs * columns);
  scratch->bins = fftwf_alloc_complex (columns * (gsize) height);
  scratch->width = width;
  scratch->height = height;
  if (scratch->counts != NULL && scratch->pairs != NULL && scratch->pair_bins != NULL &&
      scratch->row_bins != NULL && scratch->bins != NULL)
    {
      make_windows (scratch);
      make_plans (scratch);
    }
  if (scratch->row_plan == NULL || scratch->column_plan == NULL)
    {
      scratch_clear (scratch);
      return FALSE;
    }

  return TRUE;
}

/* Row @y from the bottom, as FITS has it: the window is not symmetric. */
static const uint16_t *
get_row (const Scratch *scratch,
         int            y)
{
  return scratch->counts + (gsize) (scratch->height - 1 - y) * (gsize) scratch->width;
}

/* Unweighted least squares over all pixels; on a grid the three unknowns part. */
static FilPlane
fit_plane (const Scratch *scratch,
           FilCpuLevel    level)
{
  double width = scratch->width, height = scratch->height, n = width * height;
  double sum = 0.0, along_x = 0.0, along_y = 0.0;
  FilPlane plane;

  for (int y = 0; y < scratch->height; y++)
    {
      FilRowMoments row = fil_sharpness_row_moments (get_row (scratch, y), scratch->width, level);
      double counts = (double) row.counts;

      sum += counts;
      along_x += (double) row.weighted - 0.5 * (width - 1.0) * counts;
      along_y += (y - 0.5 * (height - 1.0)) * counts;
    }

  plane.level = sum / n;
  plane.slope_x = along_x / (n * (width * width - 1.0) / 12.0);
  plane.slope_y = along_y / (n * (height * height - 1.0) / 12.0);

  return plane;
}

static void
window_rows (Scratch        *scratch,
             const FilPlane *plane,
             FilCpuLevel     level)
{
  int width = scratch->width, height = scratch->height;
  int pivot = (int) floor (plane->level + 0.5);

  for (int j = 0; j < scratch->n_pairs; j++)
    {
      FilWindowRow pair[2];

      for (int i = 0; i < 2; i++)
        {
          int y = 2 * j + i;
          gboolean filler = y == height;   /* an odd height: weight 0 */

          pair[i].row = get_row (scratch, filler ? y - 1 : y);
          pair[i].level = (float) (plane->level - pivot +
                                   plane->slope_y * (y - 0.5 * (height - 1)));
          pair[i].weight =
            filler ? 0.0f : (float) (0.5 - 0.5 * cos (2.0 * G_PI * y / height));
        }
      fil_sharpness_window_pair (pair, width, pivot, (float) plane->slope_x, scratch->window,
                                 scratch->tilted_window,
                                 (float *) (scratch->pairs + (gsize) j * (gsize) width), level);
    }
}

static void
transform (Scratch    *scratch,
           FilCpuLevel level)
{
  gsize width = (gsize) scratch->width, n_columns = (gsize) scratch->n_columns;

  fftwf_execute (scratch->row_plan);
  for (gsize j = 0; j < (gsize) scratch->n_pairs; j++)
    fil_sharpness_part_pair ((const float *) (scratch->pair_bins + j * width), (int) width,
                             (float *) (scratch->row_bins + 2 * j * n_columns),
                             (float *) (scratch->row_bins + (2 * j + 1) * n_columns), level);
  fftwf_execute (scratch->column_plan);
}

/* The run of m from @from up to before @to, of both signs of fy. */
static double
run_power (const Scratch *scratch,
           int            k,
           int            from,
           int            to,
           FilCpuLevel    level)
{
  int height = scratch->height;
  const fftwf_complex *column = scratch->bins + (gsize) k * (gsize) height;
  int first = MAX (height - to + 1, height / 2 + 1);   /* negative fy begins there */
  int end = MIN (height - from + 1, height);
  double sum = 0.0;

  if (from >= to)
    return 0.0;

  sum += fil_sharpness_power ((const float *) (column + from), to - from, level);
  if (end > first)
    sum += fil_sharpness_power ((const float *) (column + first), end - first, level);

  return sum;
}

static FilBandPower
gather_power (const Scratch *scratch,
              const FilBand *band,
              FilCpuLevel    level)
{
  FilBandPower power = { 0.0, 0.0, 0.0 };

  for (int k = 0; k < band->n_columns; k++)
    {
      const FilBandColumn *c = &band->columns[k];
      /* Parting the pairs left twice the transform. */
      double weight = 0.25 * fil_band_column_weight (band, k);

      power.lower += weight * run_power (scratch, k, c->lower, c->upper, level);
      power.upper += weight * run_power (scratch, k, c->upper, c->upper_end, level);
      power.noise += weight * run_power (scratch, k, c->noise, band->height / 2 + 1, level);
    }

  return power;
}

static void
update_band (FilSharpnessMeter *meter,
             int                width,
             int                height)
{
  FilBand *band = &meter->band;

  if (band->width == width && band->height == height && band->cutoff == meter->cutoff)
    return;

  fil_band_clear (band);
  fil_band_init (band, width, height, meter->cutoff);
}

static void
measure_scratch (FilSharpnessMeter *meter,
                 FilSharpness      *sharpness)
{
  Scratch *scratch = &meter->scratch;
  FilCpuLevel level = fil_cpu_get_level ();
  FilPlane plane = fit_plane (scratch, level);
  FilBandPower power;
  double noise_variance = NAN;

  update_band (meter, scratch->width, scratch->height);
  window_rows (scratch, &plane, level);
  transform (scratch, level);
  power = gather_power (scratch, &meter->band, level);
  if (fil_band_needs_immerkaer (&meter->band))
    noise_variance =
      fil_immerkaer_variance_u16 (scratch->counts, scratch->width, scratch->height);

  fil_band_finish (&meter->band, &power, noise_variance, plane.level - meter->black_level,
                   sharpness);
}

/**
 * fil_sharpness_meter_measure:
 * @frame: a frame of any format
 * @patch: (nullable): inside the picture, from the top left; %NULL: the
 *   default patch
 * @sharpness: (out): untouched on failure
 * @error: return location
 *
 * Single precision, for running pictures. See FilSharpness for what NaN means;
 * a small patch is no error.
 *
 * Returns: %TRUE, or %FALSE with %FIL_FRAME_ERROR
 */
gboolean
fil_sharpness_meter_measure (FilSharpnessMeter *meter,
                             const FilFrame    *frame,
                             const FilRect     *patch,
                             FilSharpness      *sharpness,
                             GError           **error)
{
  FilRect rect;

  g_return_val_if_fail (meter != NULL && frame != NULL && sharpness != NULL, FALSE);

  if (!fil_frame_check_rect (frame, patch, &rect, error))
    return FALSE;

  if (patch == NULL && !fil_sharpness_default_patch (frame->width, frame->height, &rect))
    rect.width = 0;
  if (rect.width < FIL_SHARPNESS_LEAST_SIDE || rect.height < FIL_SHARPNESS_LEAST_SIDE)
    {
      *sharpness = (FilSharpness) { NAN, NAN, NAN, NAN };
      return TRUE;
    }

  if (!scratch_init (&meter->scratch, rect.width, rect.height))
    {
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_NOMEM,
                   "no memory for the transform of %d × %d pixels", rect.width, rect.height);
      return FALSE;
    }
  if (!fil_frame_unpack (frame, &rect, meter->scratch.counts, error))
    return FALSE;

  measure_scratch (meter, sharpness);

  return TRUE;
}

/**
 * fil_sharpness_meter_measure_double:
 * @pixels: numbers of any kind, the bottom row first
 * @stride: numbers from one row to the next
 * @sharpness: (out)
 *
 * Double precision throughout, for files. All NaN also where a pixel is not
 * finite, or where memory doesn't suffice.
 */
void
fil_sharpness_meter_measure_double (FilSharpnessMeter *meter,
                                    const double      *pixels,
                                    int                width,
                                    int                height,
                                    int                stride,
                                    FilSharpness      *sharpness)
{
  g_return_if_fail (meter != NULL && pixels != NULL && sharpness != NULL);
  g_return_if_fail (width > 0 && height > 0 && stride >= width);

  *sharpness = (FilSharpness) { NAN, NAN, NAN, NAN };
  if (width < FIL_SHARPNESS_LEAST_SIDE || height < FIL_SHARPNESS_LEAST_SIDE ||
      (gsize) width * (gsize) height > LARGEST_PIXELS)
    return;

  update_band (meter, width, height);
  fil_sharpness_double_measure (&meter->doubles, &meter->band, pixels, stride,
                                meter->black_level, sharpness);
}

/**
 * fil_sharpness_default_patch:
 * @width: of the picture, px
 * @patch: (out): untouched when there is none
 *
 * The largest centred power-of-two square up to 512. Where it can't stand in
 * the very middle, the pixel left over lies to the right and on top.
 *
 * Returns: %FALSE where it would be below 128 px
 */
gboolean
fil_sharpness_default_patch (int      width,
                             int      height,
                             FilRect *patch)
{
  int side = LARGEST_DEFAULT;

  g_return_val_if_fail (patch != NULL, FALSE);

  while (side > MIN (width, height))
    side /= 2;
  if (side < FIL_SHARPNESS_LEAST_SIDE)
    return FALSE;

  *patch = (FilRect) { (width - side) / 2, (height - side + 1) / 2, side, side };

  return TRUE;
}

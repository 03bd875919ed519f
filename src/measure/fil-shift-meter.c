/* fil-shift-meter.c: how far one picture lies beside another
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Phase correlation (Kuglin & Hines 1975, Proc. IEEE Int. Conf. Cybernetics
 * and Society, 163) of windowed pictures, each frequency weighted by how far
 * it stands above the noise. The peak is sought on the grid first, then by
 * Newton's method on the trigonometric sum itself: what an upsampled transform
 * (Guizar-Sicairos, Thurman & Fienup 2008, Opt. Lett. 33, 156) tends to. */

#include <float.h>
#include <math.h>
#include <string.h>

#include <fftw3.h>

#include "fil-fftw-lock.h"
#include "fil-shift-meter.h"

/* Frequencies: cycles a pixel, but for the lowest ones, cycles a picture.
 * Those hold the window itself, vignetting and gradients; the highest hold
 * noise alone, which they tell. */
#define LOW_CYCLES     3.0
#define HIGH_FREQUENCY 0.20    /* 1/e of the weight */
#define BAND_END       0.36
#define NOISE_BEGIN    0.40
#define NOISE_FACTOR   1.1     /* of the mean noise; power below it is noise alone */
#define SMOOTHED       2       /* bins on either side over which power is averaged */

#define NEWTON_STEPS   6
#define LONGEST_STEP   0.5

struct _FilSpectrum
{
  fftwf_complex *bins;         /* height × (width / 2 + 1) */
};

typedef struct
{
  int   index;                 /* in the half-plane of the transform */
  int   kx, ky;                /* cycles a picture, ky from −height / 2 */
  float weight;
} Bin;

struct _FilShiftMeter
{
  int            width, height, n_columns;
  float         *window;       /* height × width */
  float         *plane;        /* the same */
  fftwf_complex *sum;          /* weighted product, zero outside of the band */
  fftwf_complex *scratch;      /* a copy of it, that the transform destroys */
  float         *map;
  float         *power;        /* of a pair, by bin */
  float         *smooth;
  fftwf_plan     forward, backward;
  Bin           *band;
  int            n_band;
  int           *noise;        /* indices */
  int            n_noise;
  fftwf_complex *turn_x;       /* by kx, by ky + height / 2 */
  fftwf_complex *turn_y;
};

static gsize
n_bins (const FilShiftMeter *meter)
{
  return (gsize) meter->height * (gsize) meter->n_columns;
}

static void
make_window (FilShiftMeter *meter)
{
  for (int y = 0; y < meter->height; y++)
    for (int x = 0; x < meter->width; x++)
      {
        double wx = 0.5 - 0.5 * cos (2.0 * G_PI * (x + 0.5) / meter->width);
        double wy = 0.5 - 0.5 * cos (2.0 * G_PI * (y + 0.5) / meter->height);

        meter->window[(gsize) y * (gsize) meter->width + (gsize) x] = (float) (wx * wy);
      }
}

static void
make_band (FilShiftMeter *meter)
{
  meter->band = g_new (Bin, n_bins (meter));
  meter->noise = g_new (int, n_bins (meter));
  for (int j = 0; j < meter->height; j++)
    for (int kx = 0; kx < meter->n_columns; kx++)
      {
        int ky = 2 * j < meter->height ? j : j - meter->height;
        int index = j * meter->n_columns + kx;
        double f = hypot ((double) kx / meter->width, (double) ky / meter->height);
        double cycles = hypot (kx, ky);

        /* The column 0 holds each frequency twice, the last one is no whole wave. */
        if (2 * kx == meter->width || (kx == 0 && ky <= 0))
          continue;
        if (f >= NOISE_BEGIN)
          meter->noise[meter->n_noise++] = index;
        else if (f < BAND_END && cycles >= 2.0)
          meter->band[meter->n_band++] = (Bin) {
            index, kx, ky,
            (float) (exp (-f * f / (HIGH_FREQUENCY * HIGH_FREQUENCY)) *
                     (1.0 - exp (-cycles * cycles / (LOW_CYCLES * LOW_CYCLES))))
          };
      }
}

/* Estimated plans: the same on every run. */
static void
make_plans (FilShiftMeter *meter)
{
  fil_fftw_lock ();
  meter->forward = fftwf_plan_dft_r2c_2d (meter->height, meter->width, meter->plane,
                                          meter->scratch, FFTW_ESTIMATE);
  meter->backward = fftwf_plan_dft_c2r_2d (meter->height, meter->width, meter->scratch,
                                           meter->map, FFTW_ESTIMATE);
  fil_fftw_unlock ();
}

/**
 * fil_shift_meter_new:
 * @width: pixels of the pictures, even, from 16
 * @height: the same
 *
 * Returns: (transfer full)
 */
FilShiftMeter *
fil_shift_meter_new (int width,
                     int height)
{
  FilShiftMeter *meter;
  gsize n = (gsize) width * (gsize) height;

  g_return_val_if_fail (width >= 16 && height >= 16 && width % 2 == 0 && height % 2 == 0, NULL);

  meter = g_new0 (FilShiftMeter, 1);
  meter->width = width;
  meter->height = height;
  meter->n_columns = width / 2 + 1;
  meter->window = g_new (float, n);
  meter->plane = fftwf_alloc_real (n);
  meter->map = fftwf_alloc_real (n);
  meter->sum = fftwf_alloc_complex (n_bins (meter));
  meter->scratch = fftwf_alloc_complex (n_bins (meter));
  meter->power = g_new (float, n_bins (meter));
  meter->smooth = g_new (float, n_bins (meter));
  meter->turn_x = fftwf_alloc_complex ((gsize) meter->n_columns);
  meter->turn_y = fftwf_alloc_complex ((gsize) height);
  make_window (meter);
  make_band (meter);
  make_plans (meter);
  fil_shift_meter_clear (meter);

  return meter;
}

void
fil_shift_meter_free (FilShiftMeter *meter)
{
  if (meter == NULL)
    return;

  fil_fftw_lock ();
  fftwf_destroy_plan (meter->forward);
  fftwf_destroy_plan (meter->backward);
  fil_fftw_unlock ();
  fftwf_free (meter->plane);
  fftwf_free (meter->map);
  fftwf_free (meter->sum);
  fftwf_free (meter->scratch);
  fftwf_free (meter->turn_x);
  fftwf_free (meter->turn_y);
  g_free (meter->window);
  g_free (meter->power);
  g_free (meter->smooth);
  g_free (meter->band);
  g_free (meter->noise);
  g_free (meter);
}

FilSpectrum *
fil_spectrum_new (const FilShiftMeter *meter)
{
  FilSpectrum *spectrum = g_new (FilSpectrum, 1);

  spectrum->bins = fftwf_alloc_complex (n_bins (meter));
  memset (spectrum->bins, 0, n_bins (meter) * sizeof (fftwf_complex));

  return spectrum;
}

void
fil_spectrum_free (FilSpectrum *spectrum)
{
  if (spectrum == NULL)
    return;

  fftwf_free (spectrum->bins);
  g_free (spectrum);
}

/**
 * fil_shift_meter_transform:
 * @pixels: rows of the meter's width
 * @pitch: pixels from one row to the next
 * @spectrum: (inout): is overwritten
 */
void
fil_shift_meter_transform (FilShiftMeter *meter,
                           const float   *pixels,
                           int            pitch,
                           FilSpectrum   *spectrum)
{
  const gsize width = (gsize) meter->width;
  double sum = 0.0, weights = 0.0;
  float mean;

  for (int y = 0; y < meter->height; y++)
    {
      const float *row = pixels + (gsize) y * (gsize) pitch;
      const float *window = meter->window + (gsize) y * width;
      float row_sum = 0.0f, row_weights = 0.0f;

      for (gsize x = 0; x < width; x++)
        {
          row_sum += row[x] * window[x];
          row_weights += window[x];
        }
      sum += (double) row_sum;
      weights += (double) row_weights;
    }
  mean = (float) (sum / weights);

  for (int y = 0; y < meter->height; y++)
    {
      const float *row = pixels + (gsize) y * (gsize) pitch;
      const float *window = meter->window + (gsize) y * width;
      float *out = meter->plane + (gsize) y * width;

      for (gsize x = 0; x < width; x++)
        out[x] = (row[x] - mean) * window[x];
    }
  fftwf_execute_dft_r2c (meter->forward, meter->plane, spectrum->bins);
}

/* Forgets what was added. */
void
fil_shift_meter_clear (FilShiftMeter *meter)
{
  memset (meter->sum, 0, n_bins (meter) * sizeof (fftwf_complex));
}

static float
power_of (const fftwf_complex a,
          const fftwf_complex b)
{
  return sqrtf ((a[0] * a[0] + a[1] * a[1]) * (b[0] * b[0] + b[1] * b[1]));
}

/* Means along columns, which close on themselves, into @smooth. */
static void
smooth_columns (FilShiftMeter *meter)
{
  const int height = meter->height;

  for (int j = 0; j < height; j++)
    for (int x = 0; x < meter->n_columns; x++)
      {
        float sum = 0.0f;

        for (int d = -SMOOTHED; d <= SMOOTHED; d++)
          sum += meter->power[((j + d + height) % height) * meter->n_columns + x];
        meter->smooth[j * meter->n_columns + x] = sum / (2 * SMOOTHED + 1);
      }
}

/* Then along rows, mirrored at their ends, back into @power. */
static void
smooth_rows (FilShiftMeter *meter)
{
  const int last = meter->n_columns - 1;

  for (int j = 0; j < meter->height; j++)
    {
      const float *row = meter->smooth + j * meter->n_columns;

      for (int x = 0; x <= last; x++)
        {
          float sum = 0.0f;

          for (int d = -SMOOTHED; d <= SMOOTHED; d++)
            {
              int at = ABS (x + d);

              sum += row[at > last ? 2 * last - at : at];
            }
          meter->power[j * meter->n_columns + x] = sum / (2 * SMOOTHED + 1);
        }
    }
}

/**
 * fil_shift_meter_add:
 *
 * Adds the weighted product of two pictures; several pairs with the same
 * shift between them give one stronger peak.
 *
 * Weighted by the square of the signal's share in its power, about what least
 * squares would do. Divided by the power of its surroundings, not by its own, a frequency that
 * interference makes faint stays faint: its phase is worth little.
 */
void
fil_shift_meter_add (FilShiftMeter     *meter,
                     const FilSpectrum *reference,
                     const FilSpectrum *picture)
{
  float noise = FLT_MIN;

  for (gsize i = 0; i < n_bins (meter); i++)
    meter->power[i] = power_of (reference->bins[i], picture->bins[i]);
  for (int i = 0; i < meter->n_noise; i++)
    noise += meter->power[meter->noise[i]] / (float) meter->n_noise;
  smooth_columns (meter);
  smooth_rows (meter);

  for (int i = 0; i < meter->n_band; i++)
    {
      const Bin *bin = &meter->band[i];
      const float *a = reference->bins[bin->index], *b = picture->bins[bin->index];
      float power = meter->power[bin->index];
      float signal = 1.0f - (float) NOISE_FACTOR * noise / (power + FLT_MIN);
      float scale = signal > 0.0f ? bin->weight * signal * signal / power : 0.0f;

      meter->sum[bin->index][0] += scale * (a[0] * b[0] + a[1] * b[1]);
      meter->sum[bin->index][1] += scale * (a[0] * b[1] - a[1] * b[0]);
    }
}

/* The highest point of the map within the radius. */
static void
find_on_grid (FilShiftMeter *meter,
              double         near_x,
              double         near_y,
              double         radius,
              FilShift      *shift)
{
  int left = (int) ceil (near_x - radius), right = (int) floor (near_x + radius);
  int low = (int) ceil (near_y - radius), high = (int) floor (near_y + radius);
  float best = -FLT_MAX;

  memcpy (meter->scratch, meter->sum, n_bins (meter) * sizeof (fftwf_complex));
  fftwf_execute (meter->backward);
  *shift = (FilShift) { near_x, near_y, 0.0 };
  for (int y = low; y <= high; y++)
    for (int x = left; x <= right; x++)
      {
        int row = ((y % meter->height) + meter->height) % meter->height;
        int column = ((x % meter->width) + meter->width) % meter->width;
        float value = meter->map[(gsize) row * (gsize) meter->width + (gsize) column];

        if (value > best && hypot (x - near_x, y - near_y) <= radius)
          {
            best = value;
            shift->x = x;
            shift->y = y;
          }
      }
}

static void
make_turns (fftwf_complex *turns,
            int            n,
            int            first,
            double         angle)
{
  for (int i = 0; i < n; i++)
    {
      turns[i][0] = (float) cos ((first + i) * angle);
      turns[i][1] = (float) sin ((first + i) * angle);
    }
}

/* The sum and its derivatives at a place. */
typedef struct
{
  double value, dx, dy, dxx, dxy, dyy;
} Peak;

static void
evaluate (FilShiftMeter  *meter,
          const FilShift *at,
          Peak           *peak)
{
  const double ux = 2.0 * G_PI / meter->width, uy = 2.0 * G_PI / meter->height;
  const int middle = meter->height / 2;

  *peak = (Peak) { 0 };
  make_turns (meter->turn_x, meter->n_columns, 0, ux * at->x);
  make_turns (meter->turn_y, meter->height, -middle, uy * at->y);
  for (int i = 0; i < meter->n_band; i++)
    {
      const Bin *bin = &meter->band[i];
      const float *c = meter->sum[bin->index];
      const float *tx = meter->turn_x[bin->kx], *ty = meter->turn_y[bin->ky + middle];
      float re = tx[0] * ty[0] - tx[1] * ty[1], im = tx[0] * ty[1] + tx[1] * ty[0];
      double even = (double) (c[0] * re - c[1] * im), odd = (double) (c[0] * im + c[1] * re);

      peak->value += even;
      peak->dx -= bin->kx * odd;
      peak->dy -= bin->ky * odd;
      peak->dxx -= bin->kx * bin->kx * even;
      peak->dxy -= bin->kx * bin->ky * even;
      peak->dyy -= bin->ky * bin->ky * even;
    }
  peak->dx *= ux;
  peak->dy *= uy;
  peak->dxx *= ux * ux;
  peak->dxy *= ux * uy;
  peak->dyy *= uy * uy;
}

/* Returns: whether another step is worth taking */
static gboolean
step_towards_top (const Peak *peak,
                  FilShift   *shift)
{
  double determinant = peak->dxx * peak->dyy - peak->dxy * peak->dxy;
  double x, y, length;

  if (determinant <= 0.0 || peak->dxx >= 0.0)   /* no top here */
    return FALSE;

  x = -(peak->dyy * peak->dx - peak->dxy * peak->dy) / determinant;
  y = -(peak->dxx * peak->dy - peak->dxy * peak->dx) / determinant;
  length = hypot (x, y);
  if (length > LONGEST_STEP)
    {
      x *= LONGEST_STEP / length;
      y *= LONGEST_STEP / length;
    }
  shift->x += x;
  shift->y += y;

  return length > 1e-4;
}

/* Of pictures with nothing in common the phases are random. */
static double
find_spread (const FilShiftMeter *meter)
{
  double sum = 0.0;

  for (int i = 0; i < meter->n_band; i++)
    {
      const float *c = meter->sum[meter->band[i].index];

      sum += (double) (c[0] * c[0] + c[1] * c[1]);
    }

  return sqrt (0.5 * sum);
}

/**
 * fil_shift_meter_find:
 * @near_x: where to look, pixels
 * @near_y: the same
 * @radius: how far around, pixels
 * @shift: (out)
 *
 * The shift of the pairs that were added since fil_shift_meter_clear().
 */
void
fil_shift_meter_find (FilShiftMeter *meter,
                      double         near_x,
                      double         near_y,
                      double         radius,
                      FilShift      *shift)
{
  double spread = find_spread (meter);
  Peak peak = { 0 };

  find_on_grid (meter, near_x, near_y, radius, shift);
  if (!(spread > 0.0))
    return;

  for (int i = 0; i < NEWTON_STEPS; i++)
    {
      evaluate (meter, shift, &peak);
      if (!step_towards_top (&peak, shift))
        break;
    }
  shift->certainty = MAX (peak.value / spread, 0.0);
}

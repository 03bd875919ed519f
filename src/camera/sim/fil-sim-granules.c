/* fil-sim-granules.c: the Sun's granulation as a periodic texture
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cells round jittered seeds, each with its own metric, so that the borders
 * are curved: bright inside, dark in the narrow lanes between. How wide the
 * lanes are against the cells decides how much of the contrast a small
 * aperture loses; both that and the contrast itself are set by published
 * values (see fil_sim_granules_new). */

#include <fftw3.h>

#include "fil-cpu.h"
#include "fil-fftw-lock.h"
#include "fil-sim-granules.h"
#include "fil-sim-math.h"
#include "fil-sim-parallel.h"
#include "fil-sim-random.h"

/* Seed spacing in arcsec: granules lie 1.3 to 1.5 arcsec apart (from memory). */
#define SPACING_ARCSEC 1.4

/* Finest step at which the cells are drawn before they are averaged into samples. */
#define DRAWING_STEP_ARCSEC 0.15
#define MAX_OVERSAMPLING 6

/* The lanes between the cells, in the cells' own units of brightness. */
#define LANE_ARCSEC 0.45f
#define LANE_LIGHT  0.40f
#define DOME        0.30f   /* a cell's fall from its middle, per arcsec² */

/* Contrast of the cells as drawn, from 15 textures of 140 arcsec square: rms
 * of an amplitude of 1 before any aperture, and behind an ideal 0.5 m at
 * 555 nm, where it is to be 8.3 %. sim_sun.py holds both to the result. */
#define CELL_RMS       0.3266
#define CELL_AMPLITUDE (0.083 / 0.2518)

/* Fine structure: a ring in frequency, cycles an arcsec; the limit of 0.5 m
 * at 555 nm is 4.37. Samples as wide as the ring's periods can't hold it. */
#define FINE_CENTRE      5.0
#define FINE_WIDTH       0.6
#define FINE_STEP_ARCSEC 0.14

#define BLOCK 16   /* samples drawn at a time, in fixed-length loops that vectorise */

typedef struct
{
  float x, y;         /* arcsec */
  float xx, yy, xy;   /* metric: d² = xx·dx² + yy·dy² + xy·dx·dy + size */
  float size;         /* arcsec² */
  float light;        /* brightness of the cell's inside */
} Seed;

typedef struct
{
  int    nx, ny;
  double cell_x, cell_y;   /* arcsec */
  Seed  *seeds;
} Lattice;

static Seed
make_seed (FilSimRandom *random,
           double        x,
           double        y,
           double        spacing)
{
  double stretch = 0.35 * fil_sim_random_normal (random);
  double angle = fil_sim_random_range (random, 0.0, M_PI);
  double e = fil_sim_clamp (stretch, -0.6, 0.6);
  double c = e * cos (2.0 * angle), s = e * sin (2.0 * angle);
  double scale = exp (0.15 * fil_sim_random_normal (random));

  return (Seed) {
    .x = (float) (x + spacing * fil_sim_random_uniform (random)),
    .y = (float) (y + spacing * fil_sim_random_uniform (random)),
    .xx = (float) (scale * (1.0 + c)),
    .yy = (float) (scale * (1.0 - c)),
    .xy = (float) (scale * 2.0 * s),
    .size = (float) (0.10 * spacing * spacing * fil_sim_random_uniform (random)),
    .light = (float) fil_sim_clamp (1.0 + 0.13 * fil_sim_random_normal (random), 0.45, 1.6),
  };
}

static void
lattice_init (Lattice *lattice,
              guint64  seed,
              double   width_arcsec,
              double   height_arcsec)
{
  lattice->nx = MAX ((int) lround (width_arcsec / SPACING_ARCSEC), 3);
  lattice->ny = MAX ((int) lround (height_arcsec / SPACING_ARCSEC), 3);
  lattice->cell_x = width_arcsec / lattice->nx;
  lattice->cell_y = height_arcsec / lattice->ny;
  lattice->seeds = g_new (Seed, (gsize) lattice->nx * (gsize) lattice->ny);

  for (int iy = 0; iy < lattice->ny; iy++)
    {
      FilSimRandom random = fil_sim_random_init (seed, FIL_SIM_STREAM_GRANULES, (guint64) iy);

      for (int ix = 0; ix < lattice->nx; ix++)
        lattice->seeds[iy * lattice->nx + ix] =
          make_seed (&random, ix * lattice->cell_x, iy * lattice->cell_y, lattice->cell_x);
    }
}

/* The 3 × 3 seeds round a cell, unwrapped to lie round it. */
static void
gather_seeds (const Lattice *lattice,
              int            ix,
              int            iy,
              Seed           near[9])
{
  for (int n = 0; n < 9; n++)
    {
      int jx = ix + n % 3 - 1, jy = iy + n / 3 - 1;
      int wx = (jx + lattice->nx) % lattice->nx, wy = (jy + lattice->ny) % lattice->ny;

      near[n] = lattice->seeds[wy * lattice->nx + wx];
      near[n].x += (float) ((jx - wx) * lattice->cell_x);
      near[n].y += (float) ((jy - wy) * lattice->cell_y);
    }
}

/* Brightness from how far the second nearest seed is beyond the nearest. */
static inline __attribute__ ((always_inline)) float
brightness (float nearest,
            float second,
            float light)
{
  float border = fil_sim_sqrtf (second) - fil_sim_sqrtf (nearest);
  float rise = border * (1.0f / LANE_ARCSEC);

  rise = rise > 1.0f ? 1.0f : rise;
  rise = rise * rise * (3.0f - 2.0f * rise);

  return LANE_LIGHT + rise * (light - DOME * nearest - LANE_LIGHT);
}

static inline __attribute__ ((always_inline)) void
draw_block_body (const Seed near[9],
                 float      x,
                 float      y,
                 float      step,
                 float      values[BLOCK])
{
  float nearest[BLOCK], second[BLOCK], light[BLOCK];

  for (int i = 0; i < BLOCK; i++)
    {
      nearest[i] = 1e6f;
      second[i] = 1e6f;
      light[i] = 1.0f;
    }

  for (int n = 0; n < 9; n++)
    {
      Seed seed = near[n];
      float dy = y - seed.y, constant = seed.yy * dy * dy + seed.size, slope = seed.xy * dy;

      for (int i = 0; i < BLOCK; i++)
        {
          float dx = x + step * (float) i - seed.x;
          float d = (seed.xx * dx + slope) * dx + constant;
          float further = d > nearest[i] ? d : nearest[i];

          second[i] = further < second[i] ? further : second[i];
          light[i] = d < nearest[i] ? seed.light : light[i];
          nearest[i] = d < nearest[i] ? d : nearest[i];
        }
    }

  for (int i = 0; i < BLOCK; i++)
    values[i] = brightness (nearest[i], second[i], light[i]);
}

#if FIL_CPU_HAVE_CLONES
FIL_CPU_TARGET_AVX2 static void
draw_block_avx2 (const Seed near[9],
                 float      x,
                 float      y,
                 float      step,
                 float      values[BLOCK])
{
  draw_block_body (near, x, y, step, values);
}
#endif

static void
draw_block (const Seed near[9],
            float      x,
            float      y,
            float      step,
            float      values[BLOCK])
{
#if FIL_CPU_HAVE_CLONES
  if (fil_cpu_get_level () >= FIL_CPU_AVX2)
    {
      draw_block_avx2 (near, x, y, step, values);
      return;
    }
#endif
  draw_block_body (near, x, y, step, values);
}

typedef struct
{
  FilSimGranules *granules;
  Lattice         lattice;
  int             over;     /* drawn so many times finer than the samples, then averaged */
} Drawing;

/* The part of one cell between two drawn rows. */
static void
draw_cell (const Drawing *drawing,
           int            ix,
           int            iy,
           int            first_row,
           int            end_row)
{
  const Lattice *lattice = &drawing->lattice;
  const int over = drawing->over, width = drawing->granules->width;
  const double step = drawing->granules->step_arcsec / over;
  const float weight = 1.0f / (float) (over * over);
  int x0 = (int) ceil (ix * lattice->cell_x / step);
  int x1 = MIN ((int) ceil ((ix + 1) * lattice->cell_x / step), width * over);
  Seed near[9];

  gather_seeds (lattice, ix, iy, near);
  for (int y = first_row; y < end_row; y++)
    for (int x = x0; x < x1; x += BLOCK)
      {
        float *row = drawing->granules->values + (gsize) (y / over) * (gsize) width;
        float values[BLOCK];

        draw_block (near, (float) (x * step), (float) (y * step), (float) step, values);
        for (int i = 0; i < MIN (BLOCK, x1 - x); i++)
          row[(x + i) / over] += weight * values[i];
      }
}

/* A band of sample rows belongs to one thread, so sums come in one order. */
#define BAND_ROWS 32

static void
draw_band (int      band,
           gpointer user_data)
{
  const Drawing *drawing = user_data;
  const Lattice *lattice = &drawing->lattice;
  const double step = drawing->granules->step_arcsec / drawing->over;
  int begin = band * BAND_ROWS * drawing->over;
  int end = MIN ((band + 1) * BAND_ROWS, drawing->granules->height) * drawing->over;

  for (int iy = 0; iy < lattice->ny; iy++)
    {
      int y0 = MAX ((int) ceil (iy * lattice->cell_y / step), begin);
      int y1 = MIN ((int) ceil ((iy + 1) * lattice->cell_y / step), end);

      for (int ix = 0; y0 < y1 && ix < lattice->nx; ix++)
        draw_cell (drawing, ix, iy, y0, y1);
    }
}

static void
normalise (FilSimGranules *granules,
           double          amplitude)
{
  gsize n = (gsize) granules->width * (gsize) granules->height;
  double sum = 0.0;
  float mean, scale;

  for (gsize i = 0; i < n; i++)
    sum += granules->values[i];
  mean = (float) (sum / (double) n);
  scale = (float) (amplitude / mean);
  for (gsize i = 0; i < n; i++)
    granules->values[i] = scale * (granules->values[i] - mean);
}

/* Power of the fine structure, not normalised. */
static double
fine_power (double cycles_per_arcsec)
{
  double x = (cycles_per_arcsec - FINE_CENTRE) / FINE_WIDTH;

  return exp (-0.5 * x * x);
}

/* Gaussian noise of the given rms over all frequencies, of which the samples
 * hold what lies below their limit. */
static void
add_fine_structure (FilSimGranules *granules,
                    guint64         seed,
                    double          rms)
{
  const int width = granules->width, height = granules->height, half = width / 2 + 1;
  const double fx = 1.0 / (width * granules->step_arcsec);
  const double fy = 1.0 / (height * granules->step_arcsec);
  /* ∫ fine_power d²f of a ring wide of the origin */
  const double total = 2.0 * M_PI * FINE_CENTRE * FINE_WIDTH * sqrt (2.0 * M_PI);
  const double scale = rms * sqrt (fx * fy / total);
  fftwf_complex *spectrum = fftwf_alloc_complex ((gsize) half * (gsize) height);
  float *noise = fftwf_alloc_real ((gsize) width * (gsize) height);
  fftwf_plan plan;

  fil_fftw_lock ();
  plan = fftwf_plan_dft_c2r_2d (height, width, spectrum, noise, FFTW_ESTIMATE);
  fil_fftw_unlock ();

  for (int y = 0; y < height; y++)
    {
      FilSimRandom random = fil_sim_random_init (seed, FIL_SIM_STREAM_TEXTURE, (guint64) y);

      for (int x = 0; x < half; x++)
        {
          double f = hypot (x * fx, (y <= height / 2 ? y : y - height) * fy);
          float amplitude = (float) (scale * sqrt (0.5 * fine_power (f)));
          float re, im;

          fil_sim_random_normal_pair (&random, &re, &im);
          /* Both halves of the plane carry it: c2r mirrors the other one. */
          spectrum[y * half + x][0] = amplitude * re;
          spectrum[y * half + x][1] = amplitude * im;
        }
    }
  fftwf_execute (plan);
  for (gsize i = 0; i < (gsize) width * (gsize) height; i++)
    granules->values[i] += noise[i];

  fil_fftw_lock ();
  fftwf_destroy_plan (plan);
  fil_fftw_unlock ();
  fftwf_free (spectrum);
  fftwf_free (noise);
}

/**
 * fil_sim_granules_get_contrast:
 * @wavelength_nm: nanometres
 *
 * True rms contrast at the disc's centre, 26.7, 19.4 and 16.6 % at 450, 555
 * and 668 nm, straight lines between and beyond.
 *
 * Source: Wedemeyer-Böhm & Rouppe van der Voort 2009, A&A 503, 225.
 *
 * Returns: rms of I/mean, a fraction
 */
double
fil_sim_granules_get_contrast (double wavelength_nm)
{
  double slope = wavelength_nm < 555.0 ? (0.194 - 0.267) / 105.0 : (0.166 - 0.194) / 113.0;

  return fil_sim_clamp (0.194 + slope * (wavelength_nm - 555.0), 0.05, 0.40);
}

/**
 * fil_sim_granules_new:
 * @seed: which Sun
 * @wavelength_nm: nanometres; sets the contrast
 * @step_arcsec: size of a sample, > 0
 * @width: samples, the period in x; best a product of small primes
 * @height: the same in y
 *
 * The cells' contrast is such that an ideal 0.5 m aperture shows 8.3 % at
 * 555 nm, as that of the space telescope. Cells alone would then have some
 * 11 % before the aperture: an ideal one loses less than the real one with
 * its stray light. What lacks to the true contrast, 19.4 %, is put into
 * structure finer than that aperture resolves; smaller ones can't see it.
 *
 * Source: Wedemeyer-Böhm & Rouppe van der Voort 2009, A&A 503, 225.
 *
 * Returns: (transfer full): a texture
 */
FilSimGranules *
fil_sim_granules_new (guint64 seed,
                      double  wavelength_nm,
                      double  step_arcsec,
                      int     width,
                      int     height)
{
  FilSimGranules *granules = g_new0 (FilSimGranules, 1);
  double contrast = fil_sim_granules_get_contrast (wavelength_nm);
  double share = contrast / fil_sim_granules_get_contrast (555.0);
  double cells = share * CELL_AMPLITUDE * CELL_RMS;
  Drawing drawing = { .granules = granules };

  granules->width = width;
  granules->height = height;
  granules->step_arcsec = step_arcsec;
  granules->values = g_new0 (float, (gsize) width * (gsize) height);

  drawing.over = CLAMP ((int) ceil (step_arcsec / DRAWING_STEP_ARCSEC), 1, MAX_OVERSAMPLING);
  lattice_init (&drawing.lattice, seed, width * step_arcsec, height * step_arcsec);
  fil_sim_parallel ((height + BAND_ROWS - 1) / BAND_ROWS, draw_band, &drawing);
  g_free (drawing.lattice.seeds);

  normalise (granules, share * CELL_AMPLITUDE);
  if (step_arcsec < FINE_STEP_ARCSEC)
    add_fine_structure (granules, seed, sqrt (contrast * contrast - cells * cells));

  return granules;
}

void
fil_sim_granules_free (FilSimGranules *granules)
{
  if (granules == NULL)
    return;

  g_free (granules->values);
  g_free (granules);
}

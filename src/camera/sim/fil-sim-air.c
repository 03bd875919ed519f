/* fil-sim-air.c: the moving air in front of the telescope
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Two layers of von Kármán turbulence that the wind carries by unchanged
 * (Taylor's hypothesis). The lower one lies at the aperture: it moves and
 * blurs the whole field alike. The higher one is seen through another part in
 * every direction: it distorts the field. Screens are random spectra
 * transformed, with slower waves added that the screen is too small for
 * (Lane, Glindemann & Dainty 1992, Waves in Random Media 2, 209; from memory).
 *
 * Everything is kept for r0 = aperture and scaled when it is read. */

#include <math.h>

#include "fil-fftw-lock.h"
#include "fil-sim-air.h"
#include "fil-sim-math.h"
#include "fil-sim-random.h"

#define GRID             1024
#define GRID_PER_APERTURE 24.0
#define LEVELS           6      /* of slow waves; each thrice as slow as the one before */
#define WAVES            (LEVELS * 8)

/* Daytime turbulence is mostly near the ground (common practice, no source). */
#define GROUND_SHARE     0.65
#define HIGH_ALTITUDE_M  1000.0

/* A slow wave: seen through an aperture it is a tilt. */
typedef struct
{
  double fx, fy;             /* cycles a metre */
  double cosine, sine;       /* amplitudes of the phase, radians */
} Wave;

typedef struct
{
  float *phase;              /* GRID², radians; NULL where only tilts are needed */
  float *tilt_x, *tilt_y;    /* GRID², Zernike coefficients of tilt, radians rms */
  Wave   waves[WAVES];
} Layer;

struct _FilSimAir
{
  double aperture_m;
  double arcsec_per_rad;     /* of tilt coefficient */
  double step_m;
  Layer  ground, high;
};

/* Phase power per (cycle/m)² for r0 = aperture.
 * Source: Noll 1976, JOSA 66, 207, with the outer scale of von Kármán. */
static double
phase_power (double f_per_m,
             double aperture_m,
             double outer_scale_m)
{
  double f2 = f_per_m * f_per_m + 1.0 / (outer_scale_m * outer_scale_m);

  return 0.02290 * pow (aperture_m, -5.0 / 3.0) * pow (f2, -11.0 / 6.0);
}

/* The power that the wave at (fx, fy) has to carry for all within its cell
 * of frequencies, per (cycle/m)²: as much slope as the cell holds. So steep a
 * spectrum isn't well met by its value in the middle of wide cells. */
static double
cell_power (double fx,
            double fy,
            double df,
            double aperture_m,
            double outer_scale_m)
{
  const int divisions = 8;
  double sum = 0.0;

  for (int i = 0; i < divisions * divisions; i++)
    {
      double x = fx + ((i % divisions + 0.5) / divisions - 0.5) * df;
      double y = fy + ((i / divisions + 0.5) / divisions - 0.5) * df;

      sum += (x * x + y * y) * phase_power (hypot (x, y), aperture_m, outer_scale_m);
    }

  return sum / (divisions * divisions) / (fx * fx + fy * fy);
}

/* Zernike tilt of a wave across the aperture, per unit of its amplitude.
 * Source: Noll 1976, equation 8, for j = 2: 4 J2(πDf)/(πDf). */
static double
tilt_response (double f_per_m,
               double aperture_m)
{
  double z = M_PI * f_per_m * aperture_m;

  return z < 1e-4 ? 0.5 * z : 4.0 * jn (2, z) / z;
}

typedef struct
{
  fftwf_complex *spectrum, *filtered;
  fftwf_plan     plan;
} Maker;

static void
fill_spectrum (fftwf_complex *spectrum,
               guint64        seed,
               FilSimStream   stream,
               double         aperture_m,
               double         outer_scale_m,
               double         df)
{
  const int half = GRID / 2 + 1;

  for (int y = 0; y < GRID; y++)
    {
      FilSimRandom random = fil_sim_random_init (seed, stream, (guint64) y);
      double fy = (y <= GRID / 2 ? y : y - GRID) * df;

      for (int x = 0; x < half; x++)
        {
          double f = hypot (x * df, fy);
          float amplitude = 0.0f, re, im;

          if (f > 6.0 * df)
            amplitude = (float) (df * sqrt (0.5 * phase_power (f, aperture_m, outer_scale_m)));
          else if (f > 0.0)
            amplitude = (float) (df * sqrt (0.5 * cell_power (x * df, fy, df, aperture_m,
                                                              outer_scale_m)));
          fil_sim_random_normal_pair (&random, &re, &im);
          spectrum[y * half + x][0] = amplitude * re;
          spectrum[y * half + x][1] = amplitude * im;
        }
    }
  /* The axis x = 0 holds both halves of itself. */
  for (int y = 1; y < GRID / 2; y++)
    {
      spectrum[(GRID - y) * half][0] = spectrum[y * half][0];
      spectrum[(GRID - y) * half][1] = -spectrum[y * half][1];
    }
}

static float *
transform (Maker *maker)
{
  float *screen = fftwf_alloc_real ((gsize) GRID * GRID);

  fftwf_execute_dft_c2r (maker->plan, maker->filtered, screen);

  return screen;
}

static float *
make_phase (Maker *maker)
{
  for (gsize i = 0; i < (gsize) GRID * (GRID / 2 + 1); i++)
    {
      maker->filtered[i][0] = maker->spectrum[i][0];
      maker->filtered[i][1] = maker->spectrum[i][1];
    }

  return transform (maker);
}

/* The tilt of the aperture round each point; @axis 0: x, 1: y. */
static float *
make_tilt (Maker       *maker,
           const float *response,
           int          axis)
{
  const int half = GRID / 2 + 1;

  for (int y = 0; y < GRID; y++)
    for (int x = 0; x < half; x++)
      {
        int ky = y <= GRID / 2 ? y : y - GRID;
        float length = sqrtf ((float) (x * x + ky * ky));
        float along = axis == 0 ? (float) x : (float) ky;
        /* response[] is sampled at half steps of the radius: smooth enough */
        float gain = length > 0.0f ? response[(int) (2.0f * length + 0.5f)] * along / length : 0.0f;
        gsize i = (gsize) (y * half + x);

        maker->filtered[i][0] = -gain * maker->spectrum[i][1];
        maker->filtered[i][1] = gain * maker->spectrum[i][0];
      }

  return transform (maker);
}

static void
make_waves (Wave         *waves,
            guint64       seed,
            FilSimStream  stream,
            double        aperture_m,
            double        outer_scale_m,
            double        df)
{
  FilSimRandom random = fil_sim_random_init (seed, stream, GRID);

  for (int level = 0; level < LEVELS; level++)
    {
      df /= 3.0;
      for (int i = 0, n = 0; i < 9; i++)
        {
          Wave *wave = &waves[level * 8 + n];
          double amplitude;

          if (i == 4)
            continue;
          wave->fx = (i % 3 - 1) * df;
          wave->fy = (i / 3 - 1) * df;
          amplitude = df * sqrt (cell_power (wave->fx, wave->fy, df, aperture_m, outer_scale_m));
          wave->cosine = amplitude * fil_sim_random_normal (&random);
          wave->sine = amplitude * fil_sim_random_normal (&random);
          n++;
        }
    }
}

static void
make_layer (Layer        *layer,
            guint64       seed,
            FilSimStream  stream,
            double        aperture_m,
            double        outer_scale_m,
            gboolean      with_phase)
{
  const gsize n = (gsize) GRID * (GRID / 2 + 1);
  const double df = GRID_PER_APERTURE / (GRID * aperture_m);
  Maker maker = { fftwf_alloc_complex (n), fftwf_alloc_complex (n), NULL };
  float *scratch = fftwf_alloc_real ((gsize) GRID * GRID);
  float *response = g_new (float, 2 * GRID);

  fil_fftw_lock ();
  maker.plan = fftwf_plan_dft_c2r_2d (GRID, GRID, maker.filtered, scratch, FFTW_ESTIMATE);
  fil_fftw_unlock ();
  for (int i = 0; i < 2 * GRID; i++)
    response[i] = (float) tilt_response (0.5 * i * df, aperture_m);

  fill_spectrum (maker.spectrum, seed, stream, aperture_m, outer_scale_m, df);
  layer->phase = with_phase ? make_phase (&maker) : NULL;
  layer->tilt_x = make_tilt (&maker, response, 0);
  layer->tilt_y = make_tilt (&maker, response, 1);
  make_waves (layer->waves, seed, stream, aperture_m, outer_scale_m, df);

  fil_fftw_lock ();
  fftwf_destroy_plan (maker.plan);
  fil_fftw_unlock ();
  fftwf_free (maker.spectrum);
  fftwf_free (maker.filtered);
  fftwf_free (scratch);
  g_free (response);
}

/**
 * fil_sim_air_new:
 * @seed: which air
 * @aperture_m: the telescope's
 * @wavelength_m: the light's
 * @outer_scale_m: of the turbulence; very large: Kolmogorov's
 *
 * Returns: (transfer full)
 */
FilSimAir *
fil_sim_air_new (guint64 seed,
                 double  aperture_m,
                 double  wavelength_m,
                 double  outer_scale_m)
{
  FilSimAir *air = g_new0 (FilSimAir, 1);

  air->aperture_m = aperture_m;
  air->step_m = aperture_m / GRID_PER_APERTURE;
  /* a·2ρ over the radius D/2 is a slope of 4a/D radians of phase a metre. */
  air->arcsec_per_rad = 4.0 / aperture_m * wavelength_m / (2.0 * M_PI) / FIL_SIM_ARCSEC_RAD;
  make_layer (&air->ground, seed, FIL_SIM_STREAM_GROUND, aperture_m, outer_scale_m, TRUE);
  make_layer (&air->high, seed, FIL_SIM_STREAM_HIGH, aperture_m, outer_scale_m, FALSE);

  return air;
}

static void
free_layer (Layer *layer)
{
  fftwf_free (layer->phase);
  fftwf_free (layer->tilt_x);
  fftwf_free (layer->tilt_y);
}

void
fil_sim_air_free (FilSimAir *air)
{
  if (air == NULL)
    return;

  free_layer (&air->ground);
  free_layer (&air->high);
  g_free (air);
}

/* The four grid points round a place on a periodic screen. */
typedef struct
{
  int   corner[4];
  float weight[4];
} Corners;

static inline Corners
find_corners (double x,
              double y)
{
  double fx = floor (x), fy = floor (y);
  int x0 = (int) ((gint64) fx & (GRID - 1)), y0 = (int) ((gint64) fy & (GRID - 1));
  int x1 = (x0 + 1) & (GRID - 1), y1 = (y0 + 1) & (GRID - 1);
  float tx = (float) (x - fx), ty = (float) (y - fy);

  return (Corners) {
    { y0 * GRID + x0, y0 * GRID + x1, y1 * GRID + x0, y1 * GRID + x1 },
    { (1 - tx) * (1 - ty), tx * (1 - ty), (1 - tx) * ty, tx * ty },
  };
}

static inline float
read_screen (const float   *screen,
             const Corners *at)
{
  return at->weight[0] * screen[at->corner[0]] + at->weight[1] * screen[at->corner[1]] +
         at->weight[2] * screen[at->corner[2]] + at->weight[3] * screen[at->corner[3]];
}

/* Tilt coefficients of the slow waves: their slope at the point, D/4 a unit. */
static void
add_waves (const FilSimAir *air,
           const Layer     *layer,
           double           x_m,
           double           y_m,
           double           scale,
           double          *tilt_x,
           double          *tilt_y)
{
  for (int i = 0; i < WAVES; i++)
    {
      const Wave *wave = &layer->waves[i];
      double angle = 2.0 * M_PI * (wave->fx * x_m + wave->fy * y_m);
      double slope = scale * 2.0 * M_PI * (wave->sine * cos (angle) - wave->cosine * sin (angle));

      *tilt_x += 0.25 * air->aperture_m * wave->fx * slope;
      *tilt_y += 0.25 * air->aperture_m * wave->fy * slope;
    }
}

static void
add_layer (const FilSimAir *air,
           const Layer     *layer,
           double           x_m,
           double           y_m,
           double           scale,
           double          *tilt_x,
           double          *tilt_y)
{
  Corners at = find_corners (x_m / air->step_m, y_m / air->step_m);

  *tilt_x += scale * (double) read_screen (layer->tilt_x, &at);
  *tilt_y += scale * (double) read_screen (layer->tilt_y, &at);
}

/**
 * fil_sim_air_get_common_tilt:
 * @tilt_x_arcsec: (out): how far the whole picture is moved
 * @tilt_y_arcsec: (out): the same, upward
 *
 * Zernike tilt over the aperture of what all directions share: the lower
 * layer, and of the upper one what is too slow to differ over the field.
 * Any thread.
 */
void
fil_sim_air_get_common_tilt (const FilSimAir      *air,
                             const FilSimAirPlace *place,
                             double               *tilt_x_arcsec,
                             double               *tilt_y_arcsec)
{
  const double ground = sqrt (GROUND_SHARE), high = sqrt (1.0 - GROUND_SHARE);
  const double scale = place->strength * air->arcsec_per_rad;
  double x = 0.0, y = 0.0;

  add_layer (air, &air->ground, place->ground_x, place->ground_y, ground, &x, &y);
  add_waves (air, &air->ground, place->ground_x, place->ground_y, ground, &x, &y);
  add_waves (air, &air->high, place->high_x, place->high_y, high, &x, &y);
  *tilt_x_arcsec = scale * x;
  *tilt_y_arcsec = scale * y;
}

/**
 * fil_sim_air_get_local_tilt:
 * @x_arcsec: direction from the picture's middle
 * @y_arcsec: the same, upward
 * @tilt_x_arcsec: (out): how far the picture is moved there, beyond the
 *   common motion
 * @tilt_y_arcsec: (out): the same, upward
 *
 * Zernike tilt of the upper layer over the part of it that is seen through
 * in this direction. Any thread.
 */
void
fil_sim_air_get_local_tilt (const FilSimAir      *air,
                            const FilSimAirPlace *place,
                            double                x_arcsec,
                            double                y_arcsec,
                            double               *tilt_x_arcsec,
                            double               *tilt_y_arcsec)
{
  const double scale = place->strength * air->arcsec_per_rad;
  const double reach = HIGH_ALTITUDE_M * FIL_SIM_ARCSEC_RAD;
  double x = 0.0, y = 0.0;

  add_layer (air, &air->high, place->high_x + reach * x_arcsec,
             place->high_y + reach * y_arcsec, sqrt (1.0 - GROUND_SHARE), &x, &y);
  *tilt_x_arcsec = scale * x;
  *tilt_y_arcsec = scale * y;
}

static void
remove_plane (const FilSimPupilPoint *points,
              int                     n_points,
              float                  *phase)
{
  double w = 0.0, xx = 0.0, yy = 0.0, p = 0.0, px = 0.0, py = 0.0;
  float mean, slope_x, slope_y;

  for (int i = 0; i < n_points; i++)
    {
      const FilSimPupilPoint *point = &points[i];
      double weighted = (double) (point->weight * phase[i]);

      w += (double) point->weight;
      xx += (double) (point->weight * point->x * point->x);
      yy += (double) (point->weight * point->y * point->y);
      p += weighted;
      px += weighted * (double) point->x;
      py += weighted * (double) point->y;
    }
  mean = (float) (p / w);
  slope_x = (float) (px / xx);
  slope_y = (float) (py / yy);
  for (int i = 0; i < n_points; i++)
    phase[i] -= mean + slope_x * points[i].x + slope_y * points[i].y;
}

/**
 * fil_sim_air_get_phase:
 * @points: the pupil
 * @phase_rad: (out) (array length=n_points): both layers' phase in the
 *   middle of the field, mean and tilt removed
 *
 * The upper layer's share is read from a distant part of the same screen.
 * Any thread.
 */
void
fil_sim_air_get_phase (const FilSimAir        *air,
                       const FilSimAirPlace   *place,
                       const FilSimPupilPoint *points,
                       int                     n_points,
                       float                  *phase_rad)
{
  const double radius = 0.5 * GRID_PER_APERTURE;
  const double x0 = place->ground_x / air->step_m, y0 = place->ground_y / air->step_m;
  const double x1 = place->high_x / air->step_m + GRID / 2;
  const double y1 = place->high_y / air->step_m + GRID / 2;
  const float ground = (float) (place->strength * sqrt (GROUND_SHARE));
  const float high = (float) (place->strength * sqrt (1.0 - GROUND_SHARE));

  for (int i = 0; i < n_points; i++)
    {
      double px = radius * (double) points[i].x, py = radius * (double) points[i].y;
      Corners low = find_corners (x0 + px, y0 + py), up = find_corners (x1 + px, y1 + py);

      phase_rad[i] = ground * read_screen (air->ground.phase, &low) +
                     high * read_screen (air->ground.phase, &up);
    }
  remove_plane (points, n_points, phase_rad);
}

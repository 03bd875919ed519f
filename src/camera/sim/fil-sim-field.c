/* fil-sim-field.c: transfer functions over the field of view
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where best focus lies differently over the field, transfer functions are
 * computed for a few distances and blended for those between. */

#include <math.h>

#include "fil-sim-field.h"
#include "fil-sim-math.h"

#define MAX_LEVELS  40
#define LEVEL_STEP  0.3    /* of asinh (distance/depth of focus): dense about focus */
#define MAX_MOMENTS 6      /* of an exposure in which the air moves */

struct _FilSimField
{
  const FilSimStage *stage;
  FilSimTransfer    *transfer;
  gsize              length;               /* of one transfer function */
  int                n_points;
  const FilSimPupilPoint *points;
  float             *air_phase;            /* MAX_MOMENTS × n_points */
  float             *phase;

  FilSimBlurMoment   moment;
  int                n_levels;
  double             depth_um;             /* 2λN², half the depth of focus */
  double             only_um;              /* distance from best focus where there's one level */
  int                first_level;          /* in steps from best focus */
  int                middle_level;         /* the one nearest to the picture's middle */
  fftwf_complex     *levels[MAX_LEVELS];
  fftwf_complex     *blend;
  double             strehl, shift_x, shift_y;   /* of the middle level */
};

FilSimField *
fil_sim_field_new (const FilSimStage *stage)
{
  FilSimField *field = g_new0 (FilSimField, 1);
  int tile = fil_sim_tiles_get_size (stage->tiles);

  field->stage = stage;
  field->depth_um = 2.0 * stage->optics.wavelength_m * 1e6 * stage->optics.focal_ratio *
                    stage->optics.focal_ratio;
  field->length = (gsize) tile * (gsize) (tile / 2 + 1);
  field->transfer = fil_sim_transfer_new (stage->optics.cutoff_cycles_per_px / stage->oversampling,
                                          stage->optics.obstruction_ratio,
                                          stage->oversampling, tile);
  field->points = fil_sim_transfer_get_points (field->transfer, &field->n_points);
  field->air_phase = g_new (float, MAX_MOMENTS * field->n_points);
  field->phase = g_new (float, field->n_points);
  field->blend = fftwf_alloc_complex (field->length);

  return field;
}

void
fil_sim_field_free (FilSimField *field)
{
  if (field == NULL)
    return;

  for (int i = 0; i < MAX_LEVELS; i++)
    fftwf_free (field->levels[i]);
  fftwf_free (field->blend);
  fil_sim_transfer_free (field->transfer);
  g_free (field->air_phase);
  g_free (field->phase);
  g_free (field);
}

/**
 * fil_sim_field_defocus_um:
 * @focus_um: the sensor's place
 * @u: −1 to 1 over the sensor's width
 * @v: −1 to 1 over its height, upward
 *
 * Returns: how far the sensor is behind best focus there, micrometres
 */
double
fil_sim_field_defocus_um (const FilSimStage *stage,
                          double             focus_um,
                          double             u,
                          double             v)
{
  const FilSimSettings *s = &stage->settings;

  return focus_um - (s->defocus_um + s->tilt_x_um * u + s->tilt_y_um * v +
                     s->curvature_um * 0.5 * (u * u + v * v));
}

/* Phase of defocus and astigmatism: a sensor δ from focus sees a wavefront
 * of δ/(8N²) at the rim (Born & Wolf, section 9.1, small angles; from memory). */
static void
set_phase (FilSimField *field,
           const float *air,
           double       defocus_um)
{
  const FilSimOptics *optics = &field->stage->optics;
  double rim_rad = 2.0 * M_PI * 1e-6 / optics->wavelength_m /
                   (8.0 * optics->focal_ratio * optics->focal_ratio);
  float a = (float) (rim_rad * defocus_um);
  float b = (float) (rim_rad * 0.5 * field->moment.astigmatism_um);

  for (int i = 0; i < field->n_points; i++)
    {
      float xx = field->points[i].x * field->points[i].x;
      float yy = field->points[i].y * field->points[i].y;

      field->phase[i] = air[i] + a * (xx + yy) + b * (xx - yy);
    }
}

/* How many moments of the exposure are told apart: the wind must not carry
 * the air by more than a fraction of r0 between them. */
static int
count_moments (const FilSimBlurMoment *moment)
{
  double wind = MAX (hypot (moment->ground_vx, moment->ground_vy),
                     hypot (moment->high_vx, moment->high_vy));

  return (int) fil_sim_clamp (ceil (wind * moment->exposure_s / (0.4 * moment->r0_m)), 1.0,
                              MAX_MOMENTS);
}

/* The air's phase at each moment, with the motion within the exposure. */
static int
sample_air (FilSimField *field)
{
  const FilSimBlurMoment *moment = &field->moment;
  const FilSimAir *air = field->stage->air;
  const FilSimOptics *optics = &field->stage->optics;
  int n = count_moments (moment);
  double tilt_x[MAX_MOMENTS], tilt_y[MAX_MOMENTS], mean_x = 0.0, mean_y = 0.0;
  /* A tilt of 1 arcsec is so many radians of phase at the pupil's rim. */
  double rim = M_PI * optics->aperture_m * FIL_SIM_ARCSEC_RAD / optics->wavelength_m;

  for (int i = 0; i < n; i++)
    {
      double dt = ((i + 0.5) / n - 0.5) * moment->exposure_s;
      FilSimAirPlace place = moment->air;
      double local_x, local_y;

      place.ground_x += dt * moment->ground_vx;
      place.ground_y += dt * moment->ground_vy;
      place.high_x += dt * moment->high_vx;
      place.high_y += dt * moment->high_vy;
      fil_sim_air_get_phase (air, &place, field->points, field->n_points,
                             field->air_phase + i * field->n_points);
      fil_sim_air_get_common_tilt (air, &place, &tilt_x[i], &tilt_y[i]);
      fil_sim_air_get_local_tilt (air, &place, 0.0, 0.0, &local_x, &local_y);
      tilt_x[i] += local_x;
      tilt_y[i] += local_y;
      mean_x += tilt_x[i] / n;
      mean_y += tilt_y[i] / n;
    }

  for (int i = 0; i < n && n > 1; i++)
    {
      float x = (float) (rim * (tilt_x[i] - mean_x)), y = (float) (rim * (tilt_y[i] - mean_y));
      float *phase = field->air_phase + i * field->n_points;

      for (int j = 0; j < field->n_points; j++)
        phase[j] += x * field->points[j].x + y * field->points[j].y;
    }

  return n;
}

static void
make_level (FilSimField *field,
            int          level,
            int          n_moments)
{
  double defocus_um = field->n_levels == 1
                        ? field->only_um
                        : field->depth_um * sinh (LEVEL_STEP * (field->first_level + level));
  double strehl, x, y;

  if (field->levels[level] == NULL)
    field->levels[level] = fftwf_alloc_complex (field->length);

  fil_sim_transfer_clear (field->transfer);
  for (int i = 0; i < n_moments; i++)
    {
      set_phase (field, field->air_phase + i * field->n_points, defocus_um);
      fil_sim_transfer_add (field->transfer, field->phase);
    }
  strehl = fil_sim_transfer_finish (field->transfer, field->levels[level], &x, &y);

  if (level == field->middle_level)
    {
      field->strehl = strehl;
      field->shift_x = x;
      field->shift_y = y;
    }
}

/* Steps from best focus, a real number. */
static double
level_of (const FilSimField *field,
          double             defocus_um)
{
  return asinh (defocus_um / field->depth_um) / LEVEL_STEP;
}

/* Distances from best focus that occur, sampled over the field. */
static void
choose_levels (FilSimField *field)
{
  const FilSimStage *stage = field->stage;
  const double focus_um = field->moment.focus_um;
  double low = G_MAXDOUBLE, high = -G_MAXDOUBLE;
  int last;

  for (int i = 0; i < 81; i++)
    {
      double here = fil_sim_field_defocus_um (stage, focus_um, (i % 9 - 4) / 4.0, (i / 9 - 4) / 4.0);

      low = MIN (low, here);
      high = MAX (high, here);
    }
  if (high - low < 0.02 * field->depth_um)
    {
      field->n_levels = 1;
      field->only_um = 0.5 * (low + high);
      field->middle_level = 0;
      return;
    }

  field->first_level = (int) floor (level_of (field, low));
  last = MIN ((int) ceil (level_of (field, high)), field->first_level + MAX_LEVELS - 1);
  field->n_levels = MAX (last - field->first_level + 1, 2);
  field->middle_level = CLAMP ((int) lround (level_of (field, fil_sim_field_defocus_um (stage, focus_um, 0.0, 0.0))) -
                                 field->first_level, 0, field->n_levels - 1);
}

/**
 * fil_sim_field_set:
 *
 * Computes the blur of a moment.
 */
void
fil_sim_field_set (FilSimField            *field,
                   const FilSimBlurMoment *moment)
{
  int n_moments;

  field->moment = *moment;
  choose_levels (field);
  n_moments = sample_air (field);
  for (int i = 0; i < field->n_levels; i++)
    make_level (field, i, n_moments);
}

/* Where the optics pass anything, between two levels. */
static void
blend (FilSimField *field,
       int          level,
       float        share)
{
  const int size = fil_sim_tiles_get_size (field->stage->tiles), half = size / 2 + 1;
  const int reach = fil_sim_tiles_get_reach (field->stage->tiles);

  for (int y = -reach; y < reach; y++)
    {
      gsize row = (gsize) ((y + size) % size) * (gsize) half;
      const fftwf_complex *a = field->levels[level] + row, *b = field->levels[level + 1] + row;
      fftwf_complex *out = field->blend + row;

      for (int x = 0; x < reach; x++)
        {
          out[x][0] = a[x][0] + share * (b[x][0] - a[x][0]);
          out[x][1] = a[x][1] + share * (b[x][1] - a[x][1]);
        }
    }
}

/**
 * fil_sim_field_at:
 * @x: scene sample
 * @y: scene sample
 *
 * Returns: (transfer none): the transfer function there, valid until the next call
 */
const fftwf_complex *
fil_sim_field_at (FilSimField *field,
                  double       x,
                  double       y)
{
  const FilSimSettings *settings = &field->stage->settings;
  double u = fil_sim_clamp (2.0 * x / (settings->width * field->stage->oversampling) - 1.0, -1.1, 1.1);
  double v = fil_sim_clamp (1.0 - 2.0 * y / (settings->height * field->stage->oversampling), -1.1, 1.1);
  double place, share;
  int level;

  if (field->n_levels == 1)
    return field->levels[0];

  place = level_of (field, fil_sim_field_defocus_um (field->stage, field->moment.focus_um, u, v)) -
          field->first_level;
  level = (int) fil_sim_clamp (floor (place), 0.0, field->n_levels - 2);
  share = fil_sim_clamp (place - level, 0.0, 1.0);
  blend (field, level, (float) share);

  return field->blend;
}

/* Returns: Strehl ratio in the middle of the range of focus, 0 to 1 */
double
fil_sim_field_get_strehl (const FilSimField *field)
{
  return field->strehl;
}

/* Samples by which the transfer functions move a picture, right and down. */
void
fil_sim_field_get_shift (const FilSimField *field,
                         double            *x,
                         double            *y)
{
  *x = field->shift_x;
  *y = field->shift_y;
}

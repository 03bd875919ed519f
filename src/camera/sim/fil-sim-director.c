/* fil-sim-director.c: lets the simulated day go by, frame by frame
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Wind, bursts of good and bad air, the drive, the focuser with its lag and
 * backlash, a hand on the tube: everything that moves in time and isn't the
 * Sun. Steps of time are small and the same for the same frames, so a seed
 * gives one history. */

#include <math.h>

#include "fil-sim-director.h"
#include "fil-sim-math.h"
#include "fil-sim-noise.h"
#include "fil-sim-random.h"

#define STEP_S            0.02     /* longest step in time */
#define MAX_STEPS         5000     /* a longer pause is taken in coarser steps */

/* Invented, but such as observers know them. */
#define BURST_SD          0.18     /* of ln r0 */
#define GUST_SHARE        0.35
#define HIGH_WIND_FACTOR  2.2
#define FOCUSER_UM_S      1500.0   /* at the sensor */
#define FOCUSER_LAG_S     0.12     /* from command to motion */
#define BACKLASH_UM       40.0
#define SLEW_ARCSEC_S     240.0    /* by the hand box */
#define KNOCK_ARCSEC      12.0
#define KNOCK_DECAY_S     0.6
#define KNOCK_HZ          6.0

/* The Sun's hour angle grows by 15 arcsec a second. The simulated day is one
 * at 1 au, 4 April 2026, when it stands 5.66° north of the equator
 * (astropy 5.2.1; sim_sun.py). */
#define DRIFT_ARCSEC_S    (15.0 * 0.99513)

struct _FilSimDirector
{
  FilSimSettings settings;
  double         aperture_m;
  double         wavelength_m;
  double         parity;             /* −1 where the rig mirrors */
  guint          frames_per_blur;
  guint32        seed;
  gboolean       still;              /* no bursts, no gusts */

  double         time_s;
  FilSimAirPlace air;
  double         ground_vx, ground_vy, high_vx, high_vy;
  double         drift_arcsec;       /* to the west */
  double         west_arcsec, north_arcsec;   /* where the telescope points, beside the target */

  double         motor_um;           /* of the focuser */
  double         carriage_um;        /* follows with backlash */
  double         command_um;
  double         command_age_s;

  guint          knocks;
  guint          centrings;
  double         knock_age_s;
  double         knock_angle;

  FilSimBlurMoment blur;
  guint64          blur_index;
};

/**
 * fil_sim_director_new:
 * @knobs: as they stand at the start: the focuser is where it was sent
 * @frames_per_blur: how many frames share one transfer function, from 1
 *
 * Returns: (transfer full)
 */
FilSimDirector *
fil_sim_director_new (const FilSimSettings *settings,
                      const FilSimOptics   *optics,
                      const FilSimKnobs    *knobs,
                      guint                 frames_per_blur)
{
  FilSimDirector *director = g_new0 (FilSimDirector, 1);
  FilSimRandom random = fil_sim_random_init (settings->seed, FIL_SIM_STREAM_BURSTS, 0);

  director->settings = *settings;
  director->aperture_m = optics->aperture_m;
  director->wavelength_m = optics->wavelength_m;
  director->parity = optics->mirrored ? -1.0 : 1.0;
  director->frames_per_blur = MAX (frames_per_blur, 1);
  director->seed = (guint32) fil_sim_random_next (&random);
  director->blur_index = G_MAXUINT64;
  director->knock_age_s = 1e6;
  director->knocks = knobs->knocks;
  director->centrings = knobs->centrings;
  director->motor_um = director->carriage_um = director->command_um = knobs->focus_um;
  director->command_age_s = 1e6;
  director->west_arcsec = 60.0 * knobs->west_arcmin;
  director->north_arcsec = 60.0 * knobs->north_arcmin;
  /* Anywhere over the screens. */
  director->air.ground_x = fil_sim_random_range (&random, 0.0, 100.0);
  director->air.ground_y = fil_sim_random_range (&random, 0.0, 100.0);
  director->air.high_x = fil_sim_random_range (&random, 0.0, 100.0);
  director->air.high_y = fil_sim_random_range (&random, 0.0, 100.0);

  return director;
}

void
fil_sim_director_free (FilSimDirector *director)
{
  g_free (director);
}

/* Holds r0 and the wind at their nominal values: tests compare with theory. */
void
fil_sim_director_hold_air (FilSimDirector *director)
{
  director->still = TRUE;
}

/* Slow ups and downs, about standard normal at any time. */
static double
slow_normal (guint32 seed,
             double  time_s)
{
  /* Value noise has a standard deviation of about 0.4; four terms, 0.8. */
  return 1.25 * (double) (fil_sim_noise (seed, (float) (time_s / 0.35), 0.5f) +
                          fil_sim_noise (seed + 1, (float) (time_s / 1.1), 0.5f) +
                          fil_sim_noise (seed + 2, (float) (time_s / 3.7), 0.5f) +
                          fil_sim_noise (seed + 3, (float) (time_s / 13.0), 0.5f));
}

/* Fried's parameter of this moment at the rig's wavelength, metres: it grows
 * with λ^(6/5) (Fried 1966; from memory). */
static double
current_r0_m (const FilSimDirector *director,
              const FilSimKnobs    *knobs)
{
  double nominal = knobs->r0_mm * 1e-3 * pow (director->wavelength_m / 500e-9, 1.2);

  if (director->still)
    return nominal;

  return nominal * exp (BURST_SD * slow_normal (director->seed, director->time_s));
}

static void
step_wind (FilSimDirector    *director,
           const FilSimKnobs *knobs,
           double             dt)
{
  double gust = director->still ? 0.0 : GUST_SHARE * slow_normal (director->seed + 9, director->time_s);
  double speed = knobs->wind_m_s * fil_sim_clamp (1.0 + gust, 0.2, 2.5);
  double high = HIGH_WIND_FACTOR * knobs->wind_m_s;

  /* Directions differ, and no ratio of them is a simple one. */
  director->ground_vx = 0.839 * speed;
  director->ground_vy = 0.545 * speed;
  director->high_vx = 0.956 * high;
  director->high_vy = -0.293 * high;
  director->air.ground_x += dt * director->ground_vx;
  director->air.ground_y += dt * director->ground_vy;
  director->air.high_x += dt * director->high_vx;
  director->air.high_y += dt * director->high_vy;
}

static void
step_focuser (FilSimDirector    *director,
              const FilSimKnobs *knobs,
              double             dt)
{
  double rest, reach = FOCUSER_UM_S * dt;

  if (knobs->focus_um != director->command_um)
    {
      director->command_um = knobs->focus_um;
      /* While it runs a new goal needs no new start. */
      if (director->motor_um == director->carriage_um || director->command_age_s > 10.0)
        director->command_age_s = 0.0;
    }
  director->command_age_s += dt;
  if (director->command_age_s < FOCUSER_LAG_S)
    return;

  rest = director->command_um - director->motor_um;
  director->motor_um += fil_sim_clamp (rest, -reach, reach);
  director->carriage_um = fil_sim_clamp (director->carriage_um,
                                         director->motor_um - BACKLASH_UM,
                                         director->motor_um);
}

static gboolean
is_slewing (const FilSimDirector *director,
            const FilSimKnobs    *knobs)
{
  return director->west_arcsec != 60.0 * knobs->west_arcmin ||
         director->north_arcsec != 60.0 * knobs->north_arcmin;
}

/* Both axes run at one speed, as motors do. */
static void
step_slew (FilSimDirector    *director,
           const FilSimKnobs *knobs,
           double             dt)
{
  double reach = SLEW_ARCSEC_S * dt;

  director->west_arcsec += fil_sim_clamp (60.0 * knobs->west_arcmin - director->west_arcsec,
                                          -reach, reach);
  director->north_arcsec += fil_sim_clamp (60.0 * knobs->north_arcmin - director->north_arcsec,
                                           -reach, reach);
}

static void
step_mount (FilSimDirector    *director,
            const FilSimKnobs *knobs,
            double             dt)
{
  if (!knobs->drive)
    director->drift_arcsec += DRIFT_ARCSEC_S * dt;
  if (knobs->centrings != director->centrings)
    {
      director->centrings = knobs->centrings;
      director->drift_arcsec = 0.0;
      director->west_arcsec = 60.0 * knobs->west_arcmin;
      director->north_arcsec = 60.0 * knobs->north_arcmin;
    }
  step_slew (director, knobs, dt);

  director->knock_age_s += dt;
  if (knobs->knocks != director->knocks)
    {
      director->knocks = knobs->knocks;
      director->knock_age_s = 0.0;
      director->knock_angle = 2.0 * M_PI * (double) fil_sim_hash (director->seed, (gint32) knobs->knocks, 0);
    }
}

static void
step (FilSimDirector    *director,
      const FilSimKnobs *knobs,
      double             dt)
{
  step_wind (director, knobs, dt);
  step_focuser (director, knobs, dt);
  step_mount (director, knobs, dt);
  director->time_s += dt;
}

static void
advance_to (FilSimDirector    *director,
            const FilSimKnobs *knobs,
            double             time_s)
{
  double rest = time_s - director->time_s;
  int n;

  if (rest <= 0.0)
    {
      step (director, knobs, 0.0);
      return;
    }
  n = (int) fil_sim_clamp (ceil (rest / STEP_S - 1e-9), 1.0, MAX_STEPS);
  for (int i = 0; i < n; i++)
    step (director, knobs, rest / n);
}

/* Drift, slewing and knocks, arcsec in the picture. */
static void
set_shift (const FilSimDirector *director,
           FilSimMoment         *moment)
{
  double age = director->knock_age_s, swing = 0.0;

  if (age < 12.0 * KNOCK_DECAY_S)
    swing = KNOCK_ARCSEC * exp (-age / KNOCK_DECAY_S) * sin (2.0 * M_PI * KNOCK_HZ * age);

  /* West is to the right, north up; a mirror turns the picture. The picture
   * goes where the telescope doesn't. */
  moment->shift_x_arcsec = director->parity * (director->drift_arcsec - director->west_arcsec) +
                           swing * cos (director->knock_angle);
  moment->shift_y_arcsec = swing * sin (director->knock_angle) - director->north_arcsec;
}

static void
set_blur (FilSimDirector     *director,
          const FilSimKnobs  *knobs,
          const FilSimMoment *moment,
          guint64             index)
{
  director->blur_index = index;
  director->blur = (FilSimBlurMoment) {
    .serial = index + 1,
    .air = moment->air,
    .ground_vx = director->ground_vx,
    .ground_vy = director->ground_vy,
    .high_vx = director->high_vx,
    .high_vy = director->high_vy,
    .exposure_s = moment->exposure_ms * 1e-3,
    .r0_m = moment->r0_m,
    .focus_um = moment->focus_um,
    .astigmatism_um = knobs->astigmatism_um,
  };
}

/**
 * fil_sim_director_next:
 * @frame: number of the frame, larger than any before; frames may be left out
 * @knobs: as they stand at that frame
 * @moment: (out)
 *
 * Goes on in time to the frame.
 */
void
fil_sim_director_next (FilSimDirector    *director,
                       guint64            frame,
                       const FilSimKnobs *knobs,
                       FilSimMoment      *moment)
{
  guint64 index = frame / director->frames_per_blur;

  advance_to (director, knobs, (double) frame / director->settings.fps);
  *moment = (FilSimMoment) {
    .frame = frame,
    .time_s = director->time_s,
    .air = director->air,
    .r0_m = current_r0_m (director, knobs),
    .focus_um = director->carriage_um,
    .exposure_ms = knobs->exposure_ms,
    .gain_db = knobs->gain_db,
    .black_counts = knobs->black_counts,
    .clouds = knobs->clouds,
  };
  moment->air.strength = pow (director->aperture_m / moment->r0_m, 5.0 / 6.0);
  set_shift (director, moment);
  if (index != director->blur_index)
    set_blur (director, knobs, moment, index);
  moment->blur = director->blur;
}

/* Returns: whether the picture changes by more than the air does, so that
 * frames can't be repeated */
gboolean
fil_sim_director_is_evolving (const FilSimDirector *director,
                              const FilSimKnobs    *knobs)
{
  return !knobs->drive || knobs->clouds > 0.0 || knobs->focus_um != director->motor_um ||
         director->knock_age_s < 12.0 * KNOCK_DECAY_S || is_slewing (director, knobs);
}

/* fil-sim-scene.c: the Sun as no instrument sees it
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Brightness relative to the disc's centre on a grid as fine as the sensor's
 * pixels or finer, drawn where it is asked for. Directions are arcsec from
 * the disc's centre, x to the west, y to the north; the picture has north up
 * and, unless the rig mirrors, west to the right. */

#include <math.h>

#include "fil-sim-granules.h"
#include "fil-sim-math.h"
#include "fil-sim-noise.h"
#include "fil-sim-random.h"
#include "fil-sim-scene.h"
#include "fil-sim-spots.h"

/* asin(695700 km / 1 au): IAU 2015 resolution B3. The simulated day is one at
 * exactly 1 au, so that a seed gives the same pictures every day. */
#define SEMIDIAMETER_ARCSEC 959.23

#define MARGIN_SAMPLES   160          /* of texture beyond the picture, so that motion repeats nothing */
/* Where the spot group stands on the disc, arcsec. */
#define SPOTS_X (-95.0)
#define SPOTS_Y 180.0

#define SKY_AT_LIMB      6e-4         /* light beside the disc, of the disc's centre */
#define SKY_FAR          4e-6

#define FACULAE_MU       0.88         /* nearer to the centre none are seen */
#define MAX_DRAWN_POINTS 16000000.0   /* bound on the time and memory of a texture */

struct _FilSimScene
{
  FilSimTarget    target;
  double          wavelength_nm;
  double          step_arcsec;        /* of a sample */
  double          middle_x, middle_y; /* samples, of the picture */
  double          centre_x, centre_y; /* arcsec, where the picture's middle lies */
  double          parity;             /* −1 where the rig mirrors */
  int             width, height;      /* samples */
  FilSimGranules *granules;
  FilSimSpots    *spots;              /* NULL: none */
  gboolean        shows_limb;         /* all is drawn foreshortened, so that no border shows */
  double          spots_x, spots_y;   /* arcsec, the group's place in the picture */
  guint32         faculae_seed;
};

typedef struct
{
  double wavelength_nm;
  double a[6];
} LimbRow;

/* Neckel & Labs 1994, Solar Physics 153, 91, Table I: I(μ)/I(1) = Σ a_i μ^i. */
static const LimbRow limb_rows[] = {
  { 519.930, { 0.23695, 1.29927, -1.28034, 1.37760, -0.85054, 0.21706 } },
  { 541.760, { 0.26073, 1.27428, -1.30352, 1.47085, -0.96618, 0.26384 } },
  { 559.950, { 0.26892, 1.34319, -1.58427, 1.91271, -1.31350, 0.37295 } },
  { 610.975, { 0.30854, 1.36620, -1.83572, 2.33221, -1.63082, 0.45959 } },
};

static double
evaluate (const double a[6],
          double       mu)
{
  return a[0] + mu * (a[1] + mu * (a[2] + mu * (a[3] + mu * (a[4] + mu * a[5]))));
}

/* Neckel 2005, Solar Physics 229, 13: 422.6 to 1100 nm, other wavelengths
 * take the nearer end. (a1 from memory; the constants sum to 1.) */
static double
limb_darkening_any (double wavelength_nm,
                    double mu)
{
  double um = fil_sim_clamp (wavelength_nm, 422.6, 1100.0) * 1e-3;
  double q = 1.0 / um, q5 = pow (um, -5.0);
  const double a[6] = {
    0.75267 - 0.265577 * q,
    0.93874 + 0.265577 * q - 0.004095 * q5,
    -1.89287 + 0.012582 * q5,
    2.42234 - 0.017117 * q5,
    -1.71150 + 0.011977 * q5,
    0.49062 - 0.003347 * q5,
  };

  return evaluate (a, mu);
}

/**
 * fil_sim_scene_limb_darkening:
 * @wavelength_nm: nanometres
 * @mu: cosine of the angle from the vertical, 0 at the limb, 1 at the centre
 *
 * Brightness of the quiet Sun relative to the disc's centre: the published
 * rows with straight lines between from 519.93 to 610.975 nm, the published
 * formula in wavelength elsewhere.
 */
double
fil_sim_scene_limb_darkening (double wavelength_nm,
                              double mu)
{
  for (guint i = 0; i + 1 < G_N_ELEMENTS (limb_rows); i++)
    {
      const LimbRow *low = &limb_rows[i], *high = &limb_rows[i + 1];
      double t = (wavelength_nm - low->wavelength_nm) / (high->wavelength_nm - low->wavelength_nm);

      if (t >= 0.0 && t <= 1.0)
        return (1.0 - t) * evaluate (low->a, mu) + t * evaluate (high->a, mu);
    }

  return limb_darkening_any (wavelength_nm, mu);
}

/* Next size up that FFTW likes: 2^a 3^b 5^c. */
static int
round_up_to_smooth (int size)
{
  for (;; size++)
    {
      int rest = size;

      while (rest % 2 == 0)
        rest /= 2;
      while (rest % 3 == 0)
        rest /= 3;
      while (rest % 5 == 0)
        rest /= 5;
      if (rest == 1)
        return size;
    }
}

/* A texture without repeats over the picture; where samples are so coarse
 * that granules can hardly be seen it may repeat rather than take long. */
static FilSimGranules *
make_granules (const FilSimScene *scene,
               guint64            seed)
{
  double finer = fil_sim_clamp (ceil (scene->step_arcsec / 0.15), 1.0, 6.0);
  double width = scene->width + MARGIN_SAMPLES, height = scene->height + MARGIN_SAMPLES;
  double share = sqrt (MAX_DRAWN_POINTS / (width * height * finer * finer));

  if (share < 1.0)
    {
      width *= share;
      height *= share;
    }

  return fil_sim_granules_new (seed, scene->wavelength_nm, scene->step_arcsec,
                               round_up_to_smooth ((int) width),
                               round_up_to_smooth ((int) height));
}

static void
aim (FilSimScene *scene)
{
  switch (scene->target)
    {
    case FIL_SIM_TARGET_SPOT:
      /* A rig that shows the whole disc looks at its centre. */
      if (MIN (scene->width, scene->height) * scene->step_arcsec > 1.6 * SEMIDIAMETER_ARCSEC)
        {
          scene->spots_x = SPOTS_X;
          scene->spots_y = SPOTS_Y;
          break;
        }
      scene->centre_x = SPOTS_X;
      scene->centre_y = SPOTS_Y;
      break;

    case FIL_SIM_TARGET_LIMB:   /* the western limb, a little north of the equator */
      scene->centre_x = SEMIDIAMETER_ARCSEC * cos (12.0 / 180.0 * M_PI);
      scene->centre_y = SEMIDIAMETER_ARCSEC * sin (12.0 / 180.0 * M_PI);
      break;

    case FIL_SIM_TARGET_QUIET:
    case FIL_SIM_N_TARGETS:
    default:
      scene->centre_x = scene->centre_y = 0.0;
    }
}

/* All but the granulation, which takes the time. */
static FilSimScene *
scene_new_bare (const FilSimOptics *optics,
                guint64             seed,
                FilSimTarget        target,
                int                 width,
                int                 height,
                int                 oversampling)
{
  FilSimScene *scene = g_new0 (FilSimScene, 1);

  scene->target = target;
  scene->wavelength_nm = optics->wavelength_m * 1e9;
  scene->step_arcsec = optics->plate_scale_arcsec_per_px / oversampling;
  scene->width = width * oversampling;
  scene->height = height * oversampling;
  scene->middle_x = 0.5 * (width - 1) * oversampling;
  scene->middle_y = 0.5 * (height - 1) * oversampling;
  scene->parity = optics->mirrored ? -1.0 : 1.0;
  scene->faculae_seed = (guint32) fil_sim_mix (seed + 77);
  aim (scene);
  scene->shows_limb = hypot (scene->centre_x, scene->centre_y) +
                      0.5 * hypot (scene->width, scene->height) * scene->step_arcsec >
                      0.6 * SEMIDIAMETER_ARCSEC;
  if (target == FIL_SIM_TARGET_SPOT)
    scene->spots = fil_sim_spots_new (seed);

  return scene;
}

/**
 * fil_sim_scene_new:
 * @width: pixels of the whole sensor
 * @height: the same
 * @oversampling: samples a pixel, along each axis
 *
 * Sample (0, 0) lies at the middle of the top left pixel; rows run downward.
 *
 * Returns: (transfer full)
 */
FilSimScene *
fil_sim_scene_new (const FilSimOptics *optics,
                   guint64             seed,
                   FilSimTarget        target,
                   int                 width,
                   int                 height,
                   int                 oversampling)
{
  FilSimScene *scene = scene_new_bare (optics, seed, target, width, height, oversampling);

  scene->granules = make_granules (scene, seed);

  return scene;
}

void
fil_sim_scene_free (FilSimScene *scene)
{
  if (scene == NULL)
    return;

  fil_sim_granules_free (scene->granules);
  fil_sim_spots_free (scene->spots);
  g_free (scene);
}

/* Returns: whether the picture may hold dark sky beside the disc */
gboolean
fil_sim_scene_shows_limb (const FilSimScene *scene)
{
  return scene->shows_limb;
}

static int
wrap (int index,
      int period)
{
  int rest = index % period;

  return rest < 0 ? rest + period : rest;
}

/* Granulation between samples, for where it is seen foreshortened. */
static float
granules_between (const FilSimGranules *granules,
                  double                x_arcsec,
                  double                y_arcsec)
{
  double x = x_arcsec / granules->step_arcsec, y = y_arcsec / granules->step_arcsec;
  double fx = floor (x), fy = floor (y);
  float tx = (float) (x - fx), ty = (float) (y - fy);
  int x0 = wrap ((int) fx, granules->width), x1 = wrap ((int) fx + 1, granules->width);
  const float *low = granules->values + (gsize) wrap ((int) fy, granules->height) * (gsize) granules->width;
  const float *high = granules->values + (gsize) wrap ((int) fy + 1, granules->height) * (gsize) granules->width;

  return (1 - ty) * ((1 - tx) * low[x0] + tx * low[x1]) +
         ty * ((1 - tx) * high[x0] + tx * high[x1]);
}

/* Bright network near the limb: veins of noise in patches. */
static double
faculae (const FilSimScene *scene,
         double             along_arcsec,
         double             across_arcsec,
         double             mu)
{
  float turned_x = (float) (0.83 * along_arcsec + 0.56 * across_arcsec);
  float turned_y = (float) (0.83 * across_arcsec - 0.56 * along_arcsec);
  float patch, x, y, veins, fine;

  if (mu >= FACULAE_MU)
    return 0.0;
  patch = fil_sim_noise (scene->faculae_seed + 2, turned_x / 45.0f, turned_y / 45.0f);
  if (patch <= 0.05f)
    return 0.0;

  /* Bent, so that nothing of the noise's lattice shows. */
  x = turned_x + 4.0f * fil_sim_noise (scene->faculae_seed + 3, turned_x / 7.0f, turned_y / 7.0f);
  y = turned_y + 4.0f * fil_sim_noise (scene->faculae_seed + 4, turned_x / 7.0f, turned_y / 7.0f);
  veins = 1.0f - 2.2f * fabsf (fil_sim_noise (scene->faculae_seed, x / 4.5f, y / 4.5f));
  fine = fil_sim_noise (scene->faculae_seed + 1, x / 1.6f, y / 1.6f);

  return 0.25 * (FACULAE_MU - mu) * (double) (fil_sim_smoothstep (0.30f, 1.0f, veins + 0.3f * fine) *
                                              fil_sim_smoothstep (0.05f, 0.5f, patch));
}

/* Light beside the picture's middle, of the photosphere's there, averaged over
 * the sample where there are spots. */
static float
look_at_surface (const FilSimScene *scene,
                  float              granulation,
                  double             x,
                  double             y)
{
  const double quarter = 0.25 * scene->step_arcsec;
  float sum = 0.0f;

  if (scene->spots == NULL || !fil_sim_spots_touch (scene->spots, x - scene->spots_x, y - scene->spots_y, 2.0 * quarter))
    return 1.0f + granulation;

  for (int i = 0; i < 4; i++)
    {
      float level = 1.0f, share = 1.0f;

      fil_sim_spots_look (scene->spots,
                          (float) (x - scene->spots_x + (i % 2 == 0 ? -quarter : quarter)),
                          (float) (y - scene->spots_y + (i < 2 ? -quarter : quarter)), &level, &share);
      sum += level * (1.0f + share * granulation);
    }

  return 0.25f * sum;
}

/* Light beside the disc, of the disc's centre: air and optics scatter some of
 * the Sun's, less the farther from it; the sky's own blue remains. Orders of
 * magnitude from memory: some hundred millionths beside the limb at a lowland
 * site, of the same order as a clean refractor's own. */
static double
sky_light (double r_arcsec)
{
  double radii = MAX (r_arcsec / SEMIDIAMETER_ARCSEC, 1.0);

  return SKY_AT_LIMB / (radii * radii) + SKY_FAR;
}

/* Light at a direction where the Sun's sphere shows: foreshortened. */
static double
look_near_limb (const FilSimScene *scene,
                double             x,
                double             y)
{
  double r = hypot (x, y), sine, mu, along, across, granulation;
  /* A sample on the limb is partly disc. */
  double share = fil_sim_clamp ((SEMIDIAMETER_ARCSEC - r) / scene->step_arcsec + 0.5, 0.0, 1.0);

  if (share <= 0.0)
    return sky_light (r);

  sine = MIN (r / SEMIDIAMETER_ARCSEC, 1.0);
  mu = sqrt (1.0 - sine * sine);
  along = SEMIDIAMETER_ARCSEC * asin (sine);
  across = SEMIDIAMETER_ARCSEC * atan2 (y, x);
  granulation = (0.3 + 0.7 * mu) * (double) granules_between (scene->granules, along, across);

  return sky_light (r) + share * fil_sim_scene_limb_darkening (scene->wavelength_nm, mu) *
         ((double) look_at_surface (scene, (float) granulation, x - scene->centre_x,
                                    y - scene->centre_y) +
          faculae (scene, along, across, mu));
}

static double
limb_near_centre (const FilSimScene *scene,
                  double             x,
                  double             y)
{
  double dx = (scene->centre_x + x) / SEMIDIAMETER_ARCSEC;
  double dy = (scene->centre_y + y) / SEMIDIAMETER_ARCSEC;

  return fil_sim_scene_limb_darkening (scene->wavelength_nm, sqrt (MAX (1.0 - dx * dx - dy * dy, 0.0)));
}

/* Samples over which limb darkening is taken as straight near the centre:
 * off by less than 1e-6 at the steps of real sensors. */
#define SPAN 16

static void
draw_row_near_centre (const FilSimScene *scene,
                      int                x0,
                      int                sy,
                      int                size,
                      float             *light)
{
  const FilSimGranules *granules = scene->granules;
  const float *texture = granules->values + (gsize) wrap (sy, granules->height) * (gsize) granules->width;
  const double step = scene->parity * scene->step_arcsec;
  double y = -(sy - scene->middle_y) * scene->step_arcsec;
  double x = scene->parity * (x0 - scene->middle_x) * scene->step_arcsec;
  double limb = limb_near_centre (scene, x, y);
  int column = wrap (x0, granules->width);

  for (int begin = 0; begin < size; begin += SPAN, x += SPAN * step)
    {
      double next = limb_near_centre (scene, x + SPAN * step, y);
      gboolean spots = scene->spots != NULL &&
                       fil_sim_spots_touch (scene->spots, x + 0.5 * SPAN * step - scene->spots_x,
                                            y - scene->spots_y, SPAN * fabs (step));

      for (int i = 0; i < MIN (SPAN, size - begin); i++)
        {
          float level = (float) (limb + (next - limb) * i / SPAN);

          light[begin + i] = level * (spots ? look_at_surface (scene, texture[column], x + i * step, y)
                                            : 1.0f + texture[column]);
          column = column + 1 == granules->width ? 0 : column + 1;
        }
      limb = next;
    }
}

/**
 * fil_sim_scene_draw:
 * @x0: first sample
 * @y0: first row
 * @size: of the square
 * @light: (out): size² values, relative to the disc's centre
 *
 * Any place may be asked for, on the disc or beside it. Any thread.
 */
void
fil_sim_scene_draw (const FilSimScene *scene,
                    int                x0,
                    int                y0,
                    int                size,
                    float             *light)
{
  double reach = hypot (MAX (fabs (x0 - scene->middle_x), fabs (x0 + size - scene->middle_x)),
                        MAX (fabs (y0 - scene->middle_y), fabs (y0 + size - scene->middle_y)));
  double furthest = hypot (scene->centre_x, scene->centre_y) + reach * scene->step_arcsec;
  /* Within 0.6 radii foreshortening is hardly seen. */
  gboolean flat = !scene->shows_limb && furthest < 0.6 * SEMIDIAMETER_ARCSEC;

  for (int i = 0; i < size; i++)
    {
      float *row = light + (gsize) i * (gsize) size;
      double y = scene->centre_y - (y0 + i - scene->middle_y) * scene->step_arcsec;

      if (flat)
        {
          draw_row_near_centre (scene, x0, y0 + i, size, row);
          continue;
        }
      for (int j = 0; j < size; j++)
        {
          double x = scene->centre_x +
                     scene->parity * (x0 + j - scene->middle_x) * scene->step_arcsec;

          row[j] = (float) look_near_limb (scene, x, y);
        }
    }
}

/**
 * fil_sim_scene_estimate_mean:
 *
 * Returns: the still picture's mean, relative to the disc's centre, sampled
 *   every few pixels without granulation
 */
double
fil_sim_scene_estimate_mean (const FilSimOptics *optics,
                             guint64             seed,
                             FilSimTarget        target,
                             int                 width,
                             int                 height)
{
  g_autoptr (FilSimScene) scene = scene_new_bare (optics, seed, target, width, height, 1);
  const int divisions = 96;
  double sum = 0.0;

  for (int iy = 0; iy < divisions; iy++)
    for (int ix = 0; ix < divisions; ix++)
      {
        double x = ((ix + 0.5) / divisions - 0.5) * scene->width * scene->step_arcsec;
        double y = ((iy + 0.5) / divisions - 0.5) * scene->height * scene->step_arcsec;
        double dx = (scene->centre_x + scene->parity * x) / SEMIDIAMETER_ARCSEC;
        double dy = (scene->centre_y + y) / SEMIDIAMETER_ARCSEC;
        double mu2 = 1.0 - dx * dx - dy * dy;
        float level = 1.0f, share = 1.0f;

        if (mu2 <= 0.0)
          continue;
        if (scene->spots != NULL)
          fil_sim_spots_look (scene->spots, (float) (scene->parity * x - scene->spots_x),
                              (float) (y - scene->spots_y), &level, &share);
        sum += (double) level * fil_sim_scene_limb_darkening (scene->wavelength_nm, sqrt (mu2));
      }

  return sum / (divisions * divisions);
}

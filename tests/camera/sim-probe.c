/* sim-probe.c: shows the simulated Sun's parts to scripts that know the theory
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sim/fil-sim-air.h"
#include "sim/fil-sim-director.h"
#include "sim/fil-sim-granules.h"
#include "sim/fil-sim-knobs.h"
#include "sim/fil-sim-random.h"
#include "sim/fil-sim-renderer.h"
#include "sim/fil-sim-scene.h"
#include "sim/fil-sim-transfer.h"

/* CUTOFF OBSTRUCTION PIXEL WAVES TILE: a transfer function along x; WAVES of
 * defocus at the pupil's rim. */
static int
show_transfer (char **arguments)
{
  double waves = g_ascii_strtod (arguments[3], NULL);
  int tile = atoi (arguments[4]), n;
  g_autoptr (FilSimTransfer) transfer =
    fil_sim_transfer_new (g_ascii_strtod (arguments[0], NULL), g_ascii_strtod (arguments[1], NULL),
                          g_ascii_strtod (arguments[2], NULL), tile);
  const FilSimPupilPoint *points = fil_sim_transfer_get_points (transfer, &n);
  g_autofree float *phase = g_new (float, n);
  fftwf_complex *otf = fftwf_alloc_complex ((gsize) tile * (gsize) (tile / 2 + 1));
  double strehl, x, y;

  for (int i = 0; i < n; i++)
    phase[i] = (float) (2.0 * M_PI * waves) *
               (points[i].x * points[i].x + points[i].y * points[i].y);
  fil_sim_transfer_clear (transfer);
  fil_sim_transfer_add (transfer, phase);
  strehl = fil_sim_transfer_finish (transfer, otf, &x, &y);

  printf ("%.6f\n", strehl);
  for (int i = 0; i <= tile / 2; i++)
    printf ("%.7f %.7f\n", (double) otf[i][0], (double) otf[i][1]);
  fftwf_free (otf);

  return 0;
}

/* APERTURE_M WAVELENGTH_M OUTER_SCALE_M SEEDS PLACES: motion at r0 = aperture,
 * arcsec² an axis, one line a seed. */
static int
show_motion (char **arguments)
{
  double aperture_m = g_ascii_strtod (arguments[0], NULL);
  int seeds = atoi (arguments[3]), places = atoi (arguments[4]);

  for (int seed = 1; seed <= seeds; seed++)
    {
      g_autoptr (FilSimAir) air = fil_sim_air_new ((guint64) seed, aperture_m,
                                                   g_ascii_strtod (arguments[1], NULL),
                                                   g_ascii_strtod (arguments[2], NULL));
      FilSimRandom random = fil_sim_random_init ((guint64) seed, FIL_SIM_STREAM_NOISE, 0);
      double xx = 0.0, yy = 0.0;

      for (int i = 0; i < places; i++)
        {
          /* Anywhere on either layer: independent of the wind's path. */
          FilSimAirPlace place = {
            1e5 * fil_sim_random_uniform (&random), 1e5 * fil_sim_random_uniform (&random),
            1e5 * fil_sim_random_uniform (&random), 1e5 * fil_sim_random_uniform (&random), 1.0
          };
          double x, y, local_x, local_y;

          fil_sim_air_get_common_tilt (air, &place, &x, &y);
          fil_sim_air_get_local_tilt (air, &place, 0.0, 0.0, &local_x, &local_y);
          xx += (x + local_x) * (x + local_x);
          yy += (y + local_y) * (y + local_y);
        }
      printf ("%.8f %.8f\n", xx / places, yy / places);
    }

  return 0;
}

/* CUTOFF SEEDS PLACES: mean square of the phase without its tilt at r0 =
 * aperture, rad². */
static int
show_wavefront (char **arguments)
{
  int seeds = atoi (arguments[1]), places = atoi (arguments[2]), n;
  g_autoptr (FilSimTransfer) transfer =
    fil_sim_transfer_new (g_ascii_strtod (arguments[0], NULL), 0.0, 0.0, 256);
  const FilSimPupilPoint *points = fil_sim_transfer_get_points (transfer, &n);
  g_autofree float *phase = g_new (float, n);

  for (int seed = 1; seed <= seeds; seed++)
    {
      g_autoptr (FilSimAir) air = fil_sim_air_new ((guint64) seed, 0.1, 540e-9, 1e9);
      FilSimRandom random = fil_sim_random_init ((guint64) seed, FIL_SIM_STREAM_NOISE, 0);
      double sum = 0.0;

      for (int i = 0; i < places; i++)
        {
          FilSimAirPlace place = {
            1e3 * fil_sim_random_uniform (&random), 1e3 * fil_sim_random_uniform (&random),
            1e3 * fil_sim_random_uniform (&random), 1e3 * fil_sim_random_uniform (&random), 1.0
          };
          double squares = 0.0, weights = 0.0;

          fil_sim_air_get_phase (air, &place, points, n, phase);
          for (int j = 0; j < n; j++)
            {
              squares += (double) (points[j].weight * phase[j] * phase[j]);
              weights += (double) points[j].weight;
            }
          sum += squares / weights;
        }
      printf ("%.8f\n", sum / places);
    }

  return 0;
}

/* NM MU…: brightness relative to the disc's centre. */
static int
show_limb (char **arguments,
           int    n)
{
  double nm = g_ascii_strtod (arguments[0], NULL);

  for (int i = 1; i < n; i++)
    printf ("%.7f\n", fil_sim_scene_limb_darkening (nm, g_ascii_strtod (arguments[i], NULL)));

  return 0;
}

/* NM STEP WIDTH HEIGHT SEED: a texture as floats. */
static int
show_granules (char **arguments)
{
  int width = atoi (arguments[2]), height = atoi (arguments[3]);
  g_autoptr (FilSimGranules) granules =
    fil_sim_granules_new (g_ascii_strtoull (arguments[4], NULL, 10),
                          g_ascii_strtod (arguments[0], NULL),
                          g_ascii_strtod (arguments[1], NULL), width, height);

  return fwrite (granules->values, sizeof (float), (gsize) width * (gsize) height, stdout) ==
         (gsize) width * (gsize) height ? 0 : 1;
}

/* Each frame: a line of its truth, then its pixels. */
static void
show_frame (const FilSimView    *view,
            const FilSimMoment  *moment,
            const FilFrameTruth *truth,
            const guint8        *pixels)
{
  printf ("%d %d %d %.6f %.6f %.6f %.3f %.5f %.5f %.6f\n", view->width, view->height,
          view->format->bits, truth->shift_x_px, truth->shift_y_px, truth->r0_mm,
          truth->defocus_um, truth->strehl, truth->transparency, moment->exposure_ms);
  fwrite (pixels, fil_pixel_format_min_stride (view->format, view->width), (gsize) view->height,
          stdout);
}

static void
set_knob (double     *knob,
          const char *value)
{
  if (strcmp (value, "=") != 0)
    *knob = g_ascii_strtod (value, NULL);
}

/* SETTINGS FRAMES RIG EXPOSURE_MS GAIN_DB FOCUS_UM: frames in air whose r0
 * and wind don't change. RIG may be "-", the rest "=" to leave it. */
static int
show_frames (char **arguments)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = NULL;
  FilSimSettings settings;
  FilSimOptics optics;

  rig = strcmp (arguments[2], "-") != 0 ? fil_rig_load (arguments[2], &error) : fil_rig_new_demo ();
  if (rig == NULL || !fil_sim_settings_parse (arguments[0], &settings, &error) ||
      !fil_sim_optics_init (&optics, rig, &error))
    {
      fprintf (stderr, "sim-probe: %s\n", error->message);
      return 1;
    }

  fil_sim_settings_fill_in (&settings, &optics);
  FilSimView view = { fil_sim_settings_find_format (settings.pattern, settings.bits), 0, 0,
                      settings.width, settings.height };
  FilSimPanel panel;

  fil_sim_panel_init (&panel, &settings);
  fil_sim_panel_set_level (&panel, &settings, &optics, view.format);
  set_knob (&panel.knobs.exposure_ms, arguments[3]);
  set_knob (&panel.knobs.gain_db, arguments[4]);
  set_knob (&panel.knobs.focus_um, arguments[5]);

  g_autoptr (FilSimStage) stage = fil_sim_stage_new (&settings, &optics, &view);
  g_autoptr (FilSimDirector) director = fil_sim_director_new (&settings, &optics, &panel.knobs, 1);
  g_autoptr (FilSimRenderer) renderer = fil_sim_renderer_new (stage);
  g_autofree guint8 *pixels = g_malloc (fil_pixel_format_min_stride (view.format, view.width) *
                                        (gsize) view.height);

  fil_sim_director_hold_air (director);
  for (int i = 0; i < atoi (arguments[1]); i++)
    {
      FilSimMoment moment;
      FilFrameTruth truth;

      fil_sim_director_next (director, (guint64) i, &panel.knobs, &moment);
      fil_sim_renderer_render (renderer, &moment, pixels, &truth);
      show_frame (&view, &moment, &truth, pixels);
    }

  return 0;
}

int
main (int   argc,
      char *argv[])
{
  if (argc == 7 && strcmp (argv[1], "transfer") == 0)
    return show_transfer (argv + 2);
  if (argc == 7 && strcmp (argv[1], "motion") == 0)
    return show_motion (argv + 2);
  if (argc == 5 && strcmp (argv[1], "wavefront") == 0)
    return show_wavefront (argv + 2);
  if (argc >= 4 && strcmp (argv[1], "limb") == 0)
    return show_limb (argv + 2, argc - 2);
  if (argc == 7 && strcmp (argv[1], "granules") == 0)
    return show_granules (argv + 2);
  if (argc == 8 && strcmp (argv[1], "frames") == 0)
    return show_frames (argv + 2);

  fprintf (stderr, "sim-probe: transfer, motion, wavefront, limb, granules or frames\n");

  return 2;
}

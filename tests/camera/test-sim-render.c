/* test-sim-render.c: frames don't depend on how they are made
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-cpu.h"
#include "sim/fil-sim-director.h"
#include "sim/fil-sim-field.h"
#include "sim/fil-sim-kernels.h"
#include "sim/fil-sim-knobs.h"
#include "sim/fil-sim-random.h"
#include "sim/fil-sim-renderer.h"

typedef struct
{
  FilSimSettings settings;
  FilSimOptics   optics;
  FilSimView     view;
  FilSimPanel    panel;
  FilSimStage   *stage;
} World;

static void
world_init (World      *world,
            const char *name)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();

  memset (world, 0, sizeof *world);
  g_assert_true (fil_sim_settings_parse (name, &world->settings, NULL));
  g_assert_true (fil_sim_optics_init (&world->optics, rig, NULL));
  fil_sim_settings_fill_in (&world->settings, &world->optics);
  world->view = (FilSimView) {
    fil_sim_settings_find_format (world->settings.pattern, world->settings.bits),
    0, 0, world->settings.width, world->settings.height
  };
  fil_sim_panel_init (&world->panel, &world->settings);
  fil_sim_panel_set_level (&world->panel, &world->settings, &world->optics, world->view.format);
  world->stage = fil_sim_stage_new (&world->settings, &world->optics, &world->view);
}

static void
world_clear (World *world)
{
  fil_sim_stage_free (world->stage);
}

/* Frame @index by itself, after @before others by the same renderer. */
static guint8 *
render (const World   *world,
        guint64        index,
        guint64        before,
        FilFrameTruth *truth)
{
  g_autoptr (FilSimDirector) director = fil_sim_director_new (&world->settings, &world->optics,
                                                              &world->panel.knobs, 1);
  g_autoptr (FilSimRenderer) renderer = fil_sim_renderer_new (world->stage);
  guint8 *pixels = g_malloc ((gsize) world->view.width * (gsize) world->view.height * 2);

  for (guint64 i = 0; i <= index; i++)
    {
      FilSimMoment moment;

      fil_sim_director_next (director, i, &world->panel.knobs, &moment);
      if (i + before >= index)
        fil_sim_renderer_render (renderer, &moment, pixels, truth);
    }

  return pixels;
}

static gsize
n_bytes (const World *world)
{
  return (gsize) world->view.width * (gsize) world->view.height * 2;
}

/* What a renderer did before leaves no trace. */
static void
test_history (void)
{
  FilFrameTruth one, other;
  World world;

  world_init (&world, "sim:width=208,height=150,dust=yes,r0_mm=40,clouds=0.5");
  {
    g_autofree guint8 *a = render (&world, 9, 0, &one);
    g_autofree guint8 *b = render (&world, 9, 6, &other);

    g_assert_cmpmem (a, n_bytes (&world), b, n_bytes (&world));
    g_assert_cmpfloat (one.shift_x_px, ==, other.shift_x_px);
    g_assert_cmpfloat (one.shift_y_px, ==, other.shift_y_px);
    g_assert_cmpfloat (one.strehl, ==, other.strehl);
    g_assert_cmpfloat (one.transparency, ==, other.transparency);
  }
  world_clear (&world);
}

/* The vector clones give what the plain reference gives. */
static void
test_clones (gconstpointer data)
{
  FilFrameTruth truth;
  World world;

  world_init (&world, data);
  {
    g_autofree guint8 *fast = render (&world, 3, 0, &truth), *plain = NULL;

    fil_cpu_set_level (FIL_CPU_SCALAR);
    plain = render (&world, 3, 0, &truth);
    fil_cpu_set_level (FIL_CPU_AVX2);
    g_assert_cmpmem (fast, n_bytes (&world), plain, n_bytes (&world));
  }
  world_clear (&world);
}

/* The kernels by themselves against formulas in double precision. */
static void
test_shift_kernel (void)
{
  float row[80], moved[FIL_SIM_BLOCK * 2];
  const FilSimShift shifts[2] = { { 8, 0.3f, 0.01f }, { 24, 0.9f, -0.02f } };

  /* A wave of 8 samples: six points are good to 1e-3. */
  for (int i = 0; i < 80; i++)
    row[i] = (float) sin (2.0 * M_PI * i / 8.0);
  fil_sim_kernel_shift_row (row, 1, shifts, 2, moved);
  for (int i = 0; i < 2 * FIL_SIM_BLOCK; i++)
    {
      const FilSimShift *shift = &shifts[i / FIL_SIM_BLOCK];
      int k = i % FIL_SIM_BLOCK;
      double place = shift->base + k + (double) shift->t + k * (double) shift->dt;

      g_assert_cmpfloat_with_epsilon ((double) moved[i], sin (2.0 * M_PI * place / 8.0), 2e-3);
    }
}

typedef struct
{
  FilSimField *field;
} Lens;

static const fftwf_complex *
look (double   x,
      double   y,
      gpointer user_data)
{
  return fil_sim_field_at (((Lens *) user_data)->field, x, y);
}

static void
blur_with (World      *world,
           int         size,
           gboolean    gradual,
           FilSimBlur *blur)
{
  const FilSimBlurMoment still = { .serial = 1, .air.strength = 0.0, .r0_m = 1.0 };
  Lens lens;

  fil_sim_tiles_free (world->stage->tiles);
  world->stage->tiles = fil_sim_tiles_new (world->stage->scene, size, gradual,
                                           world->optics.cutoff_cycles_per_px, 3, 5);
  lens.field = fil_sim_field_new (world->stage);
  fil_sim_field_set (lens.field, &still);
  fil_sim_blur_init (blur, world->stage->tiles);
  fil_sim_blur_fill (blur, 20, 20, 500, 360, look, &lens);
  fil_sim_field_free (lens.field);
}

/* Tiles leave no seams: small ones show the same as one that holds it all. */
static void
test_seams (gconstpointer data)
{
  gboolean gradual = GPOINTER_TO_INT (data);
  FilSimBlur small, large;
  double worst = 0.0, squares = 0.0;
  World world;

  world_init (&world, "sim:width=540,height=400");
  blur_with (&world, 1024, FALSE, &large);
  /* The large buffer's tiles go with the next stage; its light stays. */
  {
    g_autofree float *light = g_memdup2 (large.light, sizeof (float) * (gsize) large.pitch *
                                                        (gsize) large.height);
    int x0 = large.x0, y0 = large.y0, pitch = large.pitch;

    fil_sim_blur_clear (&large);
    blur_with (&world, 256, gradual, &small);
    for (int y = 20; y < 380; y++)
      for (int x = 20; x < 520; x++)
        {
          double difference = (double) (small.light[(y - small.y0) * small.pitch + x - small.x0] -
                                        light[(y - y0) * pitch + x - x0]);

          worst = MAX (worst, fabs (difference));
          squares += difference * difference;
        }
    fil_sim_blur_clear (&small);
  }
  g_test_message ("worst %.5f, rms %.6f", worst, sqrt (squares / (360.0 * 500.0)));
  /* The photon noise of a full well of 10000 electrons is 0.01. */
  g_assert_cmpfloat (worst, <, 0.002);
  g_assert_cmpfloat (sqrt (squares / (360.0 * 500.0)), <, 0.0005);
  world_clear (&world);
}

/* Sent to a place the focuser starts late, runs, and arrives; from the other
 * side it stops short by its backlash. */
static void
test_focuser (void)
{
  g_autoptr (FilSimDirector) director = NULL;
  FilSimMoment moment;
  double first;
  World world;

  world_init (&world, "sim:width=64,height=64,fps=100");
  director = fil_sim_director_new (&world.settings, &world.optics, &world.panel.knobs, 1);
  fil_sim_director_next (director, 0, &world.panel.knobs, &moment);
  g_assert_cmpfloat (moment.focus_um, ==, 0.0);

  world.panel.knobs.focus_um = 900.0;
  fil_sim_director_next (director, 5, &world.panel.knobs, &moment);
  g_assert_cmpfloat (moment.focus_um, ==, 0.0);       /* not started yet */
  g_assert_true (fil_sim_director_is_evolving (director, &world.panel.knobs));
  fil_sim_director_next (director, 40, &world.panel.knobs, &moment);
  g_assert_cmpfloat (moment.focus_um, >, 100.0);      /* on its way */
  g_assert_cmpfloat (moment.focus_um, <, 800.0);
  fil_sim_director_next (director, 200, &world.panel.knobs, &moment);
  first = moment.focus_um;
  g_assert_false (fil_sim_director_is_evolving (director, &world.panel.knobs));

  world.panel.knobs.focus_um = 1500.0;
  fil_sim_director_next (director, 400, &world.panel.knobs, &moment);
  world.panel.knobs.focus_um = 900.0;
  fil_sim_director_next (director, 600, &world.panel.knobs, &moment);
  g_assert_cmpfloat_with_epsilon (moment.focus_um - first, 40.0, 1e-6);   /* backlash */
  world_clear (&world);
}

/* A touch of the tube swings and dies away; the clouds dim. */
static void
test_disturbances (void)
{
  g_autoptr (FilSimDirector) director = NULL;
  FilSimMoment moment;
  double swing = 0.0, dimmest = 1.0;
  World world;

  world_init (&world, "sim:width=64,height=64,fps=50,clouds=0.6");
  director = fil_sim_director_new (&world.settings, &world.optics, &world.panel.knobs, 1);
  fil_sim_director_next (director, 0, &world.panel.knobs, &moment);
  g_assert_cmpfloat (hypot (moment.shift_x_arcsec, moment.shift_y_arcsec), ==, 0.0);
  world.panel.knobs.knocks++;
  for (guint64 i = 1; i < 25; i++)
    {
      fil_sim_director_next (director, i, &world.panel.knobs, &moment);
      swing = MAX (swing, hypot (moment.shift_x_arcsec, moment.shift_y_arcsec));
    }
  g_assert_cmpfloat (swing, >, 4.0);
  fil_sim_director_next (director, 1000, &world.panel.knobs, &moment);
  g_assert_cmpfloat (hypot (moment.shift_x_arcsec, moment.shift_y_arcsec), ==, 0.0);

  for (guint64 i = 0; i < 40; i++)
    {
      g_autofree guint8 *pixels = NULL;
      FilFrameTruth truth;

      world.settings.fps = 1.0;
      if (i % 8 == 0)
        {
          pixels = render (&world, i, 0, &truth);
          dimmest = MIN (dimmest, truth.transparency);
        }
    }
  g_assert_cmpfloat (dimmest, <, 0.8);
  world_clear (&world);
}

static double
mean_count (const World     *world,
            FilSimDirector  *director,
            FilSimRenderer  *renderer,
            guint64          index)
{
  const gsize n = (gsize) world->view.width * (gsize) world->view.height;
  g_autofree guint16 *pixels = g_new (guint16, n);
  FilFrameTruth truth;
  FilSimMoment moment;
  double sum = 0.0;

  fil_sim_director_next (director, index, &world->panel.knobs, &moment);
  fil_sim_renderer_render (renderer, &moment, (guint8 *) pixels, &truth);
  for (gsize i = 0; i < n; i++)
    sum += GUINT16_FROM_LE (pixels[i]);

  return sum / (double) n - world->panel.knobs.black_counts;
}

/* The telescope runs to where it is sent, at the speed of its motors, and
 * the picture goes the other way. Beside the disc there is little light, and
 * less farther out; the way back finds the target where it was. */
static void
test_slewing (void)
{
  g_autoptr (FilSimDirector) director = NULL;
  g_autoptr (FilSimRenderer) renderer = NULL;
  FilSimMoment moment;
  double disc, near, far;
  World world;

  world_init (&world, "sim:width=160,height=120,fps=10,target=quiet");
  world.panel.knobs.exposure_ms = world.panel.max_exposure_ms = 90.0;
  director = fil_sim_director_new (&world.settings, &world.optics, &world.panel.knobs, 1);
  renderer = fil_sim_renderer_new (world.stage);
  fil_sim_director_next (director, 0, &world.panel.knobs, &moment);
  g_assert_cmpfloat (hypot (moment.shift_x_arcsec, moment.shift_y_arcsec), ==, 0.0);

  world.panel.knobs.north_arcmin = 8.0;
  fil_sim_director_next (director, 10, &world.panel.knobs, &moment);
  g_assert_cmpfloat_with_epsilon (moment.shift_y_arcsec, -240.0, 1.0);
  g_assert_true (fil_sim_director_is_evolving (director, &world.panel.knobs));
  disc = mean_count (&world, director, renderer, 11);
  fil_sim_director_next (director, 40, &world.panel.knobs, &moment);
  g_assert_cmpfloat_with_epsilon (moment.shift_y_arcsec, -480.0, 1e-9);
  g_assert_false (fil_sim_director_is_evolving (director, &world.panel.knobs));

  world.panel.knobs.north_arcmin = 20.0;
  near = mean_count (&world, director, renderer, 100);
  world.panel.knobs.north_arcmin = 60.0;
  far = mean_count (&world, director, renderer, 300);
  g_assert_cmpfloat (near, <, 0.05 * disc);
  g_assert_cmpfloat (near, >, 3.0 * far);     /* by 1/r²: (60/20)² = 9, and the sky's own */
  g_assert_cmpfloat (far, >, 0.0);

  world.panel.knobs.north_arcmin = 0.0;
  fil_sim_director_next (director, 600, &world.panel.knobs, &moment);
  g_assert_cmpfloat (hypot (moment.shift_x_arcsec, moment.shift_y_arcsec), ==, 0.0);
  world_clear (&world);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/sim/render/history", test_history);
  g_test_add_data_func ("/sim/render/clones/mono", "sim:width=250,height=70", test_clones);
  g_test_add_data_func ("/sim/render/clones/bayer",
                        "sim:width=250,height=70,pattern=rggb,tilt_x_um=900,dust=yes,clouds=0.4",
                        test_clones);
  g_test_add_func ("/sim/render/shift-kernel", test_shift_kernel);
  g_test_add_data_func ("/sim/render/seams/sharp", GINT_TO_POINTER (FALSE), test_seams);
  g_test_add_data_func ("/sim/render/seams/gradual", GINT_TO_POINTER (TRUE), test_seams);
  g_test_add_func ("/sim/render/focuser", test_focuser);
  g_test_add_func ("/sim/render/disturbances", test_disturbances);
  g_test_add_func ("/sim/render/slewing", test_slewing);

  return g_test_run ();
}

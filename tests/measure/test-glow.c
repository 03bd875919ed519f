/* test-glow.c: the light of the sky, from far away to the limb
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-glow.h"

#define FULL  4000.0
#define STEP_NS G_GINT64_CONSTANT (83000000)   /* twelve a second */

/* A camera that does as it is asked, two readings late. */
typedef struct
{
  FilGlow *glow;
  gint64   time_ns;
  double   exposure_ms, next_ms, after_ms;
  double   longest_ms, brightest;   /* that were ever used and seen */
} Camera;

static void
camera_init (Camera *camera)
{
  *camera = (Camera) { fil_glow_new (), 0, 2.0, 2.0, 2.0, 0.0, 0.0 };
  fil_glow_set_limits (camera->glow, 0.02, 50.0);
}

/* @light: shares of full a millisecond, everywhere the same */
static FilGlowReading
look (Camera *camera,
      double  light)
{
  double share = light * camera->exposure_ms;
  FilGlowSample sample = {
    .time_ns = camera->time_ns, .mean = MIN (share, 1.0) * FULL, .bright = MIN (share, 1.0) * FULL,
    .full = FULL, .full_fraction = share >= 1.0 ? 1.0 : 0.0, .exposure_ms = camera->exposure_ms,
    .gain = 1.0,
  };
  FilGlowReading reading;

  fil_glow_add (camera->glow, &sample, &reading);
  camera->time_ns += STEP_NS;
  camera->brightest = MAX (camera->brightest, share);
  camera->longest_ms = MAX (camera->longest_ms, camera->exposure_ms);
  camera->exposure_ms = camera->next_ms;
  camera->next_ms = camera->after_ms;
  if (isfinite (reading.wanted_ms))
    camera->after_ms = reading.wanted_ms;

  return reading;
}

/* From a dark sky to the disc, four decades in twenty seconds: the exposure
 * goes up to its limit, comes down in time, and nothing is ever full. */
static void
test_approach (void)
{
  FilGlowReading reading = { 0 };
  double last_place = -1.0;
  int rising = 0;
  Camera camera;

  camera_init (&camera);
  for (int i = 0; i < 60; i++)
    reading = look (&camera, 2e-5);
  g_assert_cmpfloat (camera.longest_ms, ==, 50.0);
  g_assert_cmpint (reading.direction, ==, 0);
  g_assert_cmpfloat_with_epsilon (reading.signal, 2e-5, 1e-9);

  for (int i = 0; i < 240; i++)
    {
      reading = look (&camera, 2e-5 * pow (10.0, 4.0 * i / 240.0));
      g_assert_cmpfloat (reading.place, >=, last_place);
      last_place = reading.place;
      rising += reading.direction > 0;
    }
  g_assert_cmpfloat (camera.brightest, <, 1.0);
  g_assert_cmpint (rising, >, 225);
  /* 4 decades in 20 s are a factor of 10^0.6 in 3 s, less the smoothing */
  g_assert_cmpfloat_with_epsilon (log10 (reading.rise), 0.6, 0.05);
  g_assert_cmpfloat (camera.exposure_ms, <, 10.0);

  for (int i = 0; i < 60; i++)
    reading = look (&camera, 2e-5);
  g_assert_cmpint (reading.direction, ==, -1);
  fil_glow_free (camera.glow);
}

/* The disc all at once: down as fast as the camera follows, never below the
 * limit, and it stays down. */
static void
test_sudden_disc (void)
{
  FilGlowReading reading = { 0 };
  Camera camera;
  int full = 0;

  camera_init (&camera);
  for (int i = 0; i < 60; i++)
    look (&camera, 1e-6);
  for (int i = 0; i < 36; i++)
    {
      full += 0.3 * camera.exposure_ms >= 1.0;
      reading = look (&camera, 0.3);
    }
  g_assert_cmpint (full, <, 16);
  g_assert_cmpfloat (camera.exposure_ms, <, 0.85 / 0.3);
  g_assert_cmpfloat (camera.exposure_ms, >, 0.30 / 0.3);
  g_assert_cmpfloat_with_epsilon (reading.signal, 0.3, 0.01);
  fil_glow_free (camera.glow);
}

/* A picture that is well lit is left alone; noise below zero is darkness; a
 * change of gain is no rise. */
static void
test_rest (void)
{
  g_autoptr (FilGlow) glow = fil_glow_new ();
  FilGlowSample sample = { .mean = 0.5 * FULL, .bright = 0.6 * FULL, .full = FULL,
                           .exposure_ms = 2.0, .gain = 3.0 };
  FilGlowReading reading;

  for (int i = 0; i < 60; i++)
    {
      sample.time_ns += STEP_NS;
      fil_glow_add (glow, &sample, &reading);
      g_assert_true (isnan (reading.wanted_ms));
    }
  g_assert_cmpfloat_with_epsilon (reading.rise, 1.0, 1e-9);

  sample.gain = 9.0;
  sample.mean *= 3.0;
  sample.time_ns += STEP_NS;
  fil_glow_add (glow, &sample, &reading);
  g_assert_true (isnan (reading.rise));
  g_assert_cmpint (reading.direction, ==, 0);

  fil_glow_reset (glow);
  sample.mean = sample.bright = -2.0;
  fil_glow_add (glow, &sample, &reading);
  g_assert_cmpfloat (reading.signal, ==, 0.0);
  g_assert_cmpfloat (reading.place, ==, 0.0);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/glow/approach", test_approach);
  g_test_add_func ("/glow/sudden-disc", test_sudden_disc);
  g_test_add_func ("/glow/rest", test_rest);

  return g_test_run ();
}

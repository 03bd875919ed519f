/* test-alarm.c: a filter that goes is noticed; cloud, limb and settings are not
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A scene of pixels is watched by a camera of 4095 counts: the Sun's disc with
 * its limb darkening behind filter and cloud, the glow of the sky beside it.
 */

#include <math.h>

#include "fil-alarm.h"

#define CEILING 4095.0
#define N_PX    256
#define SECOND  G_GINT64_CONSTANT (1000000000)

typedef struct
{
  /* The world. */
  double   radius_fields;   /* of the Sun, in widths of the field */
  double   centre_fields;   /* of the disc, from the middle of the field */
  double   disc;            /* share of full that the disc's centre gives in 1 ms at gain 1 */
  double   glow;            /* of the sky beside the disc, of the disc's centre */
  double   cloud;           /* what comes through */
  double   filter;          /* 1: fitted */
  /* The camera. */
  double   exposure_ms;
  double   exposure_error;  /* what it really does, over what it says */
  double   gain;            /* what it says, and does */
  gboolean exposure_known;
  guint    serial;
  double   fps;

  gint64   time_ns;
  GRand   *random;
  FilAlarm *alarm;
} Scene;

static Scene
scene_new (double fps)
{
  return (Scene) {
    .radius_fields = 3, .disc = 0.6, .glow = 0.01, .cloud = 1, .filter = 1,
    .exposure_ms = 1, .exposure_error = 1, .gain = 1, .exposure_known = TRUE, .fps = fps,
    .time_ns = 1000 * SECOND,
    .random = g_rand_new_with_seed (4), .alarm = fil_alarm_new (),
  };
}

static void
scene_clear (Scene *scene)
{
  g_rand_free (scene->random);
  fil_alarm_free (scene->alarm);
}

/* Linear limb darkening, 0.4 at the limb (common practice, no source); beside
 * the disc the glow falls by half every half radius. */
static double
brightness (const Scene *scene,
            double       x,
            double       y)
{
  double r = hypot (x - scene->centre_fields, y) / scene->radius_fields;

  if (r < 1)
    return 0.4 + 0.6 * sqrt (1 - r * r);

  return scene->glow * exp2 (-(r - 1) * 2);
}

static FilAlarmSample
expose (Scene *scene)
{
  FilAlarmSample sample = {
    .time_ns = scene->time_ns,
    .full_count = CEILING,
    .exposure_ms = scene->exposure_known ? scene->exposure_ms : NAN,
    .gain = scene->gain,
    .settings_serial = scene->serial,
  };
  double light = scene->disc * scene->cloud * scene->filter * scene->exposure_ms *
                 scene->exposure_error * scene->gain;
  double sum = 0, squares = 0;
  int full = 0;

  for (int i = 0; i < N_PX; i++)
    {
      double x = (i % 16 - 7.5) / 16, y = (i / 16 - 7.5) / 16;
      double count = CEILING * light * brightness (scene, x, y) *
                     (1 + g_rand_double_range (scene->random, -0.03, 0.03));

      count = CLAMP (round (count), 0, CEILING);
      full += count >= CEILING;
      sum += count;
      squares += count * count;
    }
  sample.mean = sum / N_PX;
  sample.sd = sqrt (MAX (squares / N_PX - sample.mean * sample.mean, 0));
  sample.full_fraction = (double) full / N_PX;

  return sample;
}

/* Runs for a while. A moving value goes evenly to where @to says. */
static FilAlarmCause
run_moving (Scene  *scene,
            double  seconds,
            double *value,
            double  to)
{
  int n = MAX ((int) round (seconds * scene->fps), 1);
  double from = value != NULL ? *value : 0;
  FilAlarmCause cause = FIL_ALARM_QUIET;

  for (int i = 1; i <= n && cause == FIL_ALARM_QUIET; i++)
    {
      FilAlarmSample sample;

      if (value != NULL)
        *value = from + (to - from) * i / n;
      scene->time_ns += (gint64) (SECOND / scene->fps);
      sample = expose (scene);
      cause = fil_alarm_watch (scene->alarm, &sample);
    }

  return cause;
}

static FilAlarmCause
run (Scene *scene,
     double seconds)
{
  return run_moving (scene, seconds, NULL, 0);
}

static const double rates[] = { 30, 5, 1, 200 };
#define N_RATES      4
#define N_CHEAP      3    /* without the one that takes long */
#define N_FAST       2    /* that show a slew while it goes on */

#define assert_quiet(call) g_assert_cmpint (call, ==, FIL_ALARM_QUIET)

static void
start_on_disc (Scene *scene)
{
  assert_quiet (run (scene, 20));
  g_assert_true (fil_alarm_is_ready (scene->alarm));
}

/* Alarm expected */

static void
test_filter_goes (void)
{
  static const double factors[] = { 1e5, 1e3, 100, 10 };
  static const double levels[] = { 0.12, 0.4, 0.6, 0.9 };

  for (guint r = 0; r < N_CHEAP; r++)
    for (guint f = 0; f < G_N_ELEMENTS (factors); f++)
      for (guint l = 0; l < G_N_ELEMENTS (levels); l++)
        for (int known = 0; known < 2; known++)
          {
            Scene scene = scene_new (rates[r]);

            scene.disc = levels[l];
            scene.exposure_known = known;
            start_on_disc (&scene);
            scene.filter = factors[f];
            /* Ten times 0.12 is full and no more than full. */
            g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_FULL);
            /* It stays. */
            scene.filter = 1;
            g_assert_cmpint (run (&scene, 1), ==, FIL_ALARM_FULL);
            fil_alarm_reset (scene.alarm);
            g_assert_false (fil_alarm_is_ready (scene.alarm));
            assert_quiet (run (&scene, 20));
            scene_clear (&scene);
          }
}

/* Three times the light, and not full. */
static void
test_signal (void)
{
  for (guint r = 0; r < N_RATES; r++)
    {
      Scene scene = scene_new (rates[r]);

      scene.disc = 0.2;
      start_on_disc (&scene);
      scene.filter = 2.8;
      assert_quiet (run (&scene, 1 / rates[r]));
      scene.filter = 1;
      assert_quiet (run (&scene, 10));
      scene.filter = 3.4;
      g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_SIGNAL);
      scene_clear (&scene);
    }
}

/* A gust takes the filter during an exposure: one odd frame in between. */
static void
test_half_a_frame (void)
{
  static const double odd[] = { 1.05, 1.2, 1.5 };

  for (guint r = 0; r < N_RATES; r++)
    for (guint i = 0; i < G_N_ELEMENTS (odd); i++)
      {
        Scene scene = scene_new (rates[r]);

        start_on_disc (&scene);
        scene.filter = odd[i];
        assert_quiet (run (&scene, 1 / rates[r]));
        scene.filter = 1e5;
        g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_FULL);
        scene_clear (&scene);
      }
}

static void
test_filter_goes_under_cloud (void)
{
  for (guint r = 0; r < N_RATES; r++)
    {
      Scene scene = scene_new (rates[r]);

      start_on_disc (&scene);
      for (int i = 0; i < 30; i++)
        assert_quiet (run_moving (&scene, 1, &scene.cloud, g_rand_double_range (scene.random, 0.05, 1)));
      scene.filter = 1e5;
      g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_FULL);
      scene_clear (&scene);
    }
}

static void
test_filter_goes_at_the_limb (void)
{
  for (guint r = 0; r < N_RATES; r++)
    {
      Scene scene = scene_new (rates[r]);

      scene.centre_fields = 3;   /* the limb in the middle of the field */
      start_on_disc (&scene);
      scene.filter = 1e5;
      g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_FULL);
      scene_clear (&scene);
    }
}

static void
test_filter_goes_whole_disc (void)
{
  for (guint r = 0; r < N_RATES; r++)
    {
      Scene scene = scene_new (rates[r]);

      scene.radius_fields = 0.4;
      start_on_disc (&scene);
      scene.filter = 1e5;
      g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_FULL);
      scene_clear (&scene);
    }
}

static void
test_filter_goes_after_changes (void)
{
  for (guint r = 0; r < N_RATES; r++)
    for (int known = 0; known < 2; known++)
      {
        Scene scene = scene_new (rates[r]);

        scene.exposure_known = known;
        start_on_disc (&scene);
        scene.exposure_ms = 0.5;
        scene.serial++;
        /* With a known unit the expectation moves along; otherwise it is learnt anew. */
        assert_quiet (run (&scene, known ? MAX (1, 7 / rates[r]) : 20));
        g_assert_true (fil_alarm_is_ready (scene.alarm));
        scene.gain = 2;
        scene.serial++;
        assert_quiet (run (&scene, 2 / rates[r]));
        g_assert_false (fil_alarm_is_ready (scene.alarm));
        assert_quiet (run (&scene, 20));
        g_assert_true (fil_alarm_is_ready (scene.alarm));
        scene.filter = 1e4;
        g_assert_cmpint (run (&scene, 1 / rates[r]), ==, FIL_ALARM_FULL);
        scene_clear (&scene);
      }
}

/* Frames stop coming for a while, and when they come again they are full. */
static void
test_filter_goes_in_a_gap (void)
{
  Scene scene = scene_new (30);

  scene.disc = 0.2;
  start_on_disc (&scene);
  scene.time_ns += 60 * SECOND;
  scene.filter = 1e5;
  g_assert_cmpint (run (&scene, 1), ==, FIL_ALARM_SIGNAL);
  scene_clear (&scene);
}

/* Quiet expected */

static void
test_cloud (void)
{
  static const double levels[] = { 0.3, 0.6, 0.9, 1.3, 3 };

  for (guint r = 0; r < N_CHEAP; r++)
    for (guint l = 0; l < G_N_ELEMENTS (levels); l++)
      for (int seen = 0; seen < 2; seen++)
        {
          Scene scene = scene_new (rates[r]);

          scene.disc = levels[l];
          if (seen)
            assert_quiet (run (&scene, 20));
          /* Edges of a tenth of a second, gaps and clouds of some seconds. */
          for (int i = 0; i < 60; i++)
            {
              double to = i % 2 == 0 ? g_rand_double_range (scene.random, 0.005, 0.3)
                                     : g_rand_double_range (scene.random, 0.7, 1.0);

              assert_quiet (run_moving (&scene, 0.1, &scene.cloud, to));
              assert_quiet (run_moving (&scene, g_rand_double_range (scene.random, 0.2, 4),
                                        &scene.cloud,
                                        to * g_rand_double_range (scene.random, 0.7, 1)));
            }
          scene_clear (&scene);
        }
}

/* Thick cloud for minutes, opened by a gap with a sharp edge. */
static void
test_cloud_clears (void)
{
  for (guint r = 0; r < N_CHEAP; r++)
    {
      Scene scene = scene_new (rates[r]);

      start_on_disc (&scene);
      for (int i = 0; i < 4; i++)
        {
          assert_quiet (run_moving (&scene, 0.5, &scene.cloud, 0.2));
          assert_quiet (run (&scene, 120));
          assert_quiet (run_moving (&scene, 0.05, &scene.cloud, 1));
          assert_quiet (run (&scene, 30));
        }
      scene_clear (&scene);
    }
}

static void
test_limb_comes_in (void)
{
  static const double levels[] = { 0.2, 0.6, 0.95, 1.05, 1.6, 10 };
  static const double sweeps_s[] = { 0.05, 0.3, 1, 5, 20 };
  static const double radii[] = { 3, 0.4 };

  for (guint r = 0; r < N_CHEAP; r++)
    for (guint l = 0; l < G_N_ELEMENTS (levels); l++)
      for (guint s = 0; s < G_N_ELEMENTS (sweeps_s); s++)
        for (guint d = 0; d < G_N_ELEMENTS (radii); d++)
          {
            Scene scene = scene_new (rates[r]);

            scene.disc = levels[l];
            scene.radius_fields = radii[d];
            scene.centre_fields = radii[d] + 3;
            assert_quiet (run (&scene, 20));
            g_assert_false (fil_alarm_is_ready (scene.alarm));
            for (int i = 0; i < 2; i++)
              {
                assert_quiet (run_moving (&scene, sweeps_s[s], &scene.centre_fields, 0));
                assert_quiet (run (&scene, 7));
                assert_quiet (run_moving (&scene, sweeps_s[s], &scene.centre_fields,
                                          -radii[d] - 3));
                assert_quiet (run (&scene, 7));
                assert_quiet (run_moving (&scene, sweeps_s[s], &scene.centre_fields, 0));
                assert_quiet (run_moving (&scene, sweeps_s[s], &scene.centre_fields,
                                          radii[d] + 3));
              }
            scene_clear (&scene);
          }
}

/* Learnt from a sliver of the limb, then to the middle of the disc. With less
 * than ten frames a second, from rest, within two of them, and to a centre that
 * is itself full, this can't be told from a filter that goes: the last level
 * is for 30 frames a second only. */
static void
test_from_limb_to_centre (void)
{
  static const double slivers[] = { 0.49, 0.4, 0.2, 0 };
  static const double slews_s[] = { 0.5, 2, 10 };
  static const double levels[] = { 0.4, 0.6, 0.9, 1.2 };

  for (guint r = 0; r < N_FAST; r++)
    for (guint i = 0; i < G_N_ELEMENTS (slivers); i++)
      for (guint s = 0; s < G_N_ELEMENTS (slews_s); s++)
        for (guint l = 0; l < G_N_ELEMENTS (levels) - (rates[r] < 10); l++)
          {
            Scene scene = scene_new (rates[r]);

            scene.disc = levels[l];
            scene.centre_fields = 3 + slivers[i];
            assert_quiet (run (&scene, 30));
            assert_quiet (run_moving (&scene, slews_s[s], &scene.centre_fields, 0));
            assert_quiet (run (&scene, 30));
            scene_clear (&scene);
          }
}

/* Looking for the Sun by its glow, the exposure turned up: the glow grows, the
 * disc comes in and fills everything. With rests on the way in which the glow
 * is taken for the disc. */
static void
test_aiming (void)
{
  static const double approaches_s[] = { 3, 10, 60 };
  static const double rests_s[] = { 0, 4, 30 };

  for (guint r = 0; r < N_FAST; r++)
    for (guint a = 0; a < G_N_ELEMENTS (approaches_s); a++)
      for (guint i = 0; i < G_N_ELEMENTS (rests_s); i++)
        {
          Scene scene = scene_new (rates[r]);

          scene.exposure_ms = 60;
          scene.centre_fields = 3 + 6;
          assert_quiet (run (&scene, rests_s[i] + 1));
          assert_quiet (run_moving (&scene, approaches_s[a], &scene.centre_fields, 3 + 3));
          assert_quiet (run (&scene, rests_s[i] + 0.1));
          assert_quiet (run_moving (&scene, approaches_s[a], &scene.centre_fields, 0));
          assert_quiet (run (&scene, 10));
          scene.exposure_ms = 1;
          scene.serial++;
          assert_quiet (run (&scene, 20));
          g_assert_true (fil_alarm_is_ready (scene.alarm));
          scene_clear (&scene);
        }
}

static void
test_settings (void)
{
  static const double factors[] = { 0.05, 0.3, 0.9, 1.1, 2, 5, 50 };
  static const double errors[] = { 1, 0.2, 5 };

  for (guint r = 0; r < N_CHEAP; r++)
    for (guint f = 0; f < G_N_ELEMENTS (factors); f++)
      for (guint e = 0; e < G_N_ELEMENTS (errors); e++)
        for (int what = 0; what < 3; what++)
          {
            Scene scene = scene_new (rates[r]);

            scene.exposure_known = what != 1;
            start_on_disc (&scene);
            for (int i = 0; i < 4; i++)
              {
                double factor = i % 2 == 0 ? factors[f] : 1 / factors[f];

                scene.serial++;
                if (what == 2)
                  scene.gain *= factor;
                else
                  scene.exposure_ms *= factor;
                /* The driver may do something else than it says. */
                scene.exposure_error = i % 2 == 0 ? errors[e] : 1;
                assert_quiet (run (&scene, i < 2 ? 3 : 20));
                assert_quiet (run_moving (&scene, 0.2, &scene.cloud, 0.1));
                assert_quiet (run_moving (&scene, 0.2, &scene.cloud, 1));
                assert_quiet (run (&scene, 3));
              }
            scene_clear (&scene);
          }
}

/* The queue still holds frames of before the change when the serial counts up,
 * or the change comes some frames before it is told. */
static void
test_late_serial (void)
{
  Scene scene = scene_new (30);

  scene.exposure_known = FALSE;
  start_on_disc (&scene);
  scene.serial++;
  assert_quiet (run (&scene, 3.0 / 30));
  scene.exposure_ms = 20;
  assert_quiet (run (&scene, 20));
  scene_clear (&scene);
}

/* Another density filter by hand: the reference follows within ten minutes,
 * and then the alarm is as quick as before. */
static void
test_another_density (void)
{
  Scene scene = scene_new (5);

  scene.disc = 0.9;
  start_on_disc (&scene);
  assert_quiet (run (&scene, 300));
  scene.filter = 0.2;
  assert_quiet (run (&scene, 660));
  scene.filter = 0.2 * 1e3;
  g_assert_cmpint (run (&scene, 0.2), ==, FIL_ALARM_FULL);
  scene_clear (&scene);
}

static void
test_sunset (void)
{
  Scene scene = scene_new (5);

  start_on_disc (&scene);
  assert_quiet (run_moving (&scene, 3600, &scene.cloud, 0.25));
  g_assert_true (fil_alarm_is_ready (scene.alarm));
  assert_quiet (run_moving (&scene, 3600, &scene.cloud, 1));
  scene.filter = 1e5;
  g_assert_cmpint (run (&scene, 0.2), ==, FIL_ALARM_FULL);
  scene_clear (&scene);
}

/* Nothing is learnt without a ceiling, or from numbers that are none. */
static void
test_nonsense (void)
{
  g_autoptr (FilAlarm) alarm = fil_alarm_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (9);
  static const double odd[] = { NAN, INFINITY, -INFINITY, -1, 0, 1e300, 1e-300, 1, 4095 };

  for (int i = 0; i < 600; i++)
    {
      FilAlarmSample sample = { .time_ns = (i + 1) * SECOND / 30, .mean = 2000, .sd = 10 };

      assert_quiet (fil_alarm_watch (alarm, &sample));
    }
  g_assert_false (fil_alarm_is_ready (alarm));

  for (int i = 0; i < 200000; i++)
    {
#define ANY odd[g_rand_int_range (random, 0, G_N_ELEMENTS (odd))]
      FilAlarmSample sample = {
        .time_ns = g_rand_int (random), .mean = ANY, .sd = ANY, .full_fraction = ANY,
        .full_count = ANY, .exposure_ms = ANY, .gain = ANY,
        .settings_serial = (guint) g_rand_int_range (random, 0, 2),
      };
#undef ANY
      fil_alarm_watch (alarm, &sample);
      if (i % 100 == 0)
        fil_alarm_reset (alarm);
    }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/alarm/filter-goes", test_filter_goes);
  g_test_add_func ("/alarm/signal", test_signal);
  g_test_add_func ("/alarm/half-a-frame", test_half_a_frame);
  g_test_add_func ("/alarm/filter-goes-under-cloud", test_filter_goes_under_cloud);
  g_test_add_func ("/alarm/filter-goes-at-the-limb", test_filter_goes_at_the_limb);
  g_test_add_func ("/alarm/filter-goes-whole-disc", test_filter_goes_whole_disc);
  g_test_add_func ("/alarm/filter-goes-after-changes", test_filter_goes_after_changes);
  g_test_add_func ("/alarm/filter-goes-in-a-gap", test_filter_goes_in_a_gap);
  g_test_add_func ("/quiet/cloud", test_cloud);
  g_test_add_func ("/quiet/cloud-clears", test_cloud_clears);
  g_test_add_func ("/quiet/limb-comes-in", test_limb_comes_in);
  g_test_add_func ("/quiet/from-limb-to-centre", test_from_limb_to_centre);
  g_test_add_func ("/quiet/aiming", test_aiming);
  g_test_add_func ("/quiet/settings", test_settings);
  g_test_add_func ("/quiet/late-serial", test_late_serial);
  g_test_add_func ("/quiet/another-density", test_another_density);
  g_test_add_func ("/quiet/sunset", test_sunset);
  g_test_add_func ("/quiet/nonsense", test_nonsense);

  return g_test_run ();
}

/* test-trace.c: crest, mark and arrow on invented series
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-trace.h"

#define SECOND G_GINT64_CONSTANT (1000000000)

/* A camera that runs at @fps. */
typedef struct
{
  FilTrace     *trace;
  FilTracePoint point;
  double        fps;
} Run;

static Run
begin (double fps)
{
  return (Run) { fil_trace_new (), { 5 * SECOND, 4.0, 1000.0, 10.0, 1.0 }, fps };
}

static void
feed (Run   *run,
      double sharpness)
{
  run->point.sharpness = sharpness;
  fil_trace_add (run->trace, &run->point);
  run->point.time_ns += (gint64) (1e9 / run->fps);
}

static void
feed_seconds (Run   *run,
              double seconds,
              double sharpness)
{
  for (int i = 0; i < (int) (seconds * run->fps + 0.5); i++)
    feed (run, sharpness);
}

static FilTraceReading
get (const Run *run)
{
  FilTraceReading reading;

  fil_trace_get (run->trace, &reading);

  return reading;
}

static void
end (Run *run)
{
  fil_trace_free (run->trace);
}

static void
test_start (void)
{
  Run run = begin (50);
  FilTraceReading r = get (&run);

  g_assert_true (isnan (r.now) && isnan (r.crest) && isnan (r.mark) && isnan (r.percent_of_mark));
  feed_seconds (&run, 0.9, 4.0);
  r = get (&run);
  g_assert_cmpfloat (r.now, ==, 4.0);
  g_assert_true (isnan (r.crest) && isnan (r.mark));   /* not yet a second */
  feed_seconds (&run, 0.2, 4.0);
  r = get (&run);
  g_assert_cmpfloat (r.crest, ==, 4.0);
  g_assert_cmpfloat (r.mark, ==, 4.0);
  g_assert_cmpfloat (r.percent_of_mark, ==, 100.0);
  g_assert_cmpint (r.direction, ==, 0);
  end (&run);
}

/* The 90th percentile of a second of 0, 1, … 50 (51 frames span it) is 45. */
static void
test_percentile (void)
{
  Run run = begin (50);

  for (int i = 0; i < 200; i++)
    feed (&run, (i * 20) % 51);   /* 20 and 51 have no common divisor */
  g_assert_cmpfloat (get (&run).crest, ==, 45.0);
  end (&run);
}

/* Boiling air: the crest stays near the top of what comes. */
static void
test_crest_rides_on_bursts (void)
{
  Run run = begin (50);
  g_autoptr (GRand) rand = g_rand_new_with_seed (1);

  for (int i = 0; i < 500; i++)
    feed (&run, 2.0 + 2.0 * g_rand_double (rand));
  g_assert_cmpfloat (get (&run).crest, >, 3.6);
  g_assert_cmpfloat (get (&run).crest, <, 3.95);
  g_assert_cmpfloat (get (&run).now, <, 3.6);
  end (&run);
}

/* A freak, even two in a row, sets no mark at any rate. */
static void
test_freaks (void)
{
  static const double rates[] = { 2, 8, 30, 200 };

  for (gsize k = 0; k < G_N_ELEMENTS (rates); k++)
    {
      Run run = begin (rates[k]);

      for (int i = 0; i < 400; i++)
        feed (&run, i % 31 == 17 || i % 31 == 18 ? 40.0 : 4.0);
      g_assert_cmpfloat (get (&run).mark, ==, 4.0);
      g_assert_cmpfloat (get (&run).now, ==, 4.0);
      end (&run);
    }
}

/* A bird: half a second of another mean and of sharp edges. */
static void
test_bird (void)
{
  Run run = begin (50);
  FilTraceReading r;

  feed_seconds (&run, 3.0, 4.0);
  run.point.mean = 700.0;
  feed_seconds (&run, 0.5, 9.0);
  g_assert_cmpfloat (get (&run).mark, ==, 4.0);
  run.point.mean = 1000.0;
  feed_seconds (&run, 2.0, 4.0);
  r = get (&run);
  g_assert_cmpfloat (r.mark, ==, 4.0);
  g_assert_cmpuint (r.segment, ==, 0);   /* the old mark stands */
  end (&run);
}

/* A cloud's edge draws over: no mark while the mean runs, then a new one. */
static void
test_cloud_edge (void)
{
  Run run = begin (50);
  FilTraceReading r;

  feed_seconds (&run, 3.0, 4.0);
  for (int i = 0; i < 40; i++)
    {
      run.point.mean *= 0.98;
      feed (&run, 4.0 + 0.2 * i);   /* the edge itself has contrast */
    }
  g_assert_cmpfloat (get (&run).mark, ==, 4.0);
  feed_seconds (&run, 4.0, 3.0);
  r = get (&run);
  g_assert_cmpuint (r.segment, >=, 1);
  g_assert_cmpfloat (r.mark, ==, 3.0);
  g_assert_cmpfloat (r.percent_of_mark, ==, 100.0);
  end (&run);
}

/* Haze that comes slowly is no jump. */
static void
test_slow_haze (void)
{
  Run run = begin (50);

  for (int i = 0; i < 1500; i++)
    {
      run.point.mean = 1000.0 - 0.3 * i;
      feed (&run, 4.0);
    }
  g_assert_cmpuint (get (&run).segment, ==, 0);
  end (&run);
}

static void
test_new_segments (void)
{
  Run run = begin (50);

  feed_seconds (&run, 2.0, 8.0);
  run.point.exposure_ms = 5.0;
  feed (&run, 4.0);
  g_assert_cmpuint (get (&run).segment, ==, 1);
  g_assert_true (isnan (get (&run).mark));
  feed_seconds (&run, 2.0, 4.0);
  g_assert_cmpfloat (get (&run).mark, ==, 4.0);
  run.point.gain = NAN;
  feed_seconds (&run, 2.0, 5.0);
  g_assert_cmpuint (get (&run).segment, ==, 2);
  fil_trace_new_segment (run.trace);
  g_assert_cmpuint (get (&run).segment, ==, 3);
  g_assert_true (isnan (get (&run).now));
  feed_seconds (&run, 2.0, 6.0);
  g_assert_cmpfloat (get (&run).mark, ==, 6.0);
  run.point.time_ns -= 10 * SECOND;   /* a replayed file begins again */
  feed (&run, 6.0);
  g_assert_cmpuint (get (&run).segment, ==, 4);
  end (&run);
}

static void
test_percent_and_arrow (void)
{
  Run run = begin (50);

  feed_seconds (&run, 2.0, 4.0);
  for (int i = 0; i < 100; i++)
    feed (&run, 4.0 + 0.02 * i);
  g_assert_cmpint (get (&run).direction, ==, 1);
  feed_seconds (&run, 3.0, 6.0);
  g_assert_cmpint (get (&run).direction, ==, 0);
  g_assert_cmpfloat (get (&run).mark, ==, 6.0);
  for (int i = 0; i < 100; i++)
    feed (&run, 6.0 - 0.03 * i);
  g_assert_cmpint (get (&run).direction, ==, -1);
  feed_seconds (&run, 3.0, 3.0);
  g_assert_cmpint (get (&run).direction, ==, 0);
  g_assert_cmpfloat (get (&run).percent_of_mark, ==, 50.0);
  end (&run);
}

/* Between its two limits the arrow neither comes nor goes. */
static void
test_hysteresis (void)
{
  Run run = begin (50);
  double level = 4.0;
  int changes = 0, last = 0;

  feed_seconds (&run, 2.0, level);
  for (int i = 0; i < 300; i++)   /* 2 % a second: not enough to begin */
    feed (&run, level *= 1.0 + 0.02 / 50.0);
  g_assert_cmpint (get (&run).direction, ==, 0);
  for (int i = 0; i < 100; i++)   /* 5 %: it comes */
    feed (&run, level *= 1.0 + 0.05 / 50.0);
  g_assert_cmpint (get (&run).direction, ==, 1);
  last = 1;
  for (int i = 0; i < 300; i++)   /* 2 %: it stays */
    {
      feed (&run, level *= 1.0 + 0.02 / 50.0);
      changes += get (&run).direction != last;
    }
  g_assert_cmpint (changes, ==, 0);
  end (&run);
}

/* A mark stands for five minutes, and fades by 1/e in five more. */
static void
test_fading (void)
{
  Run run = begin (10);
  FilTraceReading r;

  feed_seconds (&run, 3.0, 8.0);
  feed_seconds (&run, 295.0, 2.0);
  r = get (&run);
  g_assert_cmpfloat (r.mark, ==, 8.0);
  g_assert_cmpfloat (r.percent_of_mark, ==, 25.0);
  feed_seconds (&run, 307.0, 2.0);
  r = get (&run);
  g_assert_cmpfloat (r.mark, <, 8.0 * exp (-0.97));
  g_assert_cmpfloat (r.mark, >, 8.0 * exp (-1.03));
  feed_seconds (&run, 300.0, 2.0);
  r = get (&run);
  g_assert_cmpfloat (r.mark, ==, 2.0);   /* the crest of today has taken over */
  g_assert_cmpfloat (r.percent_of_mark, ==, 100.0);
  end (&run);
}

/* One frame every three seconds: the crest takes its time, but comes. */
static void
test_slow_camera (void)
{
  Run run = begin (1.0 / 3.0);

  for (int i = 0; i < 7; i++)
    feed (&run, 4.0);
  g_assert_true (isnan (get (&run).crest));
  feed (&run, 4.0);
  g_assert_cmpfloat (get (&run).crest, ==, 4.0);
  end (&run);
}

static void
test_no_sharpness (void)
{
  Run run = begin (50);

  feed_seconds (&run, 2.0, NAN);
  g_assert_true (isnan (get (&run).now) && isnan (get (&run).mark));
  feed_seconds (&run, 2.0, 0.0);   /* black: a crest of zero, and no division by it */
  g_assert_cmpfloat (get (&run).crest, ==, 0.0);
  g_assert_true (isnan (get (&run).percent_of_mark));
  end (&run);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/trace/start", test_start);
  g_test_add_func ("/trace/percentile", test_percentile);
  g_test_add_func ("/trace/crest-rides-on-bursts", test_crest_rides_on_bursts);
  g_test_add_func ("/trace/freaks", test_freaks);
  g_test_add_func ("/trace/bird", test_bird);
  g_test_add_func ("/trace/cloud-edge", test_cloud_edge);
  g_test_add_func ("/trace/slow-haze", test_slow_haze);
  g_test_add_func ("/trace/new-segments", test_new_segments);
  g_test_add_func ("/trace/percent-and-arrow", test_percent_and_arrow);
  g_test_add_func ("/trace/hysteresis", test_hysteresis);
  g_test_add_func ("/trace/fading", test_fading);
  g_test_add_func ("/trace/slow-camera", test_slow_camera);
  g_test_add_func ("/trace/no-sharpness", test_no_sharpness);

  return g_test_run ();
}

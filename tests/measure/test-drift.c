/* test-drift.c: a moving texture followed, and a line put through its places
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "drift-scene.h"
#include "fil-shift-meter.h"

#define RATE 14.9     /* arcsec/s */

static const SceneOptions plain = { 0.02, 0.0, 0.01, 20000.0, 5, 0 };

/**
 * Motion:
 * @jitter: rms of the air's motion an axis, px; falls by 1/e in 0.1 s
 * @still_from_s: the drive starts again; 0: never
 * @kick_s: a step of @kick_px in both axes; 0: none
 * @dark_from_s: no light between these
 * @gap_from_s: no frames between these
 */
typedef struct
{
  double vx, vy, fps, seconds, jitter;
  double still_from_s;
  double kick_s, kick_px;
  double dark_from_s, dark_to_s;
  double gap_from_s, gap_to_s;
} Motion;

static const Motion standard = { .vx = 12.0, .vy = 5.0, .fps = 12.0, .seconds = 12.0,
                                 .jitter = 0.7 };

static FilDriftTracker *
track (const SceneOptions *options,
       const Motion       *m)
{
  g_autoptr (Scene) scene = scene_new (options);
  g_autoptr (GRand) rand = g_rand_new_with_seed (options->seed + 100);
  FilDriftTracker *tracker = fil_drift_tracker_new ();
  double keep = exp (-10.0 / m->fps), gain = m->jitter * sqrt (1.0 - keep * keep), jx = 0.0, jy = 0.0;

  for (int i = 0; i < m->seconds * m->fps; i++)
    {
      double t = i / m->fps, moved = m->still_from_s > 0.0 ? MIN (t, m->still_from_s) : t;
      double kick = m->kick_s > 0.0 && t > m->kick_s ? m->kick_px : 0.0;
      gboolean dark = t >= m->dark_from_s && t < m->dark_to_s;
      g_autoptr (FilFrame) frame = NULL;
      g_autoptr (GError) error = NULL;

      jx = keep * jx + gain * scene_gauss (rand);
      jy = keep * jy + gain * scene_gauss (rand);
      if (t >= m->gap_from_s && t < m->gap_to_s)
        continue;
      frame = scene_frame (scene, m->vx * moved + jx + kick, m->vy * moved + jy + kick,
                           dark ? 0.0 : 1.0);
      fil_drift_tracker_add (tracker, frame, 1000.0 + t, &error);
      g_assert_no_error (error);
    }
  fil_drift_tracker_flush (tracker);

  return tracker;
}

static gboolean
solve (FilDriftTracker *tracker,
       gboolean         mirrored,
       double           expected_scale,
       FilDrift        *drift,
       GError         **error)
{
  FilDriftTerms terms = { 0.0, RATE, mirrored, expected_scale };
  FilDriftTrack track;

  track.points = fil_drift_tracker_get_points (tracker, &track.n_points);

  return fil_drift_solve (&track, 1, &terms, drift, error);
}

static double
turn_between (double a_deg,
              double b_deg)
{
  return fabs (remainder (a_deg - b_deg, 360.0));
}

/* North up and unmirrored, west lies to the right: with the picture's up at
 * position angle A the Sun moves at −A from +x, mirrored at 180° + A. */
static void
test_directions (void)
{
  for (int mirrored = 0; mirrored < 2; mirrored++)
    for (int i = 0; i < 4; i++)
      {
        double angle = 11.0 + 90.0 * i + 45.0 * mirrored;
        double direction = (mirrored ? 180.0 + angle : -angle) * G_PI / 180.0;
        SceneOptions clear = { 0.02, 0.0, 0.003, 20000.0, 5, 0 };
        Motion motion = standard;
        g_autoptr (FilDriftTracker) tracker = NULL;
        g_autoptr (GError) error = NULL;
        FilDrift drift;

        motion.vx = 13.0 * cos (direction);
        motion.vy = 13.0 * sin (direction);
        motion.seconds = 6.0;
        motion.jitter = 0.0;
        tracker = track (&clear, &motion);
        solve (tracker, mirrored, NAN, &drift, &error);
        g_assert_no_error (error);
        g_assert_cmpfloat (turn_between (drift.position_angle_deg, angle), <, 0.15);
        g_assert_cmpfloat_with_epsilon (drift.plate_scale_arcsec_per_px, RATE / 13.0,
                                        2e-3 * RATE / 13.0);
        g_assert_cmpint (drift.mirrored, ==, mirrored);
        g_assert_cmpfloat (drift.residual_px, <, 0.1);
      }
}

/* Plane waves: every shift is known exactly. */
static void
test_subpixel (void)
{
  g_autoptr (Scene) scene = scene_new (&(SceneOptions) { 0.02, 0.0, 0.004, 20000.0, 3, 2000 });
  g_autoptr (FilShiftMeter) meter = fil_shift_meter_new (SCENE_WIDTH, SCENE_HEIGHT);
  g_autoptr (FilSpectrum) a = fil_spectrum_new (meter);
  g_autoptr (FilSpectrum) b = fil_spectrum_new (meter);
  const double shifts[][2] = { { 0.0, 0.0 }, { 2.30, -1.75 }, { -0.5, 0.5 }, { 3.9, 2.1 } };
  float pixels[SCENE_WIDTH * SCENE_HEIGHT];

  for (gsize i = 0; i < G_N_ELEMENTS (shifts); i++)
    {
      FilShift shift;

      for (int k = 0; k < 2; k++)
        {
          g_autoptr (FilFrame) frame = scene_frame (scene, k * shifts[i][0], k * shifts[i][1], 1.0);

          for (int n = 0; n < SCENE_WIDTH * SCENE_HEIGHT; n++)
            pixels[n] = (float) (frame->data[2 * n] + 256 * frame->data[2 * n + 1]);
          fil_shift_meter_transform (meter, pixels, SCENE_WIDTH, k == 0 ? a : b);
        }
      fil_shift_meter_clear (meter);
      fil_shift_meter_add (meter, a, b);
      fil_shift_meter_find (meter, 0.0, 0.0, 8.0, &shift);
      g_test_message ("%.3f %.3f found %.4f %.4f", shifts[i][0], shifts[i][1], shift.x, shift.y);
      g_assert_cmpfloat_with_epsilon (shift.x, shifts[i][0], 0.03);
      g_assert_cmpfloat_with_epsilon (shift.y, shifts[i][1], 0.03);
      g_assert_cmpfloat (shift.certainty, >, 20.0);
    }
}

/* Dust and hot pixels of five times the texture's contrast stay where they
 * are, and hold nothing back. */
static void
test_fixed_pattern (void)
{
  SceneOptions options = plain;
  g_autoptr (FilDriftTracker) tracker = NULL;
  g_autoptr (GError) error = NULL;
  FilDrift drift;

  options.fixed = 0.1;
  tracker = track (&options, &standard);
  solve (tracker, FALSE, NAN, &drift, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (drift.speed_px_per_s, 13.0, 0.05);
  g_assert_cmpuint (drift.n_frames, >, 135);
}

static void
test_gap (void)
{
  Motion motion = standard;
  g_autoptr (FilDriftTracker) tracker = NULL;
  g_autoptr (GError) error = NULL;
  FilDrift drift;

  motion.gap_from_s = 5.0;
  motion.gap_to_s = 7.5;
  tracker = track (&plain, &motion);
  solve (tracker, FALSE, NAN, &drift, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (drift.speed_px_per_s, 13.0, 0.05);
  g_assert_cmpuint (drift.n_frames, ==, 114);
}

static void
test_refusals (void)
{
  const struct
  {
    FilDriftError error;
    SceneOptions  scene;
    Motion        motion;
    double        expected_scale;
  } cases[] = {
    { FIL_DRIFT_ERROR_STILL, plain, { .fps = 12.0, .seconds = 8.0, .jitter = 0.7 }, NAN },
    { FIL_DRIFT_ERROR_STILL, plain, { .vx = 1.5, .fps = 12.0, .seconds = 8.0, .jitter = 0.3 },
      RATE / 13.0 },
    { FIL_DRIFT_ERROR_FAST, plain, { .vx = 12.0, .fps = 12.0, .seconds = 8.0 }, RATE / 2.0 },
    { FIL_DRIFT_ERROR_GUST, plain,
      { .vx = 12.0, .vy = 5.0, .fps = 12.0, .seconds = 12.0, .still_from_s = 8.0 }, NAN },
    { FIL_DRIFT_ERROR_GUST, plain,
      { .vx = 12.0, .vy = 5.0, .fps = 12.0, .seconds = 12.0, .kick_s = 6.0, .kick_px = 7.0 }, NAN },
    { FIL_DRIFT_ERROR_CLOUD, plain,
      { .vx = 12.0, .fps = 12.0, .seconds = 12.0, .dark_from_s = 4.0, .dark_to_s = 20.0 }, NAN },
    { FIL_DRIFT_ERROR_FEW, plain, { .vx = 12.0, .fps = 12.0, .seconds = 1.0 }, NAN },
    { FIL_DRIFT_ERROR_FEW, plain, { .vx = 12.0, .fps = 30.0, .seconds = 1.5 }, NAN },
    { FIL_DRIFT_ERROR_FEATURELESS, { 0.0, 0.0, 0.01, 20000.0, 8, 0 },
      { .vx = 12.0, .fps = 12.0, .seconds = 8.0 }, NAN },
    { FIL_DRIFT_ERROR_FEATURELESS, { 0.02, 0.0, 0.0, 0.0, 8, 0 },   /* no light at all */
      { .vx = 12.0, .fps = 12.0, .seconds = 8.0 }, NAN },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (FilDriftTracker) tracker = track (&cases[i].scene, &cases[i].motion);
      g_autoptr (GError) error = NULL;
      FilDrift drift = { .n_frames = 4711 };

      g_assert_false (solve (tracker, FALSE, cases[i].expected_scale, &drift, &error));
      g_test_message ("%s", error->message);
      g_assert_error (error, FIL_DRIFT_ERROR, (int) cases[i].error);
      g_assert_cmpuint (drift.n_frames, ==, 4711);
    }
}

static void
test_hostile (void)
{
  g_autoptr (Scene) scene = scene_new (&plain);
  g_autoptr (FilDriftTracker) tracker = fil_drift_tracker_new ();
  g_autoptr (FilFrame) frame = scene_frame (scene, 0.0, 0.0, 1.0);
  g_autoptr (FilFrame) other = fil_frame_new_alloc (frame->format, 200, 100);
  g_autoptr (FilFrame) tiny = fil_frame_new_alloc (frame->format, 31, 4000);
  const double times[] = { NAN, INFINITY, 0.5, 1.0, -INFINITY };
  g_autoptr (GError) error = NULL;
  guint n;

  g_assert_false (fil_drift_tracker_add (tracker, tiny, 0.0, &error));
  g_assert_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_SIZE);
  g_clear_error (&error);
  g_assert_true (fil_drift_tracker_add (tracker, frame, 1.0, NULL));
  g_assert_false (fil_drift_tracker_add (tracker, other, 2.0, &error));
  g_assert_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_SIZE);
  g_clear_error (&error);
  for (gsize i = 0; i < G_N_ELEMENTS (times); i++)
    {
      g_assert_false (fil_drift_tracker_add (tracker, frame, times[i], &error));
      g_assert_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_TIME);
      g_clear_error (&error);
    }
  fil_drift_tracker_flush (tracker);
  fil_drift_tracker_get_points (tracker, &n);
  g_assert_cmpuint (n, ==, 0);
}

/* Places as if followed without fault, moved by air that is alike from frame
 * to frame. */
static void
make_points (FilDriftPoint *points,
             guint          n,
             double         fps,
             double         vx,
             double         vy,
             double         jitter,
             GRand         *rand)
{
  double keep = exp (-1.0 / (0.2 * fps)), gain = jitter * sqrt (1.0 - keep * keep), jx = 0.0, jy = 0.0;

  for (guint i = 0; i < n; i++)
    {
      jx = keep * jx + gain * scene_gauss (rand);
      jy = keep * jy + gain * scene_gauss (rand);
      points[i] = (FilDriftPoint) { i / fps, vx * i / fps + jx, vy * i / fps + jy, 50.0, 1000.0 };
    }
}

/* Over many histories of the air the stated error is the true one. */
static void
test_honest_errors (void)
{
  enum { N = 400, RUNS = 200 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (77);
  FilDriftPoint points[N];
  const FilDriftTrack track = { points, N };
  const FilDriftTerms terms = { 0.0, RATE, FALSE, NAN };
  double scale = 0.0, angle = 0.0;

  for (int i = 0; i < RUNS; i++)
    {
      g_autoptr (GError) error = NULL;
      FilDrift drift;

      make_points (points, N, 20.0, 30.0, 40.0, 2.5, rand);
      fil_drift_solve (&track, 1, &terms, &drift, &error);
      g_assert_no_error (error);
      scale += pow ((drift.plate_scale_arcsec_per_px - RATE / 50.0) / drift.plate_scale_error, 2.0);
      angle += pow (remainder (drift.position_angle_deg + atan2 (40.0, 30.0) * 180.0 / G_PI, 360.0) /
                      drift.position_angle_error_deg, 2.0);
    }
  g_test_message ("deviation over stated error, rms: scale %.2f, angle %.2f", sqrt (scale / RUNS),
                  sqrt (angle / RUNS));
  g_assert_cmpfloat_with_epsilon (sqrt (scale / RUNS), 1.0, 0.25);
  g_assert_cmpfloat_with_epsilon (sqrt (angle / RUNS), 1.0, 0.25);
}

/* Two clips: one velocity, each its own place; wild frames of a bird. */
static void
test_several (void)
{
  enum { N = 200 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  FilDriftPoint a[N], b[N];
  const FilDriftTrack tracks[] = { { a, N }, { b, N } };
  FilDriftTerms terms = { 0.0, RATE, FALSE, NAN };
  g_autoptr (GError) error = NULL;
  FilDrift one, both, cut;

  make_points (a, N, 20.0, -30.0, 0.0, 1.0, rand);
  make_points (b, N, 20.0, -30.0, 0.0, 1.0, rand);
  for (guint i = 0; i < N; i++)
    b[i].x += 500.0;
  for (guint i = 50; i < 58; i++)
    a[i].y += 80.0;
  fil_drift_solve (tracks, 1, &terms, &one, &error);
  g_assert_no_error (error);
  fil_drift_solve (tracks, 2, &terms, &both, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (both.speed_px_per_s, 30.0, 0.1);
  g_assert_cmpfloat_with_epsilon (both.position_angle_deg, 180.0, 0.3);
  g_assert_cmpfloat (both.plate_scale_error, <, one.plate_scale_error);
  g_assert_cmpuint (both.n_frames, ==, 2 * N);
  g_assert_cmpfloat_with_epsilon (both.seconds, 2.0 * (N - 1) / 20.0, 1e-9);

  terms.skip_s = 2.0;
  fil_drift_solve (tracks, 2, &terms, &cut, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (cut.n_frames, ==, 2 * (N - 40));
  g_assert_cmpfloat_with_epsilon (cut.seconds, 2.0 * ((N - 1) / 20.0 - 2.0), 1e-9);
}

static void
test_agrees (void)
{
  FilDrift drift = { .plate_scale_arcsec_per_px = 0.3, .plate_scale_error = 0.001,
                     .position_angle_deg = 359.9, .position_angle_error_deg = 0.2 };
  FilPlace place = { .plate_scale_arcsec_per_px = 0.3, .position_angle_deg = 0.4,
                     .position_angle_error_deg = 0.1, .oriented = TRUE };
  double turned, ratio;

  g_assert_true (fil_drift_agrees (&drift, &place, &turned, &ratio));
  g_assert_cmpfloat_with_epsilon (turned, -0.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (ratio, 1.0, 1e-9);
  place.position_angle_deg = 2.0;
  g_assert_false (fil_drift_agrees (&drift, &place, &turned, NULL));
  g_assert_cmpfloat_with_epsilon (turned, -2.1, 1e-9);
  drift.position_angle_deg = 2.0;
  drift.mirrored = TRUE;
  g_assert_false (fil_drift_agrees (&drift, &place, NULL, NULL));
}

/* An amplifier of factor 2 at 100 mm: 1 + distance / 100 mm. Its sensor 3 mm
 * too far away makes the factor 2.03 and the scale 1.5 % finer. */
static void
test_explain (void)
{
  static const char text[] =
    "[rig]\nname=Roof 102\n[element 1]\nkind=objective\ntype=lens\naperture_mm=102\n"
    "focal_length_mm=1020\n[element 2]\nkind=amplifier\nfactor=2\ndistance_to_next_mm=100\n"
    "[element 3]\nkind=camera\npixel_um=2.9\ncolumns=1936\nrows=1096\n";
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = fil_rig_parse (text, -1, "test.rig", &error);
  double nominal = 2.9e-3 / 2040.0 * 180.0 / G_PI * 3600.0;
  FilDrift drift = { .plate_scale_arcsec_per_px = nominal, .plate_scale_error = 2e-4 * nominal };
  g_autofree char *agrees = NULL;
  g_autofree char *why = NULL;

  g_assert_no_error (error);
  agrees = fil_drift_explain (&drift, rig);
  g_assert_null (agrees);
  g_assert_false (fil_drift_scale_differs (&drift, NAN));

  drift.plate_scale_arcsec_per_px = nominal / 1.015;
  why = fil_drift_explain (&drift, rig);
  g_assert_nonnull (why);
  g_test_message ("%s", why);
  g_assert_nonnull (strstr (why, "2.030"));
  g_assert_nonnull (strstr (why, "3.0 mm longer"));
  g_assert_nonnull (strstr (why, "1035 mm instead of 1020 mm"));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/shift/subpixel", test_subpixel);
  g_test_add_func ("/drift/directions", test_directions);
  g_test_add_func ("/drift/fixed-pattern", test_fixed_pattern);
  g_test_add_func ("/drift/gap", test_gap);
  g_test_add_func ("/drift/refusals", test_refusals);
  g_test_add_func ("/drift/hostile", test_hostile);
  g_test_add_func ("/drift/honest-errors", test_honest_errors);
  g_test_add_func ("/drift/several", test_several);
  g_test_add_func ("/drift/agrees", test_agrees);
  g_test_add_func ("/drift/explain", test_explain);

  return g_test_run ();
}

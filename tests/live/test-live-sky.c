/* test-live-sky.c: how the picture lies on the sky, kept and passed to clips
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-clip.h"
#include "live-bench.h"

/* The demo rig: a wedge mirrors once; 206265″ · 2.9 µm over 2040 mm. */
#define DEMO_SCALE (206264.80624709636 * 2.9e-6 / 2.04)

static FilPlace
measured (void)
{
  return (FilPlace) {
    .plate_scale_arcsec_per_px = 0.2935, .plate_scale_error = 0.0004,
    .position_angle_deg = 33.25, .position_angle_error_deg = 0.05, .mirrored = TRUE,
    .oriented = TRUE, .oriented_utc_ns = G_GINT64_CONSTANT (1786527000000000000),
    .placed = TRUE, .centre_x = -300.25, .centre_y = 120.5, .centre_error_px = 1.5,
  };
}

static void
test_nominal (Bench        *bench,
              gconstpointer data)
{
  FilPlace place;

  bench_open_camera (bench, FALSE, FALSE);
  g_assert_false (fil_live_get_place (bench->live, &place));
  g_assert_false (place.oriented || place.placed);
  g_assert_true (place.mirrored);
  g_assert_cmpfloat_with_epsilon (place.plate_scale_arcsec_per_px, DEMO_SCALE, 1e-9);
  g_assert_cmpfloat (place.centre_x, ==, 0.5 * (FAKE_WIDTH + 1));

  fake_source_set_flips (bench->camera, TRUE, FALSE);
  fil_live_get_place (bench->live, &place);
  g_assert_false (place.mirrored);
  fake_source_set_flips (bench->camera, TRUE, TRUE);
  fil_live_get_place (bench->live, &place);
  g_assert_true (place.mirrored);
}

static void
test_kept (Bench        *bench,
           gconstpointer data)
{
  g_autoptr (FilRig) renamed = fil_rig_with_value (bench->rig, "rig", "name", "Other", NULL);
  FilPlace set = measured (), got;

  bench_open_camera (bench, FALSE, FALSE);
  fil_live_set_place (bench->live, &set);
  g_assert_true (fil_live_get_place (bench->live, &got));
  g_assert_cmpmem (&got, sizeof got, &set, sizeof set);

  /* The same rig once more, and one whose name alone differs. */
  fil_live_set_rig (bench->live, bench->rig);
  g_assert_true (fil_live_get_place (bench->live, &got));
  fil_live_set_rig (bench->live, renamed);
  g_assert_true (fil_live_get_place (bench->live, &got));

  fil_live_set_place (bench->live, NULL);
  g_assert_false (fil_live_get_place (bench->live, &got));
}

static void
test_forgotten (Bench        *bench,
                gconstpointer data)
{
  g_autoptr (FilRig) other = fil_rig_with_value (bench->rig, "element 4", "factor", "4.0", NULL);
  FilPlace set = measured (), got;

  /* Another flip, while the camera is open. */
  bench_open_camera (bench, FALSE, FALSE);
  fil_live_set_place (bench->live, &set);
  fake_source_set_flips (bench->camera, FALSE, TRUE);
  g_assert_false (fil_live_get_place (bench->live, &got));
  fake_source_set_flips (bench->camera, FALSE, FALSE);
  g_assert_false (fil_live_get_place (bench->live, &got));

  /* Another amplifier. */
  fil_live_set_place (bench->live, &set);
  fil_live_set_rig (bench->live, other);
  g_assert_false (fil_live_get_place (bench->live, &got));

  /* Another camera. */
  fil_live_set_place (bench->live, &set);
  bench_open_camera (bench, FALSE, FALSE);
  g_assert_false (fil_live_get_place (bench->live, &got));
}

static void
set_region (Bench         *bench,
            const FilRect *roi)
{
  FilSourceMode mode = { .roi = *roi };
  g_autoptr (GError) error = NULL;

  fil_live_set_mode (bench->live, &mode, &error);
  g_assert_no_error (error);
}

/* A region read from the sensor moves the disc's centre, as FITS rows count
 * from the bottom; the whole sensor again brings it back. */
static void
test_region (Bench        *bench,
             gconstpointer data)
{
  FilPlace set = measured (), got;

  bench_open_camera (bench, FALSE, FALSE);
  fil_live_set_place (bench->live, &set);
  set_region (bench, &(FilRect) { 16, 8, 100, 64 });
  g_assert_true (fil_live_get_place (bench->live, &got));
  g_assert_cmpfloat (got.centre_x, ==, set.centre_x - 16);
  g_assert_cmpfloat (got.centre_y, ==, set.centre_y - (FAKE_HEIGHT - 8 - 64));
  g_assert_cmpfloat (got.position_angle_deg, ==, set.position_angle_deg);

  set_region (bench, &(FilRect) { 40, 80, 32, 32 });
  g_assert_true (fil_live_get_place (bench->live, &got));
  g_assert_cmpfloat (got.centre_x, ==, set.centre_x - 40);
  g_assert_cmpfloat (got.centre_y, ==, set.centre_y - (FAKE_HEIGHT - 80 - 32));

  set_region (bench, &(FilRect) { 0 });
  g_assert_true (fil_live_get_place (bench->live, &got));
  g_assert_cmpfloat (got.centre_x, ==, set.centre_x);
  g_assert_cmpfloat (got.centre_y, ==, set.centre_y);
}

static void
assert_number (FilClip    *clip,
               const char *keyword,
               double      expected)
{
  double value;

  g_test_message ("%s", keyword);
  g_assert_true (fil_clip_get_card_double (clip, keyword, &value));
  g_assert_cmpfloat_with_epsilon (value, expected, 1e-9);
}

/* A clip cut from the picture: disc and patch lie elsewhere in it. */
static void
test_clip (Bench        *bench,
           gconstpointer data)
{
  FilRecorderOptions options = { .path = bench->path, .max_frames = 3, .wait = TRUE,
                                 .cut = { 16, 8, 128, 100 } };
  FilRect patch = { 32, 20, 64, 32 };
  FilPlace set = measured (), got;
  FilSun sun;
  g_autoptr (GError) error = NULL;
  g_autoptr (FilClip) clip = NULL;
  double value;

  bench_open_camera (bench, FALSE, TRUE);
  fil_live_set_place (bench->live, &set);
  fil_live_set_patch (bench->live, &patch);
  fil_live_set_target (bench->live, "North group");
  g_assert_cmpstr (fil_live_get_target (bench->live), ==, "North group");
  bench_start (bench, NULL);
  fil_live_record (bench->live, &options, &error);
  g_assert_no_error (error);
  bench_wait_for (bench, bench_is_recorded);

  clip = fil_clip_open (bench->path, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (fil_clip_get_card (clip, "OBJECT"), ==, "North group");
  g_assert_cmpstr (fil_clip_get_card (clip, "WCSANGLE"), ==, "measured");
  g_assert_cmpstr (fil_clip_get_card (clip, "WCSPLACE"), ==, "measured");
  g_assert_cmpstr (fil_clip_get_card (clip, "MIRRORED"), ==, "T");
  assert_number (clip, "POSANGLE", 33.25);
  assert_number (clip, "CRPIX1", -300.25 - 16);
  assert_number (clip, "CRPIX2", 120.5 - (FAKE_HEIGHT - 8 - 100));
  /* Columns 17 to 80 of the clip, rows 13 to 44 from the top of 100. */
  assert_number (clip, "PATCHX", 48.5);
  assert_number (clip, "PATCHY", 100 - 28 + 0.5);
  g_assert_true (fil_clip_get_card_double (clip, "HGLN", &value));
  g_assert_true (fil_clip_get_card_double (clip, "HGLTERR", &value));

  /* And read back. */
  g_assert_true (fil_clip_get_sky (clip, &got, &sun));
  set.centre_x -= 16;
  set.centre_y -= FAKE_HEIGHT - 8 - 100;
  g_assert_true (got.oriented && got.placed && got.mirrored);
  g_assert_cmpfloat (got.plate_scale_arcsec_per_px, ==, set.plate_scale_arcsec_per_px);
  g_assert_cmpfloat (got.plate_scale_error, ==, set.plate_scale_error);
  g_assert_cmpfloat (got.position_angle_deg, ==, set.position_angle_deg);
  g_assert_cmpfloat (got.position_angle_error_deg, ==, set.position_angle_error_deg);
  g_assert_cmpint (got.oriented_utc_ns, ==, set.oriented_utc_ns);
  g_assert_cmpfloat (got.centre_x, ==, set.centre_x);
  g_assert_cmpfloat (got.centre_y, ==, set.centre_y);
  g_assert_cmpfloat (got.centre_error_px, ==, set.centre_error_px);
}

static void
test_clip_without (Bench        *bench,
                   gconstpointer data)
{
  g_autoptr (FilClip) clip = NULL;

  bench_open_camera (bench, FALSE, TRUE);
  fake_source_set_flips (bench->camera, TRUE, FALSE);
  fil_live_set_target (bench->live, "");
  g_assert_null (fil_live_get_target (bench->live));
  bench_start (bench, NULL);
  bench_record (bench, 2);
  bench_wait_for (bench, bench_is_recorded);

  clip = fil_clip_open (bench->path, NULL);
  g_assert_nonnull (clip);
  g_assert_cmpstr (fil_clip_get_card (clip, "WCSANGLE"), ==, "nominal");
  g_assert_cmpstr (fil_clip_get_card (clip, "WCSPLACE"), ==, "nominal");
  g_assert_cmpstr (fil_clip_get_card (clip, "MIRRORED"), ==, "F");
  g_assert_cmpstr (fil_clip_get_card (clip, "FLIPX"), ==, "T");
  g_assert_null (fil_clip_get_card (clip, "OBJECT"));
  g_assert_null (fil_clip_get_card (clip, "HGLN"));
  assert_number (clip, "CRPIX1", 0.5 * (FAKE_WIDTH + 1));
  {
    FilPlace place;
    FilSun sun;

    g_assert_true (fil_clip_get_sky (clip, &place, &sun));
    g_assert_false (place.oriented || place.placed || place.mirrored);
    g_assert_true (isnan (place.centre_error_px) && isnan (place.plate_scale_error));
    g_assert_cmpfloat_with_epsilon (place.plate_scale_arcsec_per_px, DEMO_SCALE, 1e-9);
  }
  g_clear_pointer (&clip, fil_clip_close);

  /* Played again, it is as its driver turned it. */
  {
    g_autoptr (FilLive) again = fil_live_new ();
    g_autoptr (GError) error = NULL;
    FilPlace place;

    fil_live_open (again, bench->path, bench->rig, NULL, &error);
    g_assert_no_error (error);
    g_assert_false (fil_live_get_place (again, &place));
    g_assert_false (place.mirrored);
  }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  bench_add ("/live-sky/nominal", test_nominal);
  bench_add ("/live-sky/kept", test_kept);
  bench_add ("/live-sky/forgotten", test_forgotten);
  bench_add ("/live-sky/region", test_region);
  bench_add ("/live-sky/clip", test_clip);
  bench_add ("/live-sky/clip-without", test_clip_without);

  return g_test_run ();
}

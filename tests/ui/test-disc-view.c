/* test-disc-view.c: the whole disc laid on a square
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-disc-view.h"

#define SIDE   400
#define RADIUS 160.0
#define DEG    (G_PI / 180.0)

static const FilSun sun = {
  .p_deg = 15.0, .b0_deg = 6.5, .distance_au = 1.0, .semidiameter_arcsec = 959.2290,
};

/* Where the pole and the limb come to lie: by hand, from the angles alone. */
static void
assert_at (const FilSkyView *view,
           double            latitude_deg,
           double            longitude_deg,
           double            angle_deg,   /* from the top, clockwise */
           double            radius)
{
  FilSkyPoint at;

  fil_disc_view_from_disc (view, latitude_deg, longitude_deg, &at);
  g_assert_cmpfloat_with_epsilon (at.x, SIDE / 2.0 + radius * sin (angle_deg * DEG), 0.6);
  g_assert_cmpfloat_with_epsilon (at.y, SIDE / 2.0 - radius * cos (angle_deg * DEG), 0.6);
}

static void
test_up (void)
{
  FilPlace place = { .position_angle_deg = 100.0, .mirrored = TRUE };
  FilSkyView view;

  /* The axis upright, west on the right. */
  fil_disc_view_init (&view, FIL_DISC_UP_SOLAR_NORTH, &sun, NULL, SIDE, RADIUS);
  assert_at (&view, 90, 0, 0, RADIUS * cos (6.5 * DEG));
  assert_at (&view, 0, 89.7, 90, RADIUS);
  assert_at (&view, 0, -89.7, 270, RADIUS);

  /* The axis P towards east: to the left. */
  fil_disc_view_init (&view, FIL_DISC_UP_NORTH, &sun, NULL, SIDE, RADIUS);
  assert_at (&view, 90, 0, -15, RADIUS * cos (6.5 * DEG));
  assert_at (&view, 0, 89.7, 75, RADIUS);

  /* Mirrored, angles on the sky run clockwise: the axis is at 15° − 100°. */
  fil_disc_view_init (&view, FIL_DISC_UP_PICTURE, &sun, &place, SIDE, RADIUS);
  assert_at (&view, 90, 0, -85, RADIUS * cos (6.5 * DEG));
  assert_at (&view, 0, -89.7, 5, RADIUS);
}

static void
test_seen (void)
{
  FilSkyView view;
  FilSkyPoint at;

  fil_disc_view_init (&view, FIL_DISC_UP_NORTH, &sun, NULL, SIDE, RADIUS);
  g_assert_true (fil_disc_view_from_disc (&view, 10, 50, &at));
  g_assert_false (fil_disc_view_from_disc (&view, 10, 120, &at));
  g_assert_false (fil_disc_view_from_disc (&view, -89, 0, &at));
}

/* The camera's field keeps its size and shape, whatever is up: 1000 × 500
 * pixels of 0.5″, at 959.2″ over 160 pixels. As in the picture its sides are
 * upright. */
static void
test_field (void)
{
  const double scale = 0.5 * RADIUS / 959.2290;

  for (int mirrored = 0; mirrored < 2; mirrored++)
    for (int up = 0; up < 3; up++)
      {
        FilPlace place = { .plate_scale_arcsec_per_px = 0.5, .position_angle_deg = 40.0,
                           .mirrored = mirrored == 1, .centre_x = -200.0, .centre_y = 900.0 };
        FilSkyPoint corners[4];
        FilSkyView view;

        fil_disc_view_init (&view, (FilDiscUp) up, &sun, &place, SIDE, RADIUS);
        g_assert_true (fil_disc_view_get_field (&view, &place, 1000, 500, corners));
        g_assert_cmpfloat_with_epsilon (hypot (corners[1].x - corners[0].x,
                                               corners[1].y - corners[0].y), 1000 * scale, 0.01);
        g_assert_cmpfloat_with_epsilon (hypot (corners[3].x - corners[0].x,
                                               corners[3].y - corners[0].y), 500 * scale, 0.01);
        if ((FilDiscUp) up != FIL_DISC_UP_PICTURE)
          continue;
        /* Its top left corner, FITS (0.5, 500.5), right of and below the centre. */
        g_assert_cmpfloat_with_epsilon (corners[0].x, SIDE / 2.0 + 200.5 * scale, 0.01);
        g_assert_cmpfloat_with_epsilon (corners[0].y, SIDE / 2.0 + 399.5 * scale, 0.01);
        g_assert_cmpfloat (corners[1].x, >, corners[0].x);
        g_assert_cmpfloat_with_epsilon (corners[1].y, corners[0].y, 0.01);
      }
}

static void
test_no_scale (void)
{
  FilPlace place = { .plate_scale_arcsec_per_px = NAN };
  FilSkyPoint corners[4];
  FilSkyView view;

  fil_disc_view_init (&view, FIL_DISC_UP_PICTURE, &sun, NULL, SIDE, RADIUS);
  g_assert_false (fil_disc_view_get_field (&view, &place, 100, 100, corners));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/disc-view/up", test_up);
  g_test_add_func ("/disc-view/seen", test_seen);
  g_test_add_func ("/disc-view/field", test_field);
  g_test_add_func ("/disc-view/no-scale", test_no_scale);

  return g_test_run ();
}

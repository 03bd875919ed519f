/* test-aim-view.c: which way the hand has to go, and what the shelf says
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-aim-view.h"

#define WIDTH  1936
#define HEIGHT 1096

static FilPlace
place_with (double   position_angle_deg,
            gboolean mirrored,
            double   centre_x,
            double   centre_y)
{
  return (FilPlace) {
    .plate_scale_arcsec_per_px = 0.3, .plate_scale_error = 0.001,
    .position_angle_deg = position_angle_deg, .position_angle_error_deg = 0.1,
    .mirrored = mirrored, .oriented = TRUE, .placed = TRUE,
    .centre_x = centre_x, .centre_y = centre_y, .centre_error_px = 20.0,
  };
}

/* As somebody would work it out on paper: north up has west on the right; one
 * mirror, west on the left; the camera turned counter-clockwise by 90° sees
 * what was on its left (east) on top. */
static void
test_plain_cases (void)
{
  static const struct
  {
    double   angle;
    gboolean mirrored;
    double   dx, dy;       /* pixels to the disc's centre */
    double   east, north;  /* arcmin; 200 px are 1′ */
  } cases[] = {
    { 0, FALSE, 200, 0, -1, 0 },
    { 0, FALSE, 0, 400, 0, 2 },
    { 0, TRUE, 200, 0, 1, 0 },
    { 90, FALSE, 0, 200, 1, 0 },
    { 90, FALSE, 200, 0, 0, 1 },
    { 90, TRUE, 200, 0, 0, -1 },
    { 180, FALSE, 200, 600, 1, -3 },
    { 270, TRUE, 0, 200, -1, 0 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FilPlace place = place_with (cases[i].angle, cases[i].mirrored,
                                   0.5 * (WIDTH + 1) + cases[i].dx,
                                   0.5 * (HEIGHT + 1) + cases[i].dy);
      FilAimOffset offset;

      g_assert_true (fil_aim_offset (&place, NULL, WIDTH, HEIGHT, &offset));
      g_assert_cmpfloat_with_epsilon (offset.east_arcmin, cases[i].east, 1e-9);
      g_assert_cmpfloat_with_epsilon (offset.north_arcmin, cases[i].north, 1e-9);
      g_assert_cmpfloat_with_epsilon (offset.distance_arcmin,
                                      hypot (cases[i].dx, cases[i].dy) * 0.3 / 60.0, 1e-9);
      g_assert_cmpfloat_with_epsilon (offset.error_arcmin, 0.1, 1e-9);
      g_assert_true (isnan (offset.left_arcmin));
    }
}

/* The same as the coordinates of the middle say, which are checked elsewhere
 * against libraries: with the axis upright west is +x. */
static void
test_against_coordinates (void)
{
  FilSun sun = { .p_deg = 0.0, .distance_au = 1.0, .semidiameter_arcsec = 959.2,
                 .parallactic_angle_deg = 30.0 };

  for (int i = 0; i < 24; i++)
    {
      FilPlace place = place_with (15.0 * i, i % 2 != 0, 900.0 - 70.0 * i, 100.0 + 50.0 * i);
      double west, north;
      FilAimOffset offset;
      FilWcs wcs;

      fil_wcs_from_place (&place, &sun, &wcs);
      fil_wcs_to_angle (&wcs, 0.5 * (WIDTH + 1), 0.5 * (HEIGHT + 1), &west, &north);
      g_assert_true (fil_aim_offset (&place, &sun, WIDTH, HEIGHT, &offset));
      g_assert_cmpfloat_with_epsilon (offset.east_arcmin, west / 60.0, 1e-4);
      g_assert_cmpfloat_with_epsilon (offset.north_arcmin, -north / 60.0, 1e-4);
      /* the zenith lies 30° from north through east: left is 120° */
      g_assert_cmpfloat_with_epsilon (offset.up_arcmin,
                                      offset.north_arcmin * cos (G_PI / 6.0) +
                                        offset.east_arcmin * sin (G_PI / 6.0), 1e-9);
      g_assert_cmpfloat_with_epsilon (offset.left_arcmin,
                                      offset.east_arcmin * cos (G_PI / 6.0) -
                                        offset.north_arcmin * sin (G_PI / 6.0), 1e-9);
    }
}

static void
test_unknown (void)
{
  FilPlace place = place_with (0.0, FALSE, 0.0, 0.0);
  FilAimOffset offset = { .fields = -1.0 };

  place.placed = FALSE;
  g_assert_false (fil_aim_offset (&place, NULL, WIDTH, HEIGHT, &offset));
  g_assert_cmpfloat (offset.fields, ==, -1.0);

  place.placed = TRUE;
  place.oriented = FALSE;
  g_assert_true (fil_aim_offset (&place, NULL, WIDTH, HEIGHT, &offset));
  g_assert_true (isnan (offset.east_arcmin));
  g_assert_cmpfloat (offset.distance_arcmin, >, 0.0);
}

/* Every state says something, and what must be done is in it. */
static void
test_words (void)
{
  FilAimFacts facts = {
    .light = {
      .glow = { .rise = 2.13, .direction = 1, .place = 0.4, .wanted_ms = NAN },
      .left_s = 41.2, .shortest_ms = 0.02, .longest_ms = 50.0,
    },
    .mean_percent = 55.0, .exposure_ms = 2.0, .width = WIDTH, .height = HEIGHT,
    .place = place_with (0.0, FALSE, 0.5 * (WIDTH + 1) + 200.0, 0.5 * (HEIGHT + 1) - 400.0),
    .limb = { .seen = TRUE, .arc_deg = 21.0 },
  };
  FilAimView view;

  facts.light.state = FIL_AIM_CAPPED;
  fil_aim_view_init (&view, &facts);
  g_assert_nonnull (strstr (view.text, "Nobody looks along the tube"));
  g_assert_nonnull (view.primary);
  fil_aim_view_clear (&view);

  facts.light.state = FIL_AIM_SEARCHING;
  fil_aim_view_init (&view, &facts);
  g_assert_cmpstr (view.figure, ==, "×2.1");
  g_assert_cmpfloat (view.arrow_deg, ==, 90.0);
  g_assert_nonnull (strstr (view.title, "42 s"));
  g_assert_true (view.shows_bar);
  fil_aim_view_clear (&view);

  facts.light.state = FIL_AIM_OVERDUE;
  fil_aim_view_init (&view, &facts);
  g_assert_nonnull (strstr (view.title, "cap on"));
  fil_aim_view_clear (&view);

  facts.light.state = FIL_AIM_LIMB;
  fil_aim_view_init (&view, &facts);
  g_assert_cmpstr (view.figure, ==, "2.2");
  g_assert_cmpstr (view.title, ==, "Move the telescope 1.0′ west and 2.0′ south");
  g_assert_cmpfloat_with_epsilon (view.arrow_deg, -63.435, 0.001);
  g_assert_null (view.primary);
  fil_aim_view_clear (&view);

  facts.place.oriented = FALSE;
  fil_aim_view_init (&view, &facts);
  g_assert_null (strstr (view.title, "west"));
  fil_aim_view_clear (&view);

  facts.light.state = FIL_AIM_DISC;
  fil_aim_view_init (&view, &facts);
  g_assert_cmpstr (view.figure, ==, "55");
  g_assert_false (view.shows_bar);
  fil_aim_view_clear (&view);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/aim-view/plain-cases", test_plain_cases);
  g_test_add_func ("/aim-view/against-coordinates", test_against_coordinates);
  g_test_add_func ("/aim-view/unknown", test_unknown);
  g_test_add_func ("/aim-view/words", test_words);

  return g_test_run ();
}

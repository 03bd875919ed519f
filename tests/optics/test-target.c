/* test-target.c: a spot group that is followed from day to day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-disc.h"
#include "fil-target.h"

#define DEG       (G_PI / 180.0)
#define S_NS      G_GINT64_CONSTANT (1000000000)
#define HOUR_NS   (3600 * S_NS)
#define DAY_NS    (24 * HOUR_NS)
#define AUGUST_NS (G_GINT64_CONSTANT (1786550400) * S_NS)   /* 2026-08-12 16:00 UTC */

static FilSun
sun_at (gint64 utc_ns)
{
  FilSun sun;

  if (!fil_sun_compute (utc_ns, NAN, NAN, NAN, &sun, NULL))
    g_assert_not_reached ();

  return sun;
}

static FilTarget *
target_at (double latitude_deg,
           double longitude_deg)
{
  FilSun sun = sun_at (AUGUST_NS);

  return fil_target_new ("group", latitude_deg, fil_disc_carrington_deg (&sun, longitude_deg),
                         AUGUST_NS, NULL);
}

static void
test_place (void)
{
  g_autoptr (FilTarget) target = target_at (14.0, -52.0);
  FilSun sun = sun_at (AUGUST_NS);
  FilTargetPlace place;
  double x, y, mu;

  fil_target_get_place (target, FIL_ROTATION_MAGNETIC, AUGUST_NS, &sun, &place);
  fil_disc_to_angle (&sun, 14.0, -52.0, &x, &y, &mu);
  g_assert_true (place.seen);
  g_assert_cmpfloat_with_epsilon (place.longitude_deg, -52.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.west_arcmin, x / 60, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.north_arcmin, y / 60, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.offset_arcmin, hypot (x, y) / 60, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.mu, mu, 1e-12);
}

/* Position angles by hand: the axis is at P from celestial north, + through
 * east; solar east is a quarter turn further, solar west a quarter back. */
static void
test_position_angle (void)
{
  FilSun sun = { .p_deg = 15.0, .b0_deg = 0.0, .distance_au = 1.0 };
  static const struct { double latitude, longitude, angle; } rows[] = {
    { 40, 0, 15 }, { 0, -40, 105 }, { -40, 0, 195 }, { 0, 40, 285 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (FilTarget) target =
        fil_target_new ("group", rows[i].latitude,
                        fil_disc_carrington_deg (&sun, rows[i].longitude), 0, NULL);
      FilTargetPlace place;

      fil_target_get_place (target, FIL_ROTATION_MAGNETIC, 0, &sun, &place);
      g_assert_cmpfloat_with_epsilon (place.position_angle_deg, rows[i].angle, 1e-6);
    }
}

/* A day later: by the rate less what the Earth went, about 0.96°/day in August
 * (0.9856 on average). */
static void
test_tomorrow (void)
{
  g_autoptr (FilTarget) target = target_at (10.0, 0.0);
  FilTargetPlace places[8];

  g_assert_cmpint (fil_target_get_days (target, FIL_ROTATION_MAGNETIC, AUGUST_NS, places, 8), ==,
                   8);
  for (int day = 0; day < 8; day++)
    {
      double expected = day * (fil_rotation_deg_per_day (FIL_ROTATION_MAGNETIC, 10.0) - 0.96);

      g_assert_cmpint (places[day].utc_ns, ==, AUGUST_NS + day * DAY_NS);
      g_assert_cmpfloat_with_epsilon (places[day].longitude_deg, remainder (expected, 360), 0.12);
      g_assert_true (places[day].seen == (day < 7));
    }
}

/* On both sides of the moment found it is seen, and isn't. */
static void
assert_crossing (const FilTarget *target,
                 gint64           limb_ns,
                 gboolean         west)
{
  FilTargetPlace before, after;

  g_assert_true (fil_target_predict (target, FIL_ROTATION_MAGNETIC, limb_ns - 60 * S_NS, &before,
                                     NULL));
  g_assert_true (fil_target_predict (target, FIL_ROTATION_MAGNETIC, limb_ns + 60 * S_NS, &after,
                                     NULL));
  g_assert_true (before.seen == west);
  g_assert_true (after.seen == !west);
  g_assert_true ((before.west_arcmin > 0) == west);
  g_assert_cmpfloat (fabs (before.mu), <, 3e-4);
}

static void
test_limb (void)
{
  for (int latitude = -60; latitude <= 60; latitude += 15)
    for (int longitude = -170; longitude <= 180; longitude += 25)
      for (int west = 0; west < 2; west++)
        {
          g_autoptr (FilTarget) target = target_at (latitude, longitude);
          gint64 limb_ns = 0;

          g_assert_true (fil_target_find_limb (target, FIL_ROTATION_MAGNETIC, AUGUST_NS, west == 1,
                                               &limb_ns));
          g_assert_cmpint (limb_ns, >, AUGUST_NS);
          /* At 60° once round, seen from here, is 360/(11.64 − 0.96) days. */
          g_assert_cmpint (limb_ns, <, AUGUST_NS + 34 * DAY_NS);
          assert_crossing (target, limb_ns, west == 1);
        }
}

/* The first crossing is the next one: walked hour by hour. */
static void
test_limb_is_next (void)
{
  for (int longitude = -175; longitude <= 180; longitude += 35)
    {
      g_autoptr (FilTarget) target = target_at (-22.0, longitude);
      FilTargetPlace place;
      gboolean seen = FALSE;
      gint64 limb_ns = 0, at_ns;

      g_assert_true (fil_target_find_limb (target, FIL_ROTATION_MAGNETIC, AUGUST_NS, TRUE,
                                           &limb_ns));
      for (at_ns = AUGUST_NS; at_ns < AUGUST_NS + 40 * DAY_NS; at_ns += HOUR_NS)
        {
          g_assert_true (fil_target_predict (target, FIL_ROTATION_MAGNETIC, at_ns, &place, NULL));
          if (seen && !place.seen)
            break;
          seen = place.seen;
        }
      g_assert_cmpint (limb_ns, <=, at_ns);
      g_assert_cmpint (limb_ns, >, at_ns - HOUR_NS);
    }
}

/* With B0 at 6.5° the north pole is seen all day, the south pole never. */
static void
test_no_limb (void)
{
  g_autoptr (FilTarget) north = target_at (88.0, 0.0);
  g_autoptr (FilTarget) south = target_at (-88.0, 0.0);
  gint64 limb_ns = 7;

  g_assert_false (fil_target_find_limb (north, FIL_ROTATION_MAGNETIC, AUGUST_NS, TRUE, &limb_ns));
  g_assert_false (fil_target_find_limb (south, FIL_ROTATION_MAGNETIC, AUGUST_NS, FALSE, &limb_ns));
  g_assert_cmpint (limb_ns, ==, 7);
}

static void
test_no_ephemeris (void)
{
  g_autoptr (FilTarget) target = target_at (10.0, 0.0);
  g_autoptr (GError) error = NULL;
  FilTargetPlace places[2];
  gint64 end_ns = G_GINT64_CONSTANT (4102444800) * S_NS, limb_ns = 7;

  g_assert_false (fil_target_predict (target, FIL_ROTATION_MAGNETIC, end_ns, &places[0], &error));
  g_assert_error (error, FIL_SUN_ERROR, FIL_SUN_ERROR_TIME);
  g_assert_cmpint (fil_target_get_days (target, FIL_ROTATION_MAGNETIC, end_ns - S_NS, places, 2),
                   ==, 1);
  g_assert_false (fil_target_find_limb (target, FIL_ROTATION_MAGNETIC, end_ns, TRUE, &limb_ns));
}

static void
test_copy (void)
{
  g_autoptr (FilTarget) target = fil_target_new ("north group", 12, 34, 56, "two large spots");
  g_autoptr (FilTarget) copy = fil_target_copy (target);

  g_assert_cmpstr (copy->name, ==, "north group");
  g_assert_true (copy->name != target->name);
  g_assert_cmpstr (copy->note, ==, "two large spots");
  g_assert_cmpfloat (copy->latitude_deg, ==, 12);
  g_assert_cmpfloat (copy->carrington_deg, ==, 34);
  g_assert_cmpint (copy->sighted_utc_ns, ==, 56);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/target/place", test_place);
  g_test_add_func ("/target/position-angle", test_position_angle);
  g_test_add_func ("/target/tomorrow", test_tomorrow);
  g_test_add_func ("/target/limb", test_limb);
  g_test_add_func ("/target/limb-is-next", test_limb_is_next);
  g_test_add_func ("/target/no-limb", test_no_limb);
  g_test_add_func ("/target/no-ephemeris", test_no_ephemeris);
  g_test_add_func ("/target/copy", test_copy);

  return g_test_run ();
}

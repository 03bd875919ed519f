/* test-target-text.c: a target's place in words, and places that were typed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-target-text.h"

#define MIN_NS G_GINT64_CONSTANT (60000000000)
#define DAY_NS (1440 * MIN_NS)
#define NOW_NS (G_GINT64_CONSTANT (1786527000) * 1000000000)   /* Wed 2026-08-12 09:30 UTC */

static void
assert_text (char       *got,
             const char *expected)
{
  g_assert_cmpstr (got, ==, expected);
  g_free (got);
}

static void
test_offset (void)
{
  static const struct { double west, north; const char *text; } rows[] = {
    { 6.2, 1.1, "6.2′ towards solar west, 1.1′ north" },
    { -6.25, -1.14, "6.2′ towards solar east, 1.1′ south" },
    { 0.04, -3.0, "3.0′ towards solar south" },
    { 0.0, 3.0, "3.0′ towards solar north" },
    { -3.0, 0.01, "3.0′ towards solar east" },
    { 0.01, -0.02, "at the disc’s centre" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      FilTargetPlace place = { .west_arcmin = rows[i].west, .north_arcmin = rows[i].north };

      assert_text (fil_target_text_offset (&place), rows[i].text);
    }
}

static void
test_limb (void)
{
  assert_text (fil_target_text_limb (TRUE, TRUE, NOW_NS + 3 * DAY_NS + 270 * MIN_NS, NOW_NS),
               "over the limb in 3 d 4 h (Sat 14:00)");
  assert_text (fil_target_text_limb (TRUE, TRUE, NOW_NS + 3 * DAY_NS + 30 * MIN_NS, NOW_NS),
               "over the limb in 3 d (Sat 10:00)");
  assert_text (fil_target_text_limb (TRUE, TRUE, NOW_NS + 300 * MIN_NS, NOW_NS),
               "over the limb in 5 h (Wed 14:30)");
  assert_text (fil_target_text_limb (TRUE, TRUE, NOW_NS + 45 * MIN_NS, NOW_NS),
               "over the limb in 45 min (Wed 10:15)");
  assert_text (fil_target_text_limb (FALSE, TRUE, NOW_NS + 13 * DAY_NS, NOW_NS),
               "comes round the east limb in 13 d (Tue 25 Aug 09:30)");
  assert_text (fil_target_text_limb (TRUE, FALSE, 0, NOW_NS), "never goes over the limb");
  assert_text (fil_target_text_limb (FALSE, FALSE, 0, NOW_NS), "never comes round the limb");
}

static void
test_ago (void)
{
  assert_text (fil_target_text_ago (NOW_NS, NOW_NS), "just now");
  assert_text (fil_target_text_ago (NOW_NS - 40 * MIN_NS, NOW_NS), "40 min ago");
  assert_text (fil_target_text_ago (NOW_NS - 300 * MIN_NS, NOW_NS), "5 h ago");
  /* By the calendar: late last evening was yesterday. */
  assert_text (fil_target_text_ago (NOW_NS - 11 * 60 * MIN_NS, NOW_NS), "yesterday");
  assert_text (fil_target_text_ago (NOW_NS - DAY_NS, NOW_NS), "yesterday");
  assert_text (fil_target_text_ago (NOW_NS - 3 * DAY_NS, NOW_NS), "3 days ago");
  assert_text (fil_target_text_ago (NOW_NS + DAY_NS, NOW_NS), "seen later");
}

static void
test_places (void)
{
  assert_text (fil_target_text_latitude (14.24), "14.2° N");
  assert_text (fil_target_text_latitude (-0.5), "0.5° S");
  assert_text (fil_target_text_longitude (52.0), "52.0° W");
  assert_text (fil_target_text_longitude (-17.96), "18.0° E");
  assert_text (fil_target_text_place (14.24, 52.0), "N 14.2° W 52.0°");
  assert_text (fil_target_text_place (14.24, -17.96), "N 14.2° E 18.0°");
  assert_text (fil_target_text_place (-0.5, 0.0), "S 0.5° W 0.0°");
  assert_text (fil_target_text_place (-0.5, -17.96), "S 0.5° E 18.0°");
}

static void
test_parse (void)
{
  static const struct { const char *text; gboolean latitude; double value; } good[] = {
    { "14.2", TRUE, 14.2 }, { "-14.2", TRUE, -14.2 }, { "−14.2", TRUE, -14.2 },
    { "N14", TRUE, 14 }, { "s 14,5", TRUE, -14.5 }, { " 14.2° N ", TRUE, 14.2 },
    { "14.2°S", TRUE, -14.2 }, { "0", TRUE, 0 }, { "90", TRUE, 90 }, { "+3", TRUE, 3 },
    { "52 W", FALSE, 52 }, { "E52", FALSE, -52 }, { "52,5° O", FALSE, -52.5 },
    { "-180", FALSE, -180 }, { ".5", FALSE, 0.5 },
  };
  static const struct { const char *text; gboolean latitude; } bad[] = {
    { "", TRUE }, { " ", TRUE }, { "N", TRUE }, { "90.1", TRUE }, { "-91", TRUE }, { "14 W", TRUE },
    { "-14 S", TRUE }, { "+14 N", TRUE }, { "14 N S", TRUE }, { "1e1", TRUE }, { "nan", TRUE },
    { "inf", FALSE }, { "0x10", FALSE }, { "14.2.3", TRUE }, { "1 2", TRUE }, { "14;2", TRUE },
    { "181", FALSE }, { "52 N", FALSE }, { "--3", FALSE }, { "3-", FALSE }, { "\xff", FALSE },
    { "1e400", FALSE },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (good); i++)
    {
      double value = 777;

      g_test_message ("%s", good[i].text);
      g_assert_true (fil_target_text_parse (good[i].text, good[i].latitude, &value));
      g_assert_cmpfloat_with_epsilon (value, good[i].value, 1e-12);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      double value = 777;

      g_test_message ("refused %u", (guint) i);
      g_assert_false (fil_target_text_parse (bad[i].text, bad[i].latitude, &value));
      g_assert_cmpfloat (value, ==, 777);
    }
}

/* What is shown can be typed again. */
static void
test_there_and_back (void)
{
  for (int tenths = -900; tenths <= 900; tenths += 7)
    {
      g_autofree char *latitude = fil_target_text_latitude (tenths / 10.0);
      g_autofree char *longitude = fil_target_text_longitude (tenths / 10.0);
      double value;

      g_assert_true (fil_target_text_parse (latitude, TRUE, &value));
      g_assert_cmpfloat_with_epsilon (value, tenths / 10.0, 1e-9);
      g_assert_true (fil_target_text_parse (longitude, FALSE, &value));
      g_assert_cmpfloat_with_epsilon (value, tenths / 10.0, 1e-9);
    }
}

int
main (int   argc,
      char *argv[])
{
  g_setenv ("TZ", "UTC", TRUE);
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/target-text/offset", test_offset);
  g_test_add_func ("/target-text/limb", test_limb);
  g_test_add_func ("/target-text/ago", test_ago);
  g_test_add_func ("/target-text/places", test_places);
  g_test_add_func ("/target-text/parse", test_parse);
  g_test_add_func ("/target-text/there-and-back", test_there_and_back);

  return g_test_run ();
}

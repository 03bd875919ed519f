/* test-aim-guide.c: from the cap to the disc, and what may go wrong between
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-aim-guide.h"

#define NS G_GINT64_CONSTANT (1000000000)

static FilAimState
look (FilAimGuide *guide,
      double       time_s,
      double       signal,
      double       bright,
      gboolean     limb_seen)
{
  FilAimSample sample = { (gint64) (time_s * NS), bright, signal, signal > 1e-5 ? 0.3 : 0.0,
                          limb_seen };

  return fil_aim_guide_add (guide, &sample);
}

/* Dark, glow, limb, disc. */
static void
test_found (void)
{
  g_autoptr (FilAimGuide) guide = fil_aim_guide_new ();

  fil_aim_guide_set_expected (guide, 0.3);
  g_assert_cmpint (look (guide, 0, 0, 0, FALSE), ==, FIL_AIM_CAPPED);
  fil_aim_guide_cap_off (guide, 1 * NS);
  g_assert_cmpint (look (guide, 2, 1e-4, 1.2e-4, FALSE), ==, FIL_AIM_SEARCHING);
  g_assert_cmpfloat_with_epsilon (fil_aim_guide_get_left_s (guide, 11 * NS), 50.0, 1e-9);
  /* a bright edge without a limb that can be fitted yet */
  g_assert_cmpint (look (guide, 12, 0.01, 0.1, FALSE), ==, FIL_AIM_SEARCHING);
  g_assert_cmpint (look (guide, 13, 0.05, 0.12, TRUE), ==, FIL_AIM_LIMB);
  g_assert_cmpint (look (guide, 13.5, 0.06, 0.12, FALSE), ==, FIL_AIM_LIMB);
  g_assert_cmpint (look (guide, 15, 0.19, 0.2, FALSE), ==, FIL_AIM_DISC);
  /* a thin cloud is no loss */
  g_assert_cmpint (look (guide, 20, 0.012, 0.02, FALSE), ==, FIL_AIM_DISC);
}

/* A window that opens on the disc begins there. */
static void
test_there_already (void)
{
  g_autoptr (FilAimGuide) guide = fil_aim_guide_new ();

  fil_aim_guide_set_expected (guide, 0.3);
  g_assert_cmpint (look (guide, 0, 0.1, 0.25, FALSE), ==, FIL_AIM_DISC);
  fil_aim_guide_reset (guide);
  g_assert_cmpint (fil_aim_guide_get_state (guide), ==, FIL_AIM_CAPPED);
}

/* A minute without the disc; the cap, and a fresh minute. */
static void
test_overdue (void)
{
  g_autoptr (FilAimGuide) guide = fil_aim_guide_new ();

  fil_aim_guide_set_expected (guide, 0.3);
  look (guide, 0, 0, 0, FALSE);
  fil_aim_guide_cap_off (guide, 0);
  g_assert_cmpint (look (guide, 59.9, 1e-3, 1e-3, FALSE), ==, FIL_AIM_SEARCHING);
  g_assert_cmpint (look (guide, 60, 1e-3, 1e-3, FALSE), ==, FIL_AIM_OVERDUE);
  g_assert_cmpint (look (guide, 61, 1e-3, 1e-3, FALSE), ==, FIL_AIM_OVERDUE);
  g_assert_cmpfloat (fil_aim_guide_get_left_s (guide, 61 * NS), ==, 0.0);
  fil_aim_guide_cap_on (guide);
  /* the light is still that of before: nobody has said that the cap is off */
  g_assert_cmpint (look (guide, 62, 1e-3, 1e-3, FALSE), ==, FIL_AIM_CAPPED);
  g_assert_cmpint (look (guide, 63, 0, 0, FALSE), ==, FIL_AIM_CAPPED);
  /* the cap comes off without a word */
  g_assert_cmpint (look (guide, 70, 1e-3, 1e-3, FALSE), ==, FIL_AIM_SEARCHING);
  g_assert_cmpfloat_with_epsilon (fil_aim_guide_get_left_s (guide, 71 * NS), 59.0, 1e-9);
  /* even when overdue a disc is a disc */
  g_assert_cmpint (look (guide, 140, 1e-3, 1e-3, FALSE), ==, FIL_AIM_OVERDUE);
  g_assert_cmpint (look (guide, 141, 0.2, 0.2, FALSE), ==, FIL_AIM_DISC);
}

/* Lost for two seconds: searched for again, with a minute of its own. */
static void
test_lost (void)
{
  g_autoptr (FilAimGuide) guide = fil_aim_guide_new ();

  look (guide, 0, 0.1, 0.2, TRUE);
  g_assert_cmpint (look (guide, 5, 0.19, 0.2, FALSE), ==, FIL_AIM_DISC);
  g_assert_cmpint (look (guide, 6, 1e-3, 1e-3, FALSE), ==, FIL_AIM_DISC);
  g_assert_cmpint (look (guide, 7.5, 1e-3, 1e-3, FALSE), ==, FIL_AIM_SEARCHING);
  g_assert_cmpfloat_with_epsilon (fil_aim_guide_get_left_s (guide, (gint64) (7.5 * NS)), 60.0,
                                  1e-9);
}

/* Without a rig's estimate only a limb tells how bright the disc is. */
static void
test_unknown_light (void)
{
  g_autoptr (FilAimGuide) guide = fil_aim_guide_new ();

  look (guide, 0, 0, 0, FALSE);
  fil_aim_guide_cap_off (guide, 0);
  g_assert_cmpint (look (guide, 1, 0.2, 0.2, FALSE), ==, FIL_AIM_SEARCHING);
  g_assert_cmpint (look (guide, 2, 0.1, 0.2, TRUE), ==, FIL_AIM_LIMB);
  g_assert_cmpint (look (guide, 4, 0.2, 0.21, FALSE), ==, FIL_AIM_DISC);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/aim-guide/found", test_found);
  g_test_add_func ("/aim-guide/there-already", test_there_already);
  g_test_add_func ("/aim-guide/overdue", test_overdue);
  g_test_add_func ("/aim-guide/lost", test_lost);
  g_test_add_func ("/aim-guide/unknown-light", test_unknown_light);

  return g_test_run ();
}

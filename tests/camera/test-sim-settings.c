/* test-sim-settings.c: what "sim:…" may say
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <locale.h>
#include <string.h>

#include "fil-source.h"
#include "sim/fil-sim-settings.h"

static void
test_defaults (void)
{
  g_autoptr (GError) error = NULL;
  FilSimSettings settings;

  g_assert_true (fil_sim_settings_parse ("sim:", &settings, &error));
  g_assert_no_error (error);
  g_assert_cmpint (settings.width, ==, 0);
  g_assert_cmpint (settings.pattern, ==, FIL_PATTERN_NONE);
  g_assert_cmpint (settings.target, ==, FIL_SIM_TARGET_SPOT);
  g_assert_true (settings.drive);
  g_assert_true (settings.noise);
  g_assert_true (settings.paced);
  g_assert_cmpfloat (settings.clouds, ==, 0.0);
}

static void
test_all (void)
{
  g_autoptr (GError) error = NULL;
  FilSimSettings s;

  g_assert_true (fil_sim_settings_parse (
    "sim:seed=18446744073709551615,width=640,height=480,bits=10,pattern=bggr,fps=12.5,level=15%,"
    "r0_mm=33.5,wind_m_s=7,clouds=0.25,defocus_um=-120.5,tilt_x_um=300,tilt_y_um=-40,"
    "curvature_um=1e3,drive=off,noise=no,dust=yes,target=limb,paced=no", &s, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (s.seed, ==, G_MAXUINT64);
  g_assert_cmpint (s.width, ==, 640);
  g_assert_cmpint (s.height, ==, 480);
  g_assert_cmpint (s.bits, ==, 10);
  g_assert_cmpint (s.pattern, ==, FIL_PATTERN_BGGR);
  g_assert_cmpfloat (s.fps, ==, 12.5);
  g_assert_cmpfloat (s.level_percent, ==, 15.0);
  g_assert_cmpfloat (s.r0_mm, ==, 33.5);
  g_assert_cmpfloat (s.wind_m_s, ==, 7.0);
  g_assert_cmpfloat (s.clouds, ==, 0.25);
  g_assert_cmpfloat (s.defocus_um, ==, -120.5);
  g_assert_cmpfloat (s.tilt_x_um, ==, 300.0);
  g_assert_cmpfloat (s.tilt_y_um, ==, -40.0);
  g_assert_cmpfloat (s.curvature_um, ==, 1000.0);
  g_assert_false (s.drive);
  g_assert_false (s.noise);
  g_assert_true (s.dust);
  g_assert_cmpint (s.target, ==, FIL_SIM_TARGET_LIMB);
  g_assert_false (s.paced);
}

/* 15 and 15% are the same. */
static void
test_percent (void)
{
  FilSimSettings bare, sign;

  g_assert_true (fil_sim_settings_parse ("sim:level=15", &bare, NULL));
  g_assert_true (fil_sim_settings_parse ("sim:level=15%", &sign, NULL));
  g_assert_cmpfloat (bare.level_percent, ==, sign.level_percent);
}

/* A decimal point in every locale. */
static void
test_locale (void)
{
  FilSimSettings settings;

  if (setlocale (LC_NUMERIC, "de_DE.UTF-8") == NULL)
    g_test_message ("no German locale here: tried in the C locale alone");
  g_assert_true (fil_sim_settings_parse ("sim:fps=12.5", &settings, NULL));
  g_assert_cmpfloat (settings.fps, ==, 12.5);
  setlocale (LC_NUMERIC, "C");
}

static void
test_refused (gconstpointer data)
{
  const char *name = data;
  g_autoptr (GError) error = NULL;
  FilSimSettings settings = { .width = 77 };

  g_assert_false (fil_sim_settings_parse (name, &settings, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME);
  g_assert_cmpint (settings.width, ==, 77);
}

static const char *const refused[] = {
  "sim:colour=red", "sim:seed", "sim:seed=", "sim:seed=-1", "sim:seed=99999999999999999999999",
  "sim:width=0", "sim:width=12.5", "sim:width=100000", "sim:height=-3", "sim:bits=9",
  "sim:bits=11", "sim:bits=32", "sim:pattern=RGGB", "sim:pattern=xtrans", "sim:fps=0",
  "sim:fps=nan", "sim:fps=inf", "sim:fps=0x10", "sim:fps=12,5", "sim:fps=1e999", "sim:level=0",
  "sim:level=%", "sim:level=15%%", "sim:clouds=1.5", "sim:drive=yes", "sim:noise=on",
  "sim:paced=maybe", "sim:target=moon", "sim:seed=1,seed=2", "sim:seed=1,", "sim:,",
  "sim: seed=1", "sim:seed=1 ", "sim:see=1", "sim:seeds=1", "sim:r0_mm=0",
};

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/sim/settings/defaults", test_defaults);
  g_test_add_func ("/sim/settings/all", test_all);
  g_test_add_func ("/sim/settings/percent", test_percent);
  g_test_add_func ("/sim/settings/locale", test_locale);
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    {
      g_autofree char *path = g_strdup_printf ("/sim/settings/refused/%02" G_GSIZE_FORMAT, i);

      g_test_add_data_func (path, refused[i], test_refused);
    }

  return g_test_run ();
}

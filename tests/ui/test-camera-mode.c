/* test-camera-mode.c: what each camera was last set to comes back
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-camera-mode.h"
#include "fil-settings.h"

static const FilSourceMode some = { .fourcc = 540160345, .width = 1936, .height = 1096, .fps = 12.5 };

static void
assert_mode (GSettings           *settings,
             const char          *camera,
             const FilSourceMode *wanted)
{
  FilSourceMode mode = { 0 };

  g_assert_true (fil_camera_mode_load (settings, camera, &mode));
  g_assert_cmpuint (mode.fourcc, ==, wanted->fourcc);
  g_assert_cmpint (mode.width, ==, wanted->width);
  g_assert_cmpint (mode.height, ==, wanted->height);
  g_assert_cmpfloat (mode.fps, ==, wanted->fps);
  g_assert_cmpint (mode.roi.width, ==, 0);
}

static void
test_each_its_own (void)
{
  g_autoptr (GSettings) settings = fil_settings_new ();
  const FilSourceMode other = { .fourcc = 1, .width = 2, .height = 3, .fps = 0.0 };
  FilSourceMode mode;

  g_assert_nonnull (settings);
  g_assert_false (fil_camera_mode_load (settings, "Camera “one” & <two>", &mode));
  fil_camera_mode_save (settings, "Camera “one” & <two>", &some);
  fil_camera_mode_save (settings, "another", &other);
  assert_mode (settings, "Camera “one” & <two>", &some);
  assert_mode (settings, "another", &other);

  fil_camera_mode_save (settings, "another", &some);
  assert_mode (settings, "another", &some);
  assert_mode (settings, "Camera “one” & <two>", &some);
}

/* A region belongs to one pointing, and keeps nothing. */
static void
test_no_region (void)
{
  g_autoptr (GSettings) settings = fil_settings_new ();
  FilSourceMode cut = some, mode;

  cut.roi = (FilRect) { 8, 8, 640, 480 };
  fil_camera_mode_save (settings, "cut", &cut);
  g_assert_false (fil_camera_mode_load (settings, "cut", &mode));
}

/* The settings are anybody's to write. */
static void
test_nonsense (void)
{
  g_autoptr (GSettings) settings = fil_settings_new ();
  FilSourceMode mode;

  g_settings_set (settings, "camera-modes", "a{s(uuud)}", NULL);
  g_assert_false (fil_camera_mode_load (settings, "wide", &mode));
  g_settings_set_value (settings, "camera-modes", g_variant_new_parsed (
    "{'wide': (uint32 1, uint32 4294967295, uint32 1, 1.0),"
    " 'late': (uint32 1, uint32 1, uint32 1, -1.0)}"));
  g_assert_false (fil_camera_mode_load (settings, "wide", &mode));
  g_assert_false (fil_camera_mode_load (settings, "late", &mode));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/camera-mode/each-its-own", test_each_its_own);
  g_test_add_func ("/camera-mode/no-region", test_no_region);
  g_test_add_func ("/camera-mode/nonsense", test_nonsense);

  return g_test_run ();
}

/* test-orientation-file.c: measured angles come back, and only where they hold
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gstdio.h>

#include "fil-optics.h"
#include "fil-orientation-file.h"

typedef struct
{
  char   *folder, *path;
  FilRig *rig;
} Desk;

static void
set_up (Desk         *desk,
        gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  desk->folder = g_dir_make_tmp ("filigree-XXXXXX", &error);
  g_assert_no_error (error);
  desk->path = g_build_filename (desk->folder, "deep", "orientations", NULL);
  desk->rig = fil_rig_new_demo ();
}

static void
tear_down (Desk         *desk,
           gconstpointer data)
{
  g_autofree char *deep = g_build_filename (desk->folder, "deep", NULL);

  g_remove (desk->path);
  g_rmdir (deep);
  g_rmdir (desk->folder);
  g_free (desk->folder);
  g_free (desk->path);
  fil_rig_unref (desk->rig);
}

static FilPlace
nominal (const FilRig *rig)
{
  FilOptics optics;
  FilPlace place;

  fil_optics_compute (rig, &optics);
  fil_place_init (&place, &optics, TRUE, 1936, 1096);

  return place;
}

static FilPlace
measured (const FilRig *rig)
{
  FilPlace place = nominal (rig);

  place.oriented = TRUE;
  place.plate_scale_arcsec_per_px *= 1.003;
  place.plate_scale_error = 0.0004;
  place.position_angle_deg = 213.75;
  place.position_angle_error_deg = 0.06;
  place.oriented_utc_ns = G_GINT64_CONSTANT (1764158400000000000);

  return place;
}

static void
test_round_trip (Desk         *desk,
                 gconstpointer data)
{
  FilPlace kept = measured (desk->rig), place = nominal (desk->rig);
  g_autoptr (GError) error = NULL;

  g_assert_false (fil_orientation_load (desk->path, desk->rig, "Camera [1]", &place));
  g_assert_true (fil_orientation_save (desk->path, desk->rig, "Camera [1]", &kept, &error));
  g_assert_no_error (error);
  g_assert_true (fil_orientation_load (desk->path, desk->rig, "Camera [1]", &place));
  g_assert_true (place.oriented);
  g_assert_cmpfloat (place.plate_scale_arcsec_per_px, ==, kept.plate_scale_arcsec_per_px);
  g_assert_cmpfloat (place.plate_scale_error, ==, kept.plate_scale_error);
  g_assert_cmpfloat (place.position_angle_deg, ==, kept.position_angle_deg);
  g_assert_cmpfloat (place.position_angle_error_deg, ==, kept.position_angle_error_deg);
  g_assert_cmpint (place.oriented_utc_ns, ==, kept.oriented_utc_ns);

  place = nominal (desk->rig);
  g_assert_false (fil_orientation_load (desk->path, desk->rig, "Camera 2", &place));
  g_assert_false (place.oriented);
  g_assert_true (fil_orientation_forget (desk->path, desk->rig, "Camera [1]", &error));
  g_assert_false (fil_orientation_load (desk->path, desk->rig, "Camera [1]", &place));
}

/* Another amplifier is another scale; another mirror turns the sky round. */
static void
test_holds_no_more (Desk         *desk,
                    gconstpointer data)
{
  FilPlace kept = measured (desk->rig), place = nominal (desk->rig);
  g_autoptr (FilRig) other = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_orientation_save (desk->path, desk->rig, "Camera", &kept, &error));
  place.mirrored = FALSE;
  g_assert_false (fil_orientation_load (desk->path, desk->rig, "Camera", &place));

  other = fil_rig_with_value (desk->rig, "element 4", "factor", "2.5", &error);
  g_assert_no_error (error);
  place = nominal (other);
  g_assert_false (fil_orientation_load (desk->path, other, "Camera", &place));
  g_assert_false (place.oriented);
}

/* What isn't ours is left alone, and says so; nonsense in it is not believed. */
static void
test_foreign_file (Desk         *desk,
                   gconstpointer data)
{
  static const char foreign[] = "Dear diary, today the seeing was bad.\n";
  g_autofree char *deep = g_build_filename (desk->folder, "deep", NULL), *text = NULL;
  FilPlace kept = measured (desk->rig), place = nominal (desk->rig);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (g_mkdir (deep, 0755), ==, 0);
  g_assert_true (g_file_set_contents (desk->path, foreign, -1, NULL));
  g_assert_false (fil_orientation_load (desk->path, desk->rig, "Camera", &place));
  g_assert_false (fil_orientation_save (desk->path, desk->rig, "Camera", &kept, &error));
  g_assert_error (error, FIL_ORIENTATION_ERROR, FIL_ORIENTATION_ERROR_FILE);
  g_assert_true (g_file_get_contents (desk->path, &text, NULL, NULL));
  g_assert_cmpstr (text, ==, foreign);

  g_assert_true (g_file_set_contents (desk->path,
                                      "[Roof 102, Camera]\nplate_scale_arcsec_per_px=nan\n"
                                      "plate_scale_error=0\nposition_angle_deg=1e9\n", -1, NULL));
  g_assert_false (fil_orientation_load (desk->path, desk->rig, "Camera", &place));
  g_assert_false (place.oriented);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add ("/orientation-file/round-trip", Desk, NULL, set_up, test_round_trip, tear_down);
  g_test_add ("/orientation-file/holds-no-more", Desk, NULL, set_up, test_holds_no_more,
              tear_down);
  g_test_add ("/orientation-file/foreign-file", Desk, NULL, set_up, test_foreign_file, tear_down);

  return g_test_run ();
}

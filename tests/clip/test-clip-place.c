/* test-clip-place.c: how a clip's picture lies on the Sun, read from its header
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gstdio.h>

#include "clip-maker.h"
#include "fil-clip.h"

typedef struct
{
  char *folder, *path;
} Fixture;

static void
set_up (Fixture      *f,
        gconstpointer data)
{
  f->folder = g_dir_make_tmp ("filigree-place-XXXXXX", NULL);
  f->path = g_build_filename (f->folder, "clip.fits", NULL);
}

static void
tear_down (Fixture      *f,
           gconstpointer data)
{
  g_unlink (f->path);
  g_rmdir (f->folder);
  g_free (f->path);
  g_free (f->folder);
}

static FilPlace
make_place (gboolean mirrored)
{
  return (FilPlace) {
    .plate_scale_arcsec_per_px = 0.2935, .plate_scale_error = 0.0004,
    .position_angle_deg = 123.25, .position_angle_error_deg = 0.05, .mirrored = mirrored,
    .oriented = TRUE, .oriented_utc_ns = MAKER_BEGIN_NS - G_GINT64_CONSTANT (3600000000000),
    .placed = TRUE, .centre_x = -1200.25, .centre_y = 2800.5, .centre_error_px = 1.5,
  };
}

static void
write_clip (Fixture        *f,
            const FilPlace *place)
{
  g_autoptr (GError) error = NULL;
  FilClipInfo info = maker_info (64, 48, 12);
  FilClipWriter *writer;

  info.place = place;
  writer = fil_clip_writer_new (f->path, &info, MAKER_BEGIN_NS, FALSE, &error);
  g_assert_no_error (error);
  maker_append (writer, &info, 2);
  g_assert_true (fil_clip_writer_close (writer, &error));
  g_assert_no_error (error);
}

static gboolean
read_sky (Fixture  *f,
          FilPlace *place,
          FilSun   *sun)
{
  g_autoptr (GError) error = NULL;
  FilClip *clip = fil_clip_open (f->path, &error);
  gboolean told;

  g_assert_no_error (error);
  told = fil_clip_get_sky (clip, place, sun);
  fil_clip_close (clip);

  return told;
}

/* Written and read: the same, and the Sun as it is computed for that moment. */
static void
test_measured (Fixture      *f,
               gconstpointer data)
{
  FilPlace wanted = make_place (TRUE), place;
  FilSun sun, computed;

  write_clip (f, &wanted);
  g_assert_true (read_sky (f, &place, &sun));
  g_assert_cmpfloat_with_epsilon (place.plate_scale_arcsec_per_px, 0.2935, 1e-12);
  g_assert_cmpfloat_with_epsilon (place.plate_scale_error, 0.0004, 1e-12);
  g_assert_cmpfloat_with_epsilon (place.position_angle_deg, 123.25, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.position_angle_error_deg, 0.05, 1e-12);
  g_assert_cmpfloat_with_epsilon (place.centre_x, -1200.25, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.centre_y, 2800.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.centre_error_px, 1.5, 1e-12);
  g_assert_true (place.oriented && place.placed && place.mirrored);
  g_assert_cmpint (place.oriented_utc_ns, ==, wanted.oriented_utc_ns);

  g_assert_true (fil_sun_compute (MAKER_BEGIN_NS, 47, 8, 500, &computed, NULL));
  g_assert_cmpfloat_with_epsilon (sun.p_deg, computed.p_deg, 1e-9);
  g_assert_cmpfloat_with_epsilon (sun.b0_deg, computed.b0_deg, 1e-9);
  g_assert_cmpfloat_with_epsilon (sun.l0_deg, computed.l0_deg, 1e-9);
  g_assert_cmpfloat_with_epsilon (sun.distance_au, computed.distance_au, 1e-9);
  g_assert_cmpfloat_with_epsilon (sun.semidiameter_arcsec, computed.semidiameter_arcsec, 1e-5);
  g_assert_true (isnan (sun.altitude_deg));
}

/* By the rig alone: nominal, and it says so. */
static void
test_nominal (Fixture      *f,
              gconstpointer data)
{
  FilPlace place;
  FilSun sun;

  write_clip (f, NULL);
  g_assert_true (read_sky (f, &place, &sun));
  g_assert_false (place.oriented);
  g_assert_false (place.placed);
  g_assert_true (isnan (place.position_angle_error_deg) && isnan (place.centre_error_px));
  g_assert_cmpfloat (place.centre_x, ==, 32.5);
  g_assert_cmpfloat (place.centre_y, ==, 24.5);
  /* The maker's wedge mirrors once. */
  g_assert_true (place.mirrored);
}

/* Puts another value of the same length into the header. */
static void
change_card (Fixture    *f,
             const char *keyword,
             const char *value)
{
  g_autofree char *text = NULL;
  g_autofree char *name = g_strdup_printf ("%-8s= ", keyword);
  gsize length;
  char *at = NULL;

  g_assert_true (g_file_get_contents (f->path, &text, &length, NULL));
  for (gsize i = 0; i + 80 <= length && at == NULL; i += 80)
    if (memcmp (text + i, name, 10) == 0)
      at = text + i;
  g_assert_nonnull (at);
  memset (at + 10, ' ', 70);
  memcpy (at + 10, value, strlen (value));
  g_assert_true (g_file_set_contents (f->path, text, (gssize) length, NULL));
}

/* Cards that lack, lie out of range or contradict each other: no coordinates,
 * rather than wrong ones. */
static void
test_wrong_cards (Fixture      *f,
                  gconstpointer data)
{
  static const struct { const char *keyword, *value; } wrong[] = {
    { "POSANGLE", "33.25" },    { "POSANGLE", "NaN" },        { "POSANGLE", "1E300" },
    { "CDELT1", "0.0" },        { "CDELT1", "0.3" },          { "CDELT2", "-0.2935" },
    { "CRPIX1", "1E30" },       { "CRPIX2", "'far away'" },   { "PC1_1", "0.0" },
    { "PC2_1", "9.0" },         { "CRVAL1", "100.0" },        { "MIRRORED", "F" },
    { "CTYPE1", "'RA---TAN'" }, { "DSUN_OBS", "1.0" },        { "HGLT_OBS", "80.0" },
    { "SOLAR_P0", "120.0" },    { "ANGLERR", "-1.0" },        { "ANGLDATE", "'yesterday'" },
    { "CENTRERR", "'unknown'" },
  };
  const FilPlace written = make_place (TRUE);
  FilPlace place;
  FilSun sun;

  for (gsize i = 0; i < G_N_ELEMENTS (wrong); i++)
    {
      write_clip (f, &written);
      change_card (f, wrong[i].keyword, wrong[i].value);
      g_test_message ("%s = %s", wrong[i].keyword, wrong[i].value);
      g_assert_false (read_sky (f, &place, &sun));
      g_unlink (f->path);
    }
}

static void
add (const char *path,
     void      (*test) (Fixture      *f,
                        gconstpointer data))
{
  g_test_add (path, Fixture, NULL, set_up, test, tear_down);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  add ("/clip-place/measured", test_measured);
  add ("/clip-place/nominal", test_nominal);
  add ("/clip-place/wrong-cards", test_wrong_cards);

  return g_test_run ();
}

/* test-rig.c: rig files read, refused and written
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <locale.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>

#include "fil-rig.h"

/* The line that a case spoils comes after line 1, so it is line 2 unless the
 * case says otherwise. */
#define OBJECTIVE "[element 1]\nkind=objective\ntype=lens\naperture_mm=100\nfocal_length_mm=1000\n"
#define CAMERA(n) "[element " #n "]\nkind=camera\npixel_um=2.9\n"

typedef struct
{
  const char  *path;
  FilRigError  code;
  const char  *beginning;   /* of the message: file, line, key */
  const char  *text;
} Refusal;

static const Refusal refusals[] = {
  { "group-twice", FIL_RIG_ERROR_SYNTAX, "r.rig:3: [rig]: ", "[rig]\nname=a\n[rig]\n" },
  { "key-twice", FIL_RIG_ERROR_SYNTAX, "r.rig:3: name: ", "[rig]\nname=a\nname=b\n" },
  { "key-twice-blanks", FIL_RIG_ERROR_SYNTAX, "r.rig:4: name: ",
    "[rig]\nname = a\n# note\n  name=b\n" },
  { "unknown-key-twice", FIL_RIG_ERROR_SYNTAX, "r.rig:3: colour: ", "[x]\ncolour=a\ncolour=a\n" },
  { "no-group", FIL_RIG_ERROR_SYNTAX, "r.rig:1: name: ", "name=a\n" },
  { "stray-line", FIL_RIG_ERROR_SYNTAX, "r.rig:2: hello: ", "[rig]\nhello\n" },
  { "no-key", FIL_RIG_ERROR_SYNTAX, "r.rig:2: =1: ", "[rig]\n=1\n" },
  { "open-group", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [rig: ", "[rig\n" },
  { "empty-group", FIL_RIG_ERROR_SYNTAX, "r.rig:1: []: ", "[]\n" },
  { "blank-group", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [ rig]: ", "[ rig]\n" },
  { "bracket-group", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [r[i]g]: ", "[r[i]g]\n" },
  { "element-01", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element 01]: ", "[element 01]\n" },
  { "element-0", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element 0]: ", "[element 0]\n" },
  { "element-capital", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [Element 1]: ", "[Element 1]\n" },
  { "element-blanks", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element  1]: ", "[element  1]\n" },
  { "element-glued", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element1]: ", "[element1]\n" },
  { "element-bare", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element]: ", "[element]\n" },
  { "element-gap", FIL_RIG_ERROR_SYNTAX, "r.rig:6: [element 3]: ", OBJECTIVE CAMERA (3) },
  { "element-order", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element 2]: ", CAMERA (2) OBJECTIVE },
  { "element-huge", FIL_RIG_ERROR_SYNTAX, "r.rig:1: [element 18446744073709551617]: ",
    "[element 18446744073709551617]\nkind=camera\n" },
  { "control", FIL_RIG_ERROR_SYNTAX, "r.rig:2: ", "[rig]\nname=a\033[2Jb\n" },
  { "carriage-return", FIL_RIG_ERROR_SYNTAX, "r.rig:2: ", "[rig]\nname=a\rname=b\n" },
  { "c1-control", FIL_RIG_ERROR_SYNTAX, "r.rig:2: ", "[rig]\nname=a\xc2\x9b\n" },
  { "not-utf-8", FIL_RIG_ERROR_SYNTAX, "r.rig:3: ", "[rig]\nname=a\nobserver=\xff\n" },
  { "overlong-utf-8", FIL_RIG_ERROR_SYNTAX, "r.rig:1: ", "\xc0\xaf" },
  { "bad-escape", FIL_RIG_ERROR_VALUE, "r.rig:2: name: ", "[rig]\nname=a\\x\n" },
  { "last-backslash", FIL_RIG_ERROR_VALUE, "r.rig:2: name: ", "[rig]\nname=a\\\n" },
  { "name-two-lines", FIL_RIG_ERROR_VALUE, "r.rig:2: name: ", "[rig]\nname=a\\nb\n" },
  { "latitude", FIL_RIG_ERROR_VALUE, "r.rig:2: latitude_deg: ", "[site]\nlatitude_deg=90.01\n" },
  { "longitude", FIL_RIG_ERROR_VALUE, "r.rig:2: longitude_deg: ", "[site]\nlongitude_deg=-360.5\n" },
  { "height", FIL_RIG_ERROR_VALUE, "r.rig:2: height_m: ", "[site]\nheight_m=high\n" },
  { "kind-missing", FIL_RIG_ERROR_VALUE, "r.rig:1: [element 1] kind: ", "[element 1]\ntype=lens\n" },
  { "kind-unknown", FIL_RIG_ERROR_VALUE, "r.rig:2: kind: ", "[element 1]\nkind=prism\n" },
  { "kind-capital", FIL_RIG_ERROR_VALUE, "r.rig:2: kind: ", "[element 1]\nkind=Wedge\n" },
  { "kind-empty", FIL_RIG_ERROR_VALUE, "r.rig:2: kind: ", "[element 1]\nkind=\n" },
  { "no-camera", FIL_RIG_ERROR_INCOMPLETE, "r.rig: ", OBJECTIVE },
  { "no-objective", FIL_RIG_ERROR_INCOMPLETE, "r.rig: ", CAMERA (1) },
  { "empty", FIL_RIG_ERROR_INCOMPLETE, "r.rig: ", "" },
};

static void
test_refusal (gconstpointer data)
{
  const Refusal *refusal = data;
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_rig_parse (refusal->text, -1, "r.rig", &error));
  g_test_message ("%s", error->message);
  g_assert_error (error, FIL_RIG_ERROR, (int) refusal->code);
  g_assert_true (g_str_has_prefix (error->message, refusal->beginning));
  g_assert_cmpuint (strlen (error->message), >, strlen (refusal->beginning) + 10);
}

/* Every way in which a number may be wrong, for every key that is a number. */
static void
test_numbers (void)
{
  static const char *const never[] = {
    "", "nan", "NaN", "-nan", "inf", "Infinity", "-inf", "0x10", "0X1p3", "2,5", "1e", "1e+",
    "1e400", "-1e400", "1 2", "ten", ".", "-", "--1", "1.2.3", "1_000", "٣", "1mm",
  };
  static const struct
  {
    const char *kind, *key;
    const char *refused[6];
    const char *taken[4];
  } keys[] = {
    { "objective", "aperture_mm", { "0", "-1", "0.0", "1e-400" }, { "1", "101.6", "+5", "1e3" } },
    { "objective", "focal_length_mm", { "0", "-1" }, { "1" } },
    { "objective", "obstruction_mm", { "0", "-1" }, { "33" } },
    { "objective", "distance_to_next_mm", { "0", "-1" }, { ".5" } },
    { "front-filter", "density", { "0", "-1", "10.1" }, { "3.8", "5." } },
    { "density", "density", { "0", "-2", "11" }, { "0.9" } },
    { "wedge", "reflectance_percent", { "-0.1", "100.1" }, { "0", "100", "4.6" } },
    { "wedge", "aperture_limit_mm", { "0", "-1" }, { "150" } },
    { "amplifier", "factor", { "0", "-2" }, { "2.5" } },
    { "reducer", "factor", { "0", "-0.5" }, { "0.5" } },
    { "bandpass", "centre_nm", { "0", "-540" }, { "540" } },
    { "bandpass", "width_nm", { "0", "-1" }, { "0.05" } },
    { "bandpass", "peak_percent", { "-1", "101" }, { "85" } },
    { "camera", "pixel_um", { "0", "-2.9" }, { "2.9" } },
    { "camera", "columns", { "0", "-1", "100001", "2.5", "1e9" }, { "1", "100000", "1936" } },
    { "camera", "rows", { "0", "-1", "100001", "0.5" }, { "1", "100000" } },
    { "camera", "bits", { "0", "17", "9.5" }, { "8", "16" } },
    { "camera", "full_well_e", { "0", "-1" }, { "15000" } },
    { "camera", "quantum_efficiency_percent", { "-1", "100.5" }, { "80" } },
  };

  for (guint k = 0; k < G_N_ELEMENTS (keys); k++)
    for (guint i = 0; i < G_N_ELEMENTS (never) + 10; i++)
      {
        g_autoptr (GError) error = NULL;
        g_autoptr (FilRig) rig = NULL;
        g_autofree char *text = NULL;
        g_autofree char *beginning = g_strdup_printf ("r.rig:11: %s: ", keys[k].key);
        guint own = i - G_N_ELEMENTS (never);
        gboolean taken = i >= G_N_ELEMENTS (never) && own >= 6;
        const char *value = i < G_N_ELEMENTS (never) ? never[i]
                            : own < 6               ? keys[k].refused[own]
                                                    : keys[k].taken[own - 6];

        if (value == NULL)
          continue;

        text = g_strdup_printf (OBJECTIVE CAMERA (2) "[element 3]\nkind=%s\n%s=%s\n", keys[k].kind,
                                keys[k].key, value);
        rig = fil_rig_parse (text, -1, "r.rig", &error);
        if (taken)
          {
            g_assert_no_error (error);
            continue;
          }
        g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_VALUE);
        g_assert_true (g_str_has_prefix (error->message, beginning));
      }
}

static void
test_words (void)
{
  static const struct { const char *kind, *key, *taken[3]; } keys[] = {
    { "objective", "type", { "lens", "mirror" } },
    { "objective", "rear_group", { "yes", "no" } },
    { "front-filter", "material", { "film", "glass" } },
    { "amplifier", "telecentric", { "yes", "no" } },
    { "blocker", "blocks", { "ultraviolet", "infrared" } },
    { "camera", "shutter", { "global", "rolling" } },
  };

  for (guint k = 0; k < G_N_ELEMENTS (keys); k++)
    for (guint i = 0; i < 5; i++)
      {
        static const char *const refused[] = { "", "maybe", "YES" };
        g_autoptr (GError) error = NULL;
        g_autoptr (FilRig) rig = NULL;
        g_autofree char *text =
          g_strdup_printf (OBJECTIVE CAMERA (2) "[element 3]\nkind=%s\n%s=%s\n", keys[k].kind,
                           keys[k].key, i < 3 ? refused[i] : keys[k].taken[i - 3]);

        rig = fil_rig_parse (text, -1, "r.rig", &error);
        if (i >= 3)
          g_assert_no_error (error);
        else
          {
            g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_VALUE);
            g_assert_nonnull (strstr (error->message, keys[k].taken[1]));
          }
      }
}

static void
test_too_large (void)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strnfill (1024 * 1024 + 1, '\n');

  g_assert_null (fil_rig_parse (text, -1, "r.rig", &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_SYNTAX);
}

static void
test_zero_byte (void)
{
  static const char text[] = OBJECTIVE "\0" CAMERA (2);
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_rig_parse (text, sizeof text - 1, "r.rig", &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_SYNTAX);
  g_assert_true (g_str_has_prefix (error->message, "r.rig:6: "));
}

static void
test_obstruction (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_rig_parse (OBJECTIVE "obstruction_mm=100\n" CAMERA (2), -1, "r.rig", &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_VALUE);
  g_assert_true (g_str_has_prefix (error->message, "r.rig:6: obstruction_mm: "));
}

static void
test_demo (void)
{
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autofree char *path = g_build_filename (FIL_DATA_DIR, "rigs", "roof-102.rig", NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) file = fil_rig_load (path, &error);
  double latitude, longitude, height;
  const FilElement *camera;

  g_assert_no_error (error);
  g_assert_cmpstr (fil_rig_get_digest (file), ==, fil_rig_get_digest (demo));
  g_assert_cmpstr (fil_rig_get_name (demo), ==, "Roof 102");
  g_assert_null (fil_rig_get_observer (demo));
  g_assert_true (fil_rig_get_site (demo, &latitude, &longitude, &height));
  g_assert_cmpfloat (latitude, ==, 47.0);
  g_assert_cmpfloat (longitude, ==, 8.0);
  g_assert_cmpfloat (height, ==, 500);
  g_assert_cmpuint (fil_rig_get_n_elements (demo), ==, 6);
  camera = fil_rig_get_element (demo, 5);
  g_assert_true (camera == fil_rig_find (demo, FIL_ELEMENT_CAMERA));
  g_assert_cmpfloat (camera->pixel_um, ==, 2.9);
  g_assert_cmpint (camera->columns, ==, 1936);
  g_assert_cmpint (camera->rows, ==, 1096);
  g_assert_cmpint (camera->bits, ==, 0);
  g_assert_true (isnan (camera->full_well_e));
}

static void
test_digest (void)
{
  g_autoptr (FilRig) plain = fil_rig_parse ("[rig]\nname=a\n" OBJECTIVE CAMERA (2), -1, "a", NULL);
  g_autoptr (FilRig) spaced = fil_rig_parse (
    "\xef\xbb\xbf# a comment\r\n" OBJECTIVE "\n\n" CAMERA (2) "\n[rig]\r\n  name = a \r\n", -1, "b",
    NULL);
  g_autoptr (FilRig) other = fil_rig_parse ("[rig]\nname=a\n" OBJECTIVE CAMERA (2) "bits=12\n", -1,
                                            "c", NULL);

  g_assert_cmpuint (strlen (fil_rig_get_digest (plain)), ==, 64);
  g_assert_cmpstr (fil_rig_get_digest (plain), ==, fil_rig_get_digest (spaced));
  g_assert_cmpstr (fil_rig_get_digest (plain), !=, fil_rig_get_digest (other));
}

static void
test_save_keeps_every_byte (void)
{
  static const char text[] = "\xef\xbb\xbf# mine\r\n[rig]\nname= Ä \\s\n[dome]\nshutter=left\n\n" OBJECTIVE
    "altazimuth = yes\n" CAMERA (2) "cooled=-10, or so";
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = fil_rig_parse (text, -1, "r.rig", &error);
  g_autofree char *folder = g_dir_make_tmp ("fil-rig-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "a.rig", NULL);
  g_autofree char *link = g_build_filename (folder, "link.rig", NULL);
  g_autofree char *got = NULL;
  struct stat status;

  g_assert_no_error (error);
  g_assert_true (g_file_set_contents (path, "old", -1, NULL));
  g_assert_cmpint (g_chmod (path, 0600), ==, 0);
  g_assert_cmpint (symlink ("a.rig", link), ==, 0);
  g_assert_true (fil_rig_save (rig, link, &error));
  g_assert_true (g_file_get_contents (path, &got, NULL, NULL));
  g_assert_cmpstr (got, ==, text);
  g_assert_cmpint (stat (path, &status), ==, 0);
  g_assert_cmpint (status.st_mode & 0777, ==, 0600);
  g_assert_true (g_file_test (link, G_FILE_TEST_IS_SYMLINK));

  g_unlink (link);
  g_unlink (path);
  g_assert_cmpint (g_rmdir (folder), ==, 0);   /* no temporary file is left */

  g_assert_false (fil_rig_save (rig, "/nonexistent/a.rig", &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_WRITE);
}

static void
test_with_value (void)
{
  static const char text[] = "# mine\n[rig]\nname=a\n\n" OBJECTIVE "# behind\n" CAMERA (2) "x=1";
  g_autoptr (FilRig) rig = fil_rig_parse (text, -1, "r.rig", NULL);
  g_autoptr (FilRig) renamed = fil_rig_with_value (rig, "rig", "name", " b\nc ", NULL);
  g_autoptr (FilRig) noted = fil_rig_with_value (rig, "element 2", "note", " b\nc ", NULL);
  g_autoptr (FilRig) placed = fil_rig_with_value (rig, "site", "latitude_deg", "47", NULL);
  g_autoptr (FilRig) bare = fil_rig_with_value (rig, "rig", "name", NULL, NULL);
  g_autofree char *noted_text = fil_rig_to_text (noted);
  g_autofree char *placed_text = fil_rig_to_text (placed);
  g_autofree char *bare_text = fil_rig_to_text (bare);
  g_autofree char *same = fil_rig_to_text (rig);

  g_assert_null (renamed);   /* a name stays on one line */
  g_assert_cmpstr (noted_text, ==,
                   "# mine\n[rig]\nname=a\n\n" OBJECTIVE "# behind\n" CAMERA (2)
                   "x=1\nnote=\\sb\\nc\\s\n");
  g_assert_cmpstr (fil_rig_get_element (noted, 1)->note, ==, " b\nc ");
  g_assert_cmpstr (placed_text, ==,
                   "# mine\n[rig]\nname=a\n\n" OBJECTIVE "# behind\n" CAMERA (2)
                   "x=1\n[site]\nlatitude_deg=47\n");
  g_assert_cmpstr (bare_text, ==, "# mine\n[rig]\n\n" OBJECTIVE "# behind\n" CAMERA (2) "x=1");
  g_assert_cmpstr (fil_rig_get_name (bare), ==, "unnamed");
  g_assert_cmpstr (same, ==, text);
}

static void
test_unreadable (void)
{
  g_autofree char *folder = g_dir_make_tmp ("fil-rig-XXXXXX", NULL);
  g_autofree char *fifo = g_build_filename (folder, "fifo", NULL);
  g_autofree char *missing = g_build_filename (folder, "missing", NULL);
  const char *const paths[] = { folder, fifo, missing, "/dev/zero" };

  g_assert_cmpint (mkfifo (fifo, 0600), ==, 0);
  for (guint i = 0; i < G_N_ELEMENTS (paths); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (fil_rig_load (paths[i], &error));
      g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_READ);
      g_assert_true (g_str_has_prefix (error->message, paths[i]));
    }
  g_unlink (fifo);
  g_rmdir (folder);
}

/* Numbers have a point whatever the locale says. Each process has a locale of
 * its own; where none with a comma is installed, the C locale is as good as
 * any, since the reader asks for none. */
static void
test_decimal_comma_locale (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = NULL;
  g_autofree char *text = NULL;

  setlocale (LC_NUMERIC, "de_DE.UTF-8");
  rig = fil_rig_parse (OBJECTIVE CAMERA (2), -1, "r.rig", &error);
  g_assert_no_error (error);
  g_assert_cmpfloat (fil_rig_find (rig, FIL_ELEMENT_CAMERA)->pixel_um, ==, 2.9);
  text = fil_element_to_text (fil_rig_find (rig, FIL_ELEMENT_CAMERA));
  g_assert_cmpstr (text, ==, "pixel_um=2.8999999999999999");
  setlocale (LC_NUMERIC, "C");
}

static void
test_describe (void)
{
  static const char *const texts[] = {
    "objective (lens) 102 mm, f = 1020 mm", "wedge", "density filter 2", "amplifier ×2",
    "bandpass filter 540 nm / 10 nm", "camera 1936 × 1096, 2.9 µm",
  };
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autofree char *keys = fil_element_to_text (fil_rig_get_element (rig, 0));

  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_autofree char *text = fil_element_describe (fil_rig_get_element (rig, i));

      g_assert_cmpstr (text, ==, texts[i]);
    }
  g_assert_cmpstr (keys, ==, "type=lens aperture_mm=102 focal_length_mm=1020");
}

/* Random bytes, and the demo rig with random bytes changed, cut and doubled:
 * whatever comes, the reader answers. */
static void
test_random_bytes (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (20260);
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autofree char *good = fil_rig_to_text (demo);
  gsize length = strlen (good);
  guint n_taken = 0;

  for (guint i = 0; i < 20000; i++)
    {
      gsize n = (gsize) g_rand_int_range (random, 0, (int) length + 1);
      g_autofree char *bytes = g_memdup2 (good, length + 1);
      g_autoptr (GError) error = NULL;
      g_autoptr (FilRig) rig = NULL;
      int changes = i % 4 == 0 ? (int) n : g_rand_int_range (random, 0, 6);

      for (int k = 0; k < changes; k++)
        bytes[g_rand_int_range (random, 0, (int) length)] =
          (char) (i % 2 == 0 ? g_rand_int_range (random, 0, 256)
                             : "[]=\n01.,e-# "[g_rand_int_range (random, 0, 12)]);

      rig = fil_rig_parse (bytes, (gssize) (i % 3 == 0 ? n : length), "random.rig", &error);
      g_assert_true ((rig == NULL) == (error != NULL));
      if (error != NULL)
        g_assert_true (g_utf8_validate (error->message, -1, NULL));
      n_taken += rig != NULL;
    }
  g_test_message ("%u of 20000 were rigs", n_taken);
  g_assert_cmpuint (n_taken, >, 100);
  g_assert_cmpuint (n_taken, <, 19900);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strdup_printf ("/rig/refusal/%s", refusals[i].path);

      g_test_add_data_func (path, &refusals[i], test_refusal);
    }
  g_test_add_func ("/rig/numbers", test_numbers);
  g_test_add_func ("/rig/words", test_words);
  g_test_add_func ("/rig/too-large", test_too_large);
  g_test_add_func ("/rig/zero-byte", test_zero_byte);
  g_test_add_func ("/rig/obstruction", test_obstruction);
  g_test_add_func ("/rig/demo", test_demo);
  g_test_add_func ("/rig/digest", test_digest);
  g_test_add_func ("/rig/save-keeps-every-byte", test_save_keeps_every_byte);
  g_test_add_func ("/rig/with-value", test_with_value);
  g_test_add_func ("/rig/unreadable", test_unreadable);
  g_test_add_func ("/rig/decimal-comma-locale", test_decimal_comma_locale);
  g_test_add_func ("/rig/describe", test_describe);
  g_test_add_func ("/rig/random-bytes", test_random_bytes);

  return g_test_run ();
}

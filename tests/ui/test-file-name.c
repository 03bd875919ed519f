/* test-file-name.c: names for new clips
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gstdio.h>

#include "fil-file-name.h"

static GDateTime *
moment (void)
{
  return g_date_time_new_utc (2026, 7, 4, 10, 51, 7.9);
}

static void
test_expand (void)
{
  static const struct
  {
    const char *pattern, *rig, *expected;
  } cases[] = {
    { "{rig} {date} {time}", "Roof 102", "Roof 102 2026-07-04 105107" },
    { "{number}", "x", "007" },
    { "{unknown} {time", "x", "{unknown} {time" },
    { "{rig}", "a/b:c\nd", "a-b-c-d" },
    { "{rig}", "..", "clip.." },
    { "  {rig}  ", NULL, "clip" },
    { "", "x", "clip" },
    { "{rig}", "Dächer ″", "Dächer ″" },
  };
  g_autoptr (GDateTime) utc = moment ();

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *name = fil_file_name_expand (cases[i].pattern, cases[i].rig, utc, 7);

      g_assert_cmpstr (name, ==, cases[i].expected);
    }
}

/* File systems take 255 bytes, and a cut must not split a character. */
static void
test_long (void)
{
  g_autoptr (GDateTime) utc = moment ();
  g_autoptr (GString) rig = g_string_new (NULL);
  g_autofree char *name = NULL;

  for (int i = 0; i < 150; i++)
    g_string_append (rig, "ü");
  name = fil_file_name_expand ("{rig}", rig->str, utc, 1);
  g_assert_cmpuint (strlen (name), <=, 200);
  g_assert_cmpuint (strlen (name), >=, 198);
  g_assert_true (g_utf8_validate (name, -1, NULL));
}

static void
touch (const char *folder,
       const char *name)
{
  g_autofree char *path = g_build_filename (folder, name, NULL);

  g_assert_true (g_file_set_contents (path, "", 0, NULL));
}

static char *
next_name (const char *folder,
           const char *pattern)
{
  g_autoptr (GDateTime) utc = moment ();
  g_autofree char *path = fil_file_name_new_path (folder, pattern, "R", utc, ".fits");

  return g_path_get_basename (path);
}

static void
remove_all (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      g_unlink (path);
    }
  g_rmdir (folder);
}

static void
test_never_taken (void)
{
  g_autofree char *folder = g_dir_make_tmp ("filigree-names-XXXXXX", NULL);
  g_autofree char *first = next_name (folder, "{rig}"), *second = NULL, *counted = NULL;

  g_assert_cmpstr (first, ==, "R.fits");
  touch (folder, "R.fits");
  touch (folder, "R 2.fits");
  second = next_name (folder, "{rig}");
  g_assert_cmpstr (second, ==, "R 3.fits");
  touch (folder, "R-001.fits");
  counted = next_name (folder, "{rig}-{number}");
  g_assert_cmpstr (counted, ==, "R-002.fits");

  remove_all (folder);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/file-name/expand", test_expand);
  g_test_add_func ("/file-name/long", test_long);
  g_test_add_func ("/file-name/never-taken", test_never_taken);

  return g_test_run ();
}

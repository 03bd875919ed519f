/* test-rig-folder.c: rigs listed, added, taken in and copied
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>

#include "fil-rig-folder.h"

typedef struct
{
  char *top;      /* a folder of the test's own */
  char *folder;   /* the rigs' in it, not made yet */
} Fixture;

static void
set_up (Fixture      *fixture,
        gconstpointer data)
{
  fixture->top = g_dir_make_tmp ("fil-rigs-XXXXXX", NULL);
  fixture->folder = g_build_filename (fixture->top, "deep", "rigs", NULL);
}

static void
empty_folder (const char *path)
{
  GDir *dir = g_dir_open (path, 0, NULL);
  const char *base;

  while (dir != NULL && (base = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *inside = g_build_filename (path, base, NULL);

      if (g_file_test (inside, G_FILE_TEST_IS_DIR) && !g_file_test (inside, G_FILE_TEST_IS_SYMLINK))
        {
          empty_folder (inside);
          g_rmdir (inside);
        }
      else
        g_unlink (inside);
    }
  g_clear_pointer (&dir, g_dir_close);
}

static void
tear_down (Fixture      *fixture,
           gconstpointer data)
{
  empty_folder (fixture->top);
  g_assert_cmpint (g_rmdir (fixture->top), ==, 0);
  g_free (fixture->top);
  g_free (fixture->folder);
}

static guint
count_files (const char *folder)
{
  GDir *dir = g_dir_open (folder, 0, NULL);
  guint n = 0;

  while (dir != NULL && g_dir_read_name (dir) != NULL)
    n++;
  g_clear_pointer (&dir, g_dir_close);

  return n;
}

static void
assert_base (const char *path,
             const char *expected)
{
  g_autofree char *base = g_path_get_basename (path);

  g_assert_cmpstr (base, ==, expected);
}

static void
test_names (Fixture      *fixture,
            gconstpointer data)
{
  static const struct { const char *name, *base; } cases[] = {
    { "Roof 102", "roof-102.rig" },
    { "  ../../etc/passwd ", "etc-passwd.rig" },
    { "Öffnung Äußeres 60", "öffnung-äußeres-60.rig" },
    { "/", "rig.rig" },
    { "...", "rig.rig" },
    { "", "rig.rig" },
    { "a\xff" "b", "a-b.rig" },
    { ".hidden", "hidden.rig" },
    { "nul\nline", "nul-line.rig" },
  };
  g_autofree char *endless = g_strnfill (5000, 'x');
  g_autofree char *path = fil_rig_folder_dup_new_path (fixture->folder, endless);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *new_path = fil_rig_folder_dup_new_path (fixture->folder, cases[i].name);
      g_autofree char *folder = g_path_get_dirname (new_path);

      assert_base (new_path, cases[i].base);
      g_assert_cmpstr (folder, ==, fixture->folder);
    }
  g_assert_cmpuint (strlen (path) - strlen (fixture->folder), <, 100);
}

static void
test_add (Fixture      *fixture,
          gconstpointer data)
{
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (GError) error = NULL;
  g_autofree char *first = fil_rig_folder_add (fixture->folder, demo, &error);
  g_autofree char *second = fil_rig_folder_add (fixture->folder, demo, &error);
  g_autofree char *third = NULL;
  g_autofree char *dangling = g_build_filename (fixture->folder, "roof-102-3.rig", NULL);
  g_autoptr (FilRig) again = NULL;

  g_assert_no_error (error);
  assert_base (first, "roof-102.rig");
  assert_base (second, "roof-102-2.rig");
  again = fil_rig_load (first, &error);
  g_assert_true (fil_rig_equal (again, demo));

  /* A link into nowhere is somebody's too. */
  g_assert_cmpint (symlink ("nowhere", dangling), ==, 0);
  third = fil_rig_folder_add (fixture->folder, demo, &error);
  assert_base (third, "roof-102-4.rig");
  g_assert_cmpuint (count_files (fixture->folder), ==, 4);
}

static void
test_add_refused (Fixture      *fixture,
                  gconstpointer data)
{
  g_autoptr (FilRig) empty = fil_rig_new_empty ("a");
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autofree char *file = g_build_filename (fixture->top, "file", NULL);
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_rig_folder_add (fixture->folder, empty, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  g_assert_false (g_file_test (fixture->folder, G_FILE_TEST_EXISTS));
  g_clear_error (&error);

  g_assert_true (g_file_set_contents (file, "", 0, NULL));
  g_assert_null (fil_rig_folder_add (file, demo, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_WRITE);
  g_assert_nonnull (strstr (error->message, file));
}

static void
test_import (Fixture      *fixture,
             gconstpointer data)
{
  static const char text[] = "# mine\n[rig]\nname=Loft 80\n[x]\ny=z\n[element 1]\nkind=objective\n"
                             "[element 2]\nkind=camera\n";
  g_autofree char *from = g_build_filename (fixture->top, "anything.txt", NULL);
  g_autoptr (GError) error = NULL;
  g_autofree char *path = NULL;
  g_autofree char *got = NULL;

  g_assert_true (g_file_set_contents (from, text, -1, NULL));
  path = fil_rig_folder_import (fixture->folder, from, &error);
  g_assert_no_error (error);
  assert_base (path, "loft-80.rig");
  g_assert_true (g_file_get_contents (path, &got, NULL, NULL));
  g_assert_cmpstr (got, ==, text);
  g_assert_cmpuint (count_files (fixture->folder), ==, 1);
}

/* Whatever is wrong with it: the reason, with file, line and key, and nothing
 * in the folder. */
static void
test_import_refused (Fixture      *fixture,
                     gconstpointer data)
{
  static const struct { const char *text, *part; } cases[] = {
    { "[rig]\nname=a\n[rig]\n", ":3: [rig]: " },
    { "[element 1]\nkind=objective\naperture_mm=2,5\n", ":3: aperture_mm: " },
    { "[element 1]\nkind=objective\n", "incomplete" },
    { "<?xml version=\"1.0\"?>\n<telescope/>\n", ":1: " },
    { "\x89PNG\r\n", ":1: " },
    { "", "incomplete" },
  };
  g_autofree char *from = g_build_filename (fixture->top, "bad.rig", NULL);
  g_autofree char *missing = g_build_filename (fixture->top, "missing.rig", NULL);
  g_autoptr (GError) gone = NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_true (g_file_set_contents (from, cases[i].text, -1, NULL));
      g_assert_null (fil_rig_folder_import (fixture->folder, from, &error));
      g_test_message ("%s", error->message);
      g_assert_true (g_str_has_prefix (error->message, from));
      g_assert_nonnull (strstr (error->message, cases[i].part));
    }
  g_assert_null (fil_rig_folder_import (fixture->folder, missing, &gone));
  g_assert_error (gone, FIL_RIG_ERROR, FIL_RIG_ERROR_READ);
  g_assert_cmpuint (count_files (fixture->folder), ==, 0);
}

static void
test_list (Fixture      *fixture,
           gconstpointer data)
{
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (FilRig) other = fil_rig_with_value (demo, "rig", "name", "Attic", NULL);
  g_autofree char *demo_path = fil_rig_folder_add (fixture->folder, demo, NULL);
  g_autofree char *other_path = fil_rig_folder_add (fixture->folder, other, NULL);
  g_autofree char *broken = g_build_filename (fixture->folder, "broken.rig", NULL);
  g_autofree char *fifo = g_build_filename (fixture->folder, "fifo.rig", NULL);
  g_autofree char *note = g_build_filename (fixture->folder, "note.txt", NULL);
  g_autoptr (GPtrArray) none = fil_rig_folder_list (fixture->top);
  g_autoptr (GPtrArray) files = NULL;
  const FilRigFile *file;

  g_assert_cmpuint (none->len, ==, 0);
  g_assert_true (g_file_set_contents (broken, "[rig]\nname=Zenith\nhello\n", -1, NULL));
  g_assert_true (g_file_set_contents (note, "x", -1, NULL));
  g_assert_cmpint (mkfifo (fifo, 0600), ==, 0);

  files = fil_rig_folder_list (fixture->folder);
  g_assert_cmpuint (files->len, ==, 4);
  file = g_ptr_array_index (files, 0);
  g_assert_cmpstr (file->name, ==, "Attic");
  g_assert_cmpstr (file->path, ==, other_path);
  g_assert_null (file->error);
  file = g_ptr_array_index (files, 1);
  g_assert_cmpstr (file->name, ==, "Roof 102");
  g_assert_cmpstr (file->path, ==, demo_path);
  file = g_ptr_array_index (files, 2);
  g_assert_cmpstr (file->name, ==, "broken.rig");
  g_assert_nonnull (strstr (file->error, "broken.rig:3: hello: "));
  file = g_ptr_array_index (files, 3);
  g_assert_cmpstr (file->name, ==, "fifo.rig");
  g_assert_nonnull (file->error);
}

static void
test_no_folder (Fixture      *fixture,
                gconstpointer data)
{
  g_autoptr (GPtrArray) files = fil_rig_folder_list (fixture->folder);

  g_assert_cmpuint (files->len, ==, 0);
}

static void
test_copy (Fixture      *fixture,
           gconstpointer data)
{
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (FilRig) first = fil_rig_folder_copy (fixture->folder, demo, NULL);
  g_autofree char *path = fil_rig_folder_add (fixture->folder, first, NULL);
  g_autoptr (FilRig) second = fil_rig_folder_copy (fixture->folder, demo, NULL);

  g_assert_cmpstr (fil_rig_get_name (first), ==, "Roof 102 (copy)");
  g_assert_cmpstr (fil_rig_get_name (second), ==, "Roof 102 (copy 2)");
  assert_base (path, "roof-102-copy.rig");
  g_assert_cmpuint (fil_rig_get_n_elements (second), ==, fil_rig_get_n_elements (demo));
}

/* A file that others may read or write stays so, whatever the umask. */
static void
test_save_keeps_mode (Fixture      *fixture,
                      gconstpointer data)
{
  static const mode_t modes[] = { 0600, 0640, 0664, 0666 };
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autofree char *path = fil_rig_folder_add (fixture->folder, demo, NULL);
  mode_t before = umask (022);
  struct stat status;

  for (gsize i = 0; i < G_N_ELEMENTS (modes); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_cmpint (g_chmod (path, (int) modes[i]), ==, 0);
      g_assert_true (fil_rig_save (demo, path, &error));
      g_assert_cmpint (stat (path, &status), ==, 0);
      g_assert_cmpint (status.st_mode & 0777, ==, modes[i]);
    }
  umask (before);
}

/* A file that its owner has protected is left alone (but nothing is protected
 * from root). */
static void
test_save_respects_protection (Fixture      *fixture,
                               gconstpointer data)
{
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (FilRig) other = fil_rig_with_value (demo, "rig", "name", "Attic", NULL);
  g_autofree char *path = fil_rig_folder_add (fixture->folder, demo, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) there = NULL;
  gboolean writable;

  g_assert_cmpint (g_chmod (path, 0444), ==, 0);
  writable = g_access (path, W_OK) == 0;
  g_assert_cmpint (fil_rig_save (other, path, &error), ==, writable);
  there = fil_rig_load (path, NULL);
  g_assert_true (fil_rig_equal (there, writable ? other : demo));
  if (!writable)
    g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_WRITE);
}

#define ADD(name, function) \
  g_test_add ("/rig-folder/" name, Fixture, NULL, set_up, function, tear_down)

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  ADD ("names", test_names);
  ADD ("add", test_add);
  ADD ("add-refused", test_add_refused);
  ADD ("import", test_import);
  ADD ("import-refused", test_import_refused);
  ADD ("list", test_list);
  ADD ("no-folder", test_no_folder);
  ADD ("copy", test_copy);
  ADD ("save-keeps-mode", test_save_keeps_mode);
  ADD ("save-respects-protection", test_save_respects_protection);

  return g_test_run ();
}

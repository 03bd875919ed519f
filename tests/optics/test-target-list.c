/* test-target-list.c: the observer's targets, and the file they are kept in
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>
#include <sys/stat.h>

#include <glib/gstdio.h>

#include "fil-target-list.h"

#define SIGHTED_NS (G_GINT64_CONSTANT (1786527000) * 1000000000)   /* 2026-08-12T09:30:00Z */
#define GOOD       "[list]\ntracer=magnetic\n[target 1]\nname=a\nlatitude_deg=1\n" \
                   "carrington_deg=2\nsighted=2026-08-12T09:30:00Z\n"

typedef struct
{
  char          *folder, *path;
  FilTargetList *list;
} Fixture;

static void
set_up (Fixture      *fixture,
        gconstpointer data)
{
  fixture->folder = g_dir_make_tmp ("filigree-targets-XXXXXX", NULL);
  fixture->path = g_build_filename (fixture->folder, "kept", "targets", NULL);
  fixture->list = fil_target_list_new ();
}

static void
tear_down (Fixture      *fixture,
           gconstpointer data)
{
  g_autofree char *kept = g_path_get_dirname (fixture->path);

  g_remove (fixture->path);
  g_rmdir (kept);
  g_assert_cmpint (g_rmdir (fixture->folder), ==, 0);
  g_free (fixture->folder);
  g_free (fixture->path);
  fil_target_list_free (fixture->list);
}

static void
add (FilTargetList *list,
     const char    *name)
{
  g_autoptr (GError) error = NULL;

  fil_target_list_add (list, fil_target_new (name, -14.25, 187.5, SIGHTED_NS, NULL), -1, &error);
  g_assert_no_error (error);
}

static void
write_file (Fixture    *fixture,
            const char *text,
            gssize      length)
{
  g_autofree char *kept = g_path_get_dirname (fixture->path);

  g_assert_cmpint (g_mkdir_with_parents (kept, 0700), ==, 0);
  g_assert_true (g_file_set_contents (fixture->path, text, length, NULL));
}

static void
assert_file (Fixture    *fixture,
             const char *text,
             gsize       length)
{
  g_autofree char *found = NULL;
  gsize found_length;

  g_assert_true (g_file_get_contents (fixture->path, &found, &found_length, NULL));
  g_assert_cmpmem (found, found_length, text, length);
}

static void
test_there_and_back (Fixture      *fixture,
                     gconstpointer data)
{
  g_autoptr (FilTargetList) again = fil_target_list_new ();
  g_autoptr (GError) error = NULL;
  struct stat status;
  const FilTarget *target;

  add (fixture->list, "North group");
  add (fixture->list, "Süd = \\ \" [x] #1");
  fil_target_list_find (fixture->list, "North group")->note =
    g_strdup (" two spots\n\tone with a bridge \\n \x1b[2J ");
  fixture->list->rotation = FIL_ROTATION_DOPPLER;
  fil_target_list_set_current (fixture->list, "Süd = \\ \" [x] #1");
  fil_target_list_save (fixture->list, fixture->path, &error);
  g_assert_no_error (error);

  g_assert_cmpint (g_stat (fixture->path, &status), ==, 0);
  g_assert_cmpint (status.st_mode & 0777, ==, 0600);
  fil_target_list_load (again, fixture->path, &error);
  g_assert_no_error (error);
  g_assert_cmpint (again->targets->len, ==, 2);
  g_assert_cmpint (again->rotation, ==, FIL_ROTATION_DOPPLER);
  g_assert_cmpstr (again->current, ==, "Süd = \\ \" [x] #1");
  target = g_ptr_array_index (again->targets, 0);
  g_assert_cmpstr (target->name, ==, "North group");
  g_assert_cmpstr (target->note, ==, " two spots\n\tone with a bridge \\n [2J ");
  g_assert_cmpfloat (target->latitude_deg, ==, -14.25);
  g_assert_cmpfloat (target->carrington_deg, ==, 187.5);
  g_assert_cmpint (target->sighted_utc_ns, ==, SIGHTED_NS);

  /* Who read it may write it. */
  add (again, "third");
  fil_target_list_save (again, fixture->path, &error);
  g_assert_no_error (error);
}

static void
test_no_file (Fixture      *fixture,
              gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  add (fixture->list, "gone");
  g_assert_true (fil_target_list_load (fixture->list, fixture->path, &error));
  g_assert_no_error (error);
  g_assert_cmpint (fixture->list->targets->len, ==, 0);
}

static const struct
{
  const char *text;
  const char *message;   /* behind the path */
} refused[] = {
  { "no list\n", ":1: " },
  { "[target 1]\nname=a\n", ":1: latitude_deg: " },
  { "[list]\ntracer=spots\n", ":2: tracer: " },
  { "[list]\ncolour=red\n", ":2: colour: " },
  { "[target 2]\n", ":1: target 2: " },
  { GOOD "[target 3]\n", ":8: target 3: " },
  { GOOD "[targets 2]\n", ":8: targets 2: " },
  { GOOD "[list]\n", ":8: " },
  { GOOD "name=b\n", ":8: name: " },
  { GOOD "colour=red\n", ":8: colour: " },
  { GOOD "[target 2]\nname=a\nlatitude_deg=1\ncarrington_deg=2\nsighted=2026-08-12T09:30:00Z\n",
    ":9: name: " },
  { GOOD "[target 2]\nname=\nlatitude_deg=1\ncarrington_deg=2\nsighted=2026-08-12T09:30:00Z\n",
    ":9: name: " },
  { GOOD "[target 2]\nname=a\\nb\nlatitude_deg=1\ncarrington_deg=2\nsighted=2026-08-12\n",
    ":9: name: " },
  { "[target 1]\nname=a\nlatitude_deg=91\ncarrington_deg=2\nsighted=2026-08-12T09:30:00Z\n",
    ":3: latitude_deg: " },
  { "[target 1]\nname=a\nlatitude_deg=nan\ncarrington_deg=2\nsighted=2026-08-12T09:30:00Z\n",
    ":3: latitude_deg: " },
  { "[target 1]\nname=a\nlatitude_deg=1,5\ncarrington_deg=2\nsighted=2026-08-12T09:30:00Z\n",
    ":3: latitude_deg: " },
  { "[target 1]\nname=a\nlatitude_deg=1\ncarrington_deg=-1\nsighted=2026-08-12T09:30:00Z\n",
    ":4: carrington_deg: " },
  { "[target 1]\nname=a\nlatitude_deg=1\ncarrington_deg=0x10\nsighted=2026-08-12T09:30:00Z\n",
    ":4: carrington_deg: " },
  { "[target 1]\nname=a\nlatitude_deg=1\ncarrington_deg=2\nsighted=yesterday\n", ":5: sighted: " },
  { "[target 1]\nname=a\nlatitude_deg=1\ncarrington_deg=2\nsighted=2126-08-12T09:30:00Z\n",
    ":5: sighted: " },
  { "[list]\n\n# \x1b[2J\n", ":3: " },
  { "[list]\n\xff\n", ": " },
};

static void
test_refused (Fixture      *fixture,
              gconstpointer data)
{
  add (fixture->list, "held");
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    {
      g_autofree char *start = g_strconcat (fixture->path, refused[i].message, NULL);
      g_autoptr (GError) error = NULL, save_error = NULL;

      write_file (fixture, refused[i].text, -1);
      g_assert_false (fil_target_list_load (fixture->list, fixture->path, &error));
      g_test_message ("%s", error->message);
      g_assert_cmpint (error->domain, ==, FIL_TARGET_ERROR);
      g_assert_true (g_str_has_prefix (error->message, start));
      g_assert_cmpint (strlen (error->message), >, strlen (start) + 5);
      g_assert_cmpint (fixture->list->targets->len, ==, 1);

      /* And it is never written over. */
      g_assert_false (fil_target_list_save (fixture->list, fixture->path, &save_error));
      g_assert_error (save_error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_WRITE);
      assert_file (fixture, refused[i].text, strlen (refused[i].text));
    }

  /* Once it is mended, all is well. */
  write_file (fixture, GOOD, -1);
  g_assert_true (fil_target_list_load (fixture->list, fixture->path, NULL));
  g_assert_true (fil_target_list_save (fixture->list, fixture->path, NULL));
}

static void
test_huge (Fixture      *fixture,
           gconstpointer data)
{
  g_autofree char *text = g_malloc (3 * 1024 * 1024);
  g_autoptr (GError) error = NULL;

  memset (text, '#', 3 * 1024 * 1024);
  write_file (fixture, text, 3 * 1024 * 1024);
  g_assert_false (fil_target_list_load (fixture->list, fixture->path, &error));
  g_assert_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_SYNTAX);
}

static void
test_no_file_at_all (Fixture      *fixture,
                     gconstpointer data)
{
  g_autofree char *kept = g_path_get_dirname (fixture->path);
  g_autoptr (GError) error = NULL;

  /* A pipe in its place must not hang the program. */
  g_assert_cmpint (g_mkdir_with_parents (kept, 0700), ==, 0);
  g_assert_cmpint (mkfifo (fixture->path, 0600), ==, 0);
  g_assert_false (fil_target_list_load (fixture->list, fixture->path, &error));
  g_assert_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_READ);
}

/* Every beginning of a good file, and every byte of it harmed: read or
 * refused, and never written over when refused. */
static void
test_harmed (Fixture      *fixture,
             gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (9);
  guint n_refused = 0;

  for (gsize i = 0; i < 2 * strlen (GOOD); i++)
    {
      gsize length = i < strlen (GOOD) ? i : strlen (GOOD);
      g_autofree char *text = g_strndup (GOOD, length);

      if (i >= strlen (GOOD))
        text[i - strlen (GOOD)] = (char) g_rand_int_range (random, 0, 256);
      write_file (fixture, text, (gssize) length);
      if (fil_target_list_load (fixture->list, fixture->path, NULL))
        continue;
      n_refused++;
      g_assert_false (fil_target_list_save (fixture->list, fixture->path, NULL));
      assert_file (fixture, text, length);
    }
  g_assert_cmpint (n_refused, >, strlen (GOOD) / 2);
}

static void
test_changed_meanwhile (Fixture      *fixture,
                        gconstpointer data)
{
  g_autoptr (FilTargetList) other = fil_target_list_new ();
  g_autoptr (GError) error = NULL;
  g_autofree char *written = NULL;

  add (fixture->list, "ours");
  g_assert_true (fil_target_list_save (fixture->list, fixture->path, NULL));
  g_assert_true (fil_target_list_load (other, fixture->path, NULL));
  add (other, "theirs");
  g_assert_true (fil_target_list_save (other, fixture->path, NULL));
  g_assert_true (g_file_get_contents (fixture->path, &written, NULL, NULL));

  add (fixture->list, "ours too");
  g_assert_false (fil_target_list_save (fixture->list, fixture->path, &error));
  g_assert_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_CHANGED);
  assert_file (fixture, written, strlen (written));

  /* Gone altogether, nothing is lost by writing it. */
  g_assert_cmpint (g_remove (fixture->path), ==, 0);
  g_assert_true (fil_target_list_save (fixture->list, fixture->path, NULL));
}

static void
test_no_room (Fixture      *fixture,
              gconstpointer data)
{
  g_autofree char *kept = g_path_get_dirname (fixture->path);
  g_autoptr (GError) error = NULL;

  /* A file where the folder should be. */
  g_assert_true (g_file_set_contents (kept, "x", 1, NULL));
  add (fixture->list, "ours");
  g_assert_false (fil_target_list_save (fixture->list, fixture->path, &error));
  g_assert_true (error->domain == FIL_TARGET_ERROR);
  g_assert_cmpint (g_remove (kept), ==, 0);
}

static void
test_names (Fixture      *fixture,
            gconstpointer data)
{
  g_autofree char *longest = g_strnfill (60, 'x'), *longer = g_strnfill (61, 'x');
  g_autoptr (GError) error = NULL;

  add (fixture->list, "one");
  add (fixture->list, longest);
  g_assert_false (fil_target_list_add (fixture->list, fil_target_new ("one", 0, 0, 0, NULL), -1,
                                       &error));
  g_assert_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_VALUE);
  g_assert_false (fil_target_check_name ("", NULL));
  g_assert_false (fil_target_check_name ("  ", NULL));
  g_assert_false (fil_target_check_name ("a\nb", NULL));
  g_assert_false (fil_target_check_name ("a\x1b", NULL));
  g_assert_false (fil_target_check_name ("a\xff", NULL));
  g_assert_false (fil_target_check_name (longer, NULL));
}

static void
test_rename_and_take (Fixture      *fixture,
                      gconstpointer data)
{
  g_autoptr (FilTarget) taken = NULL;
  int position = -7;

  add (fixture->list, "one");
  add (fixture->list, "two");
  add (fixture->list, "three");
  fil_target_list_set_current (fixture->list, "two");
  g_assert_false (fil_target_list_rename (fixture->list, "two", "one", NULL));
  g_assert_true (fil_target_list_rename (fixture->list, "two", "two", NULL));
  g_assert_true (fil_target_list_rename (fixture->list, "two", "second", NULL));
  g_assert_cmpstr (fixture->list->current, ==, "second");

  taken = fil_target_list_take (fixture->list, "second", &position);
  g_assert_cmpstr (taken->name, ==, "second");
  g_assert_cmpint (position, ==, 1);
  g_assert_null (fixture->list->current);
  g_assert_null (fil_target_list_take (fixture->list, "second", NULL));
  g_assert_true (fil_target_list_add (fixture->list, g_steal_pointer (&taken), position, NULL));
  g_assert_cmpstr (((FilTarget *) g_ptr_array_index (fixture->list->targets, 1))->name, ==,
                   "second");
}

static void
test_full (Fixture      *fixture,
           gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  for (int i = 0; i < FIL_TARGETS_MAX; i++)
    {
      g_autofree char *name = g_strdup_printf ("target %d", i);

      add (fixture->list, name);
    }
  g_assert_false (fil_target_list_add (fixture->list, fil_target_new ("more", 0, 0, 0, NULL), -1,
                                       &error));
  g_assert_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_VALUE);
}

#define ADD(name, function) \
  g_test_add ("/target-list/" name, Fixture, NULL, set_up, function, tear_down)

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  ADD ("there-and-back", test_there_and_back);
  ADD ("no-file", test_no_file);
  ADD ("refused", test_refused);
  ADD ("huge", test_huge);
  ADD ("no-file-at-all", test_no_file_at_all);
  ADD ("harmed", test_harmed);
  ADD ("changed-meanwhile", test_changed_meanwhile);
  ADD ("no-room", test_no_room);
  ADD ("names", test_names);
  ADD ("rename-and-take", test_rename_and_take);
  ADD ("full", test_full);

  return g_test_run ();
}

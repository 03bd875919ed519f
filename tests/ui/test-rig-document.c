/* test-rig-document.c: a rig edited, taken back and saved
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <locale.h>
#include <string.h>

#include <glib/gstdio.h>

#include "fil-rig-document.h"
#include "fil-rig-folder.h"
#include "fil-rig-typed.h"
#include "fil-rig-writer.h"

/* Counts signals. */
typedef struct
{
  guint changed;
  guint saved;
} Heard;

static void
count_cb (FilRigDocument *document,
          guint          *count)
{
  (*count)++;
}

static void
listen (FilRigDocument *document,
        Heard          *heard)
{
  *heard = (Heard) { 0, 0 };
  g_signal_connect (document, "changed", G_CALLBACK (count_cb), &heard->changed);
  g_signal_connect (document, "saved", G_CALLBACK (count_cb), &heard->saved);
}

/* A file with the demo rig in a folder of its own. */
static char *
make_file (void)
{
  g_autofree char *folder = g_dir_make_tmp ("fil-document-XXXXXX", NULL);
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  char *path = fil_rig_folder_add (folder, demo, NULL);

  g_assert_nonnull (path);

  return path;
}

static void
remove_file (const char *path)
{
  g_autofree char *folder = g_path_get_dirname (path);

  g_unlink (path);
  g_assert_cmpint (g_rmdir (folder), ==, 0);
}

static char *
aperture_of (const char *path)
{
  g_autoptr (FilRig) rig = fil_rig_load (path, NULL);

  return rig != NULL ? fil_rig_dup_value (rig, "element 1", "aperture_mm") : NULL;
}

static void
assert_aperture (const char *path,
                 const char *expected)
{
  g_autofree char *aperture = aperture_of (path);

  g_assert_cmpstr (aperture, ==, expected);
}

static gboolean
timeout_cb (gpointer data)
{
  *(gboolean *) data = TRUE;

  return G_SOURCE_REMOVE;
}

/* Lets the autosave come; a test that waits in vain fails. */
static void
wait_until_saved (Heard *heard)
{
  gboolean too_late = FALSE;
  guint id = g_timeout_add_seconds (30, timeout_cb, &too_late);

  while (heard->saved == 0 && !too_late)
    g_main_context_iteration (NULL, TRUE);
  g_assert_false (too_late);
  g_source_remove (id);
}

static void
test_undo (void)
{
  g_autoptr (FilRigDocument) document = fil_rig_document_open_demo ();
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  FilRig *rig;
  Heard heard;

  listen (document, &heard);
  g_assert_true (fil_rig_document_is_demo (document));
  g_assert_false (fil_rig_document_can_undo (document));
  g_assert_false (fil_rig_document_can_redo (document));

  g_assert_true (fil_rig_document_add_element (document, FIL_ELEMENT_DIAGONAL, 2, NULL));
  g_assert_cmpstr (fil_rig_document_get_undo_text (document), ==, "Add diagonal");
  g_assert_true (fil_rig_document_move_element (document, 2, 4, NULL));
  g_assert_cmpstr (fil_rig_document_get_undo_text (document), ==, "Move diagonal");
  g_assert_true (fil_rig_document_remove_element (document, 0, NULL));
  g_assert_cmpstr (fil_rig_document_get_undo_text (document), ==, "Remove objective");
  g_assert_true (fil_rig_document_is_dirty (document));
  rig = fil_rig_document_get_rig (document);
  g_assert_cmpuint (fil_rig_get_n_elements (rig), ==, 6);
  g_assert_cmpint (fil_rig_get_element (rig, 3)->kind, ==, FIL_ELEMENT_DIAGONAL);
  g_assert_cmpuint (heard.changed, ==, 3);

  for (guint i = 0; i < 3; i++)
    fil_rig_document_undo (document);
  g_assert_true (fil_rig_equal (fil_rig_document_get_rig (document), demo));
  g_assert_false (fil_rig_document_is_dirty (document));
  g_assert_false (fil_rig_document_can_undo (document));
  g_assert_cmpstr (fil_rig_document_get_redo_text (document), ==, "Add diagonal");
  fil_rig_document_undo (document);
  g_assert_cmpuint (heard.changed, ==, 6);

  for (guint i = 0; i < 3; i++)
    fil_rig_document_redo (document);
  g_assert_false (fil_rig_document_can_redo (document));
  g_assert_cmpint (fil_rig_get_element (fil_rig_document_get_rig (document), 0)->kind, ==,
                   FIL_ELEMENT_WEDGE);

  /* A new edit ends what could be done again. */
  fil_rig_document_undo (document);
  g_assert_true (fil_rig_document_set_value (document, "rig", "name", "Attic", NULL));
  g_assert_false (fil_rig_document_can_redo (document));
}

/* "8", "80", "80." (refused), "80.5": one step. */
static void
test_typing (void)
{
  static const char *const typed[] = { "8", "80", "80.", "80.5" };
  g_autoptr (FilRigDocument) document = fil_rig_document_open_demo ();
  g_autoptr (FilRig) demo = fil_rig_new_demo ();

  for (gsize i = 0; i < G_N_ELEMENTS (typed); i++)
    g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", typed[i],
                                               NULL));
  g_assert_cmpstr (fil_rig_document_get_undo_text (document), ==, "Aperture");
  g_assert_true (fil_rig_document_set_value (document, "element 1", "focal_length_mm", "900",
                                             NULL));
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "90", NULL));
  fil_rig_document_seal (document);
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "95", NULL));

  fil_rig_document_undo (document);   /* 95 */
  fil_rig_document_undo (document);   /* 90 */
  fil_rig_document_undo (document);   /* 900 */
  g_assert_cmpfloat (fil_rig_get_element (fil_rig_document_get_rig (document), 0)->aperture_mm, ==,
                     80.5);
  fil_rig_document_undo (document);
  g_assert_true (fil_rig_equal (fil_rig_document_get_rig (document), demo));

  /* After undo, typing in the same field is a step of its own. */
  fil_rig_document_redo (document);
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "81", NULL));
  fil_rig_document_undo (document);
  g_assert_cmpfloat (fil_rig_get_element (fil_rig_document_get_rig (document), 0)->aperture_mm, ==,
                     80.5);
}

static void
test_refused_value (void)
{
  g_autoptr (FilRigDocument) document = fil_rig_document_open_demo ();
  g_autoptr (FilRig) before = fil_rig_ref (fil_rig_document_get_rig (document));
  g_autoptr (GError) error = NULL;
  Heard heard;

  listen (document, &heard);
  g_assert_false (fil_rig_document_set_value (document, "element 1", "aperture_mm", "-8", &error));
  g_assert_cmpstr (fil_rig_error_get_reason (error), ==,
                   "-8: it must be above 0; leave the key out if it isn’t known");
  g_assert_true (fil_rig_document_get_rig (document) == before);
  /* Nothing new is no step. */
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "102", NULL));
  g_assert_true (fil_rig_document_set_value (document, "element 1", "note", "", NULL));
  fil_rig_document_edit (document, before, "nothing");
  g_assert_false (fil_rig_document_can_undo (document));
  g_assert_cmpuint (heard.changed, ==, 0);
}

static void
test_typed_values (void)
{
  static const struct { FilElementKind kind; const char *key, *typed, *value; } cases[] = {
    { FIL_ELEMENT_OBJECTIVE, "aperture_mm", " 102 ", "102" },
    { FIL_ELEMENT_OBJECTIVE, "aperture_mm", "102 mm", "102" },
    { FIL_ELEMENT_OBJECTIVE, "aperture_mm", "", NULL },
    { FIL_ELEMENT_OBJECTIVE, "aperture_mm", "   ", NULL },
    { FIL_ELEMENT_OBJECTIVE, "aperture_mm", "1,5,2", "1,5,2" },
    { FIL_ELEMENT_CAMERA, "pixel_um", "2.9µm", "2.9" },
    { FIL_ELEMENT_CAMERA, "columns", "1,936", "1,936" },
    { FIL_ELEMENT_OBJECTIVE, "note", " a, b ", " a, b " },
    { FIL_ELEMENT_OBJECTIVE, "unknown", "x,1", "x,1" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *value = fil_rig_typed_value (
        fil_element_find_key (cases[i].kind, cases[i].key), cases[i].typed);

      g_assert_cmpstr (value, ==, cases[i].value);
    }
}

/* Where numbers have a comma, it may be typed; the file has a point. */
static void
test_typed_comma (void)
{
  const FilRigKey *key = fil_element_find_key (FIL_ELEMENT_CAMERA, "pixel_um");
  gboolean there = setlocale (LC_NUMERIC, "de_DE.UTF-8") != NULL;
  g_autofree char *comma = fil_rig_typed_value (key, "2,9");
  g_autofree char *both = fil_rig_typed_value (key, "1.002,9");

  setlocale (LC_NUMERIC, "C");
  g_assert_cmpstr (comma, ==, there ? "2.9" : "2,9");
  g_assert_cmpstr (both, ==, "1.002,9");
}

static void
test_autosave (void)
{
  g_autofree char *path = make_file ();
  g_autoptr (GError) error = NULL;
  FilRigDocument *document = fil_rig_document_open (path, &error);
  Heard heard;

  g_assert_no_error (error);
  listen (document, &heard);
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "90", NULL));
  g_assert_true (fil_rig_document_is_dirty (document));
  assert_aperture (path, "102");
  wait_until_saved (&heard);
  assert_aperture (path, "90");
  g_assert_false (fil_rig_document_is_dirty (document));

  /* Undo is an edit like any. */
  heard.saved = 0;
  fil_rig_document_undo (document);
  wait_until_saved (&heard);
  assert_aperture (path, "102");

  /* Closed before its moment has come: written all the same. */
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "91", NULL));
  g_object_unref (document);
  assert_aperture (path, "91");
  remove_file (path);
}

static void
edit_again_cb (FilRigDocument *document,
               guint          *n_left)
{
  g_autofree char *aperture = NULL;

  if (*n_left == 0)
    return;
  aperture = g_strdup_printf ("%u", 100 - --(*n_left));
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", aperture, NULL));
}

/* Whatever is edited while it is written comes into the file too. */
static void
test_edited_while_written (void)
{
  g_autofree char *path = make_file ();
  g_autoptr (FilRigDocument) document = fil_rig_document_open (path, NULL);
  guint n_left = 2;
  Heard heard;

  listen (document, &heard);
  g_signal_connect (document, "saved", G_CALLBACK (edit_again_cb), &n_left);
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "90", NULL));
  wait_until_saved (&heard);
  g_assert_cmpuint (n_left, ==, 1);
  g_assert_true (fil_rig_document_flush (document, NULL));
  g_assert_cmpuint (n_left, ==, 0);
  g_assert_true (fil_rig_document_is_dirty (document));
  g_assert_true (fil_rig_document_flush (document, NULL));
  g_assert_false (fil_rig_document_is_dirty (document));
  assert_aperture (path, "100");
  remove_file (path);
}

static gboolean
done_cb (gpointer data)
{
  (*(guint *) data)++;

  return G_SOURCE_REMOVE;
}

/* A write that is waited for calls nobody back; one that isn't calls once. */
static void
test_writer (void)
{
  g_autofree char *path = make_file ();
  g_autoptr (FilRig) demo = fil_rig_load (path, NULL);
  g_autoptr (FilRig) other = fil_rig_with_value (demo, "element 1", "aperture_mm", "90", NULL);
  g_autoptr (GError) error = NULL;
  FilRigWriter *writer;
  FilRig *written;
  guint n_done = 0;

  for (guint i = 0; i < 20; i++)
    {
      FilRig *from = i % 2 == 0 ? demo : other, *to = i % 2 == 0 ? other : demo;

      writer = fil_rig_writer_start (to, from, path, done_cb, &n_done);
      written = fil_rig_writer_finish (writer, &error);
      g_assert_true (written == to);
      fil_rig_unref (written);
    }
  while (g_main_context_iteration (NULL, FALSE))
    ;
  g_assert_cmpuint (n_done, ==, 0);

  writer = fil_rig_writer_start (demo, other, path, done_cb, &n_done);
  while (n_done == 0)
    g_main_context_iteration (NULL, TRUE);
  g_assert_null (fil_rig_writer_finish (writer, &error));   /* it says demo already */
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_WRITE);
  g_assert_cmpuint (n_done, ==, 1);
  remove_file (path);
}

/* While it is incomplete, the file stays as it was; once it is whole again, it
 * is written. */
static void
test_incomplete_is_not_written (void)
{
  g_autofree char *path = make_file ();
  g_autoptr (FilRigDocument) document = fil_rig_document_open (path, NULL);
  g_autoptr (FilRig) there = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_rig_document_remove_element (document, 0, NULL));
  g_assert_true (fil_rig_document_flush (document, &error));
  g_assert_no_error (error);
  assert_aperture (path, "102");
  g_assert_true (fil_rig_document_is_dirty (document));
  g_assert_false (fil_rig_document_save (document, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  g_clear_error (&error);
  g_assert_false (fil_rig_document_save_as (document, path, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  assert_aperture (path, "102");

  g_assert_true (fil_rig_document_add_element (document, FIL_ELEMENT_OBJECTIVE, 0, NULL));
  g_assert_true (fil_rig_document_flush (document, NULL));
  there = fil_rig_load (path, NULL);
  g_assert_true (fil_rig_equal (there, fil_rig_document_get_rig (document)));
  remove_file (path);
}

/* Somebody else's change is not overwritten, whoever was first. */
static void
test_changed_by_somebody (void)
{
  g_autofree char *path = make_file ();
  g_autofree char *other_path = g_strconcat (path, ".other", NULL);
  g_autoptr (FilRigDocument) document = fil_rig_document_open (path, NULL);
  g_autoptr (FilRig) theirs =
    fil_rig_with_value (fil_rig_document_get_rig (document), "element 1", "aperture_mm", "77", NULL);
  g_autoptr (GError) error = NULL;
  Heard heard;

  g_assert_true (fil_rig_save (theirs, path, NULL));
  listen (document, &heard);
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "90", NULL));
  g_assert_false (fil_rig_document_flush (document, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_WRITE);
  g_assert_cmpstr (fil_rig_document_get_trouble (document), ==, error->message);
  g_assert_cmpuint (heard.changed, ==, 2);
  assert_aperture (path, "77");
  g_assert_false (fil_rig_document_save (document, NULL));
  assert_aperture (path, "77");

  /* Either goes elsewhere … */
  g_assert_true (fil_rig_document_save_as (document, other_path, NULL));
  g_assert_null (fil_rig_document_get_trouble (document));
  g_assert_cmpstr (fil_rig_document_get_path (document), ==, other_path);
  assert_aperture (other_path, "90");
  assert_aperture (path, "77");
  g_assert_cmpint (g_unlink (other_path), ==, 0);

  /* … and what was deleted meanwhile is made again. */
  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "92", NULL));
  g_assert_true (fil_rig_document_save (document, NULL));
  assert_aperture (other_path, "92");
  g_unlink (other_path);
  remove_file (path);
}

static void
test_revert (void)
{
  g_autofree char *path = make_file ();
  g_autoptr (FilRigDocument) document = fil_rig_document_open (path, NULL);
  g_autoptr (FilRig) theirs =
    fil_rig_with_value (fil_rig_document_get_rig (document), "element 1", "aperture_mm", "77", NULL);

  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "90", NULL));
  g_assert_true (fil_rig_save (theirs, path, NULL));
  g_assert_true (fil_rig_document_revert (document, NULL));
  g_assert_true (fil_rig_equal (fil_rig_document_get_rig (document), theirs));
  g_assert_false (fil_rig_document_is_dirty (document));
  fil_rig_document_undo (document);
  g_assert_cmpfloat (fil_rig_get_element (fil_rig_document_get_rig (document), 0)->aperture_mm, ==,
                     90);
  fil_rig_document_redo (document);
  g_assert_false (fil_rig_document_is_dirty (document));
  remove_file (path);
}

static guint
count_rigs (void)
{
  g_autofree char *folder = fil_rig_folder_dup_default ();
  g_autoptr (GPtrArray) files = fil_rig_folder_list (folder);

  return files->len;
}

/* The demo rig becomes a file of the user's own; so does a new rig. */
static void
test_save_without_file (void)
{
  g_autoptr (FilRigDocument) demo = fil_rig_document_open_demo ();
  g_autoptr (FilRigDocument) empty = fil_rig_document_new_empty ("Balcony 80");
  g_autofree char *folder = fil_rig_folder_dup_default ();
  g_autofree char *expected = g_build_filename (folder, "attic.rig", NULL);
  g_autoptr (GError) error = NULL;
  Heard heard;

  g_assert_false (fil_rig_document_save (empty, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  g_assert_cmpuint (count_rigs (), ==, 0);
  g_clear_error (&error);

  listen (demo, &heard);
  g_assert_true (fil_rig_document_set_value (demo, "rig", "name", "Attic", NULL));
  g_assert_true (fil_rig_document_flush (demo, NULL));
  g_assert_cmpuint (count_rigs (), ==, 0);   /* nothing by itself */
  g_assert_true (fil_rig_document_is_dirty (demo));
  g_assert_true (fil_rig_document_save (demo, &error));
  g_assert_no_error (error);
  g_assert_cmpstr (fil_rig_document_get_path (demo), ==, expected);
  g_assert_false (fil_rig_document_is_demo (demo));
  g_assert_false (fil_rig_document_is_dirty (demo));
  g_assert_cmpuint (heard.saved, ==, 1);
  assert_aperture (expected, "102");
  g_assert_cmpint (g_unlink (expected), ==, 0);
}

static void
test_duplicate (void)
{
  g_autoptr (FilRigDocument) demo = fil_rig_document_open_demo ();
  g_autoptr (FilRigDocument) copy = fil_rig_document_duplicate (demo, NULL);
  g_autoptr (FilRigDocument) empty = fil_rig_document_new_empty ("Balcony 80");
  g_autoptr (FilRigDocument) empty_copy = fil_rig_document_duplicate (empty, NULL);

  g_assert_cmpstr (fil_rig_get_name (fil_rig_document_get_rig (copy)), ==, "Roof 102 (copy)");
  g_assert_true (g_str_has_suffix (fil_rig_document_get_path (copy), "/rigs/roof-102-copy.rig"));
  g_assert_false (fil_rig_document_is_demo (copy));
  g_assert_true (g_file_test (fil_rig_document_get_path (copy), G_FILE_TEST_EXISTS));
  g_assert_null (fil_rig_document_get_path (empty_copy));
  g_assert_null (fil_rig_document_get_path (demo));
  g_assert_cmpuint (count_rigs (), ==, 1);
  g_assert_cmpint (g_unlink (fil_rig_document_get_path (copy)), ==, 0);
}

static void
test_trash (void)
{
  g_autoptr (FilRigDocument) demo = fil_rig_document_open_demo ();
  g_autoptr (FilRigDocument) document = fil_rig_document_duplicate (demo, NULL);
  g_autofree char *path = g_strdup (fil_rig_document_get_path (document));
  g_autofree char *base = g_path_get_basename (path);
  g_autofree char *trashed = g_build_filename (g_get_user_data_dir (), "Trash", "files", base, NULL);
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_rig_document_set_value (document, "element 1", "aperture_mm", "90", NULL));
  fil_rig_document_trash (document, &error);
  g_assert_no_error (error);
  g_assert_null (fil_rig_document_get_path (document));
  g_assert_false (g_file_test (path, G_FILE_TEST_EXISTS));
  g_assert_true (g_file_test (trashed, G_FILE_TEST_EXISTS));
  /* Nothing writes it again by itself. */
  g_assert_true (fil_rig_document_flush (document, NULL));
  g_assert_false (g_file_test (path, G_FILE_TEST_EXISTS));
}

static void
test_open_refused (void)
{
  g_autofree char *folder = g_dir_make_tmp ("fil-document-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "a.rig", NULL);
  g_autoptr (GError) error = NULL;

  g_assert_true (g_file_set_contents (path, "[rig]\nname=a\nhello\n", -1, NULL));
  g_assert_null (fil_rig_document_open (path, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_SYNTAX);
  g_assert_nonnull (strstr (error->message, "a.rig:3: hello: "));
  remove_file (path);
}

/* 1000 edits and steps back and forth: undo all the way is the beginning, redo
 * all the way the end. */
static void
test_random_steps (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (1992);
  g_autoptr (FilRigDocument) document = fil_rig_document_open_demo ();
  g_autoptr (FilRig) first = fil_rig_ref (fil_rig_document_get_rig (document));
  g_autoptr (FilRig) last = NULL;

  for (guint i = 0; i < 1000; i++)
    {
      FilRig *rig = fil_rig_document_get_rig (document);
      guint n = fil_rig_get_n_elements (rig);
      g_autofree char *number = g_strdup_printf ("%d", g_rand_int_range (random, -5, 300));

      switch (g_rand_int_range (random, 0, n > 10 ? 9 : 8))
        {
        case 0:
        case 1:
          fil_rig_document_add_element (document, (FilElementKind) g_rand_int_range (random, 0, 11),
                                        (guint) g_rand_int_range (random, 0, (int) n + 1), NULL);
          break;
        case 2:
        case 3:
          fil_rig_document_set_value (document, "element 1",
                                      g_rand_boolean (random) ? "aperture_mm" : "factor", number,
                                      NULL);
          break;
        case 4:
        case 5:
          fil_rig_document_undo (document);
          break;
        case 6:
          fil_rig_document_redo (document);
          break;
        default:
          if (n > 0)
            fil_rig_document_remove_element (document, (guint) g_rand_int_range (random, 0, (int) n),
                                             NULL);
        }
    }

  while (fil_rig_document_can_redo (document))
    fil_rig_document_redo (document);
  last = fil_rig_ref (fil_rig_document_get_rig (document));
  while (fil_rig_document_can_undo (document))
    fil_rig_document_undo (document);
  g_assert_true (fil_rig_equal (fil_rig_document_get_rig (document), first));
  while (fil_rig_document_can_redo (document))
    fil_rig_document_redo (document);
  g_assert_true (fil_rig_equal (fil_rig_document_get_rig (document), last));
}

/* Only so many steps are kept, the newest. */
static void
test_many_steps (void)
{
  g_autoptr (FilRigDocument) document = fil_rig_document_open_demo ();
  guint n = 0;

  for (guint i = 0; i < 600; i++)
    {
      g_autofree char *name = g_strdup_printf ("%u", i);

      g_assert_true (fil_rig_document_set_value (document, "rig", "name", name, NULL));
      fil_rig_document_seal (document);
    }
  for (; fil_rig_document_can_undo (document); n++)
    fil_rig_document_undo (document);
  g_assert_cmpuint (n, ==, 500);
  g_assert_cmpstr (fil_rig_get_name (fil_rig_document_get_rig (document)), ==, "99");
}

static void
remove_tree (const char *path)
{
  GDir *dir = g_dir_open (path, 0, NULL);
  const char *base;

  while (dir != NULL && (base = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *inside = g_build_filename (path, base, NULL);

      remove_tree (inside);
    }
  g_clear_pointer (&dir, g_dir_close);
  g_remove (path);
}

int
main (int   argc,
      char *argv[])
{
  /* A home of the tests' own, so that nothing of the user is touched. */
  g_autofree char *home = g_dir_make_tmp ("fil-document-home-XXXXXX", NULL);
  g_autofree char *data = g_build_filename (home, "data", NULL);
  int status;

  g_setenv ("HOME", home, TRUE);
  g_setenv ("XDG_DATA_HOME", data, TRUE);
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/rig-document/undo", test_undo);
  g_test_add_func ("/rig-document/typing", test_typing);
  g_test_add_func ("/rig-document/refused-value", test_refused_value);
  g_test_add_func ("/rig-document/typed-values", test_typed_values);
  g_test_add_func ("/rig-document/typed-comma", test_typed_comma);
  g_test_add_func ("/rig-document/autosave", test_autosave);
  g_test_add_func ("/rig-document/edited-while-written", test_edited_while_written);
  g_test_add_func ("/rig-document/writer", test_writer);
  g_test_add_func ("/rig-document/incomplete-is-not-written", test_incomplete_is_not_written);
  g_test_add_func ("/rig-document/changed-by-somebody", test_changed_by_somebody);
  g_test_add_func ("/rig-document/revert", test_revert);
  g_test_add_func ("/rig-document/save-without-file", test_save_without_file);
  g_test_add_func ("/rig-document/duplicate", test_duplicate);
  g_test_add_func ("/rig-document/trash", test_trash);
  g_test_add_func ("/rig-document/open-refused", test_open_refused);
  g_test_add_func ("/rig-document/random-steps", test_random_steps);
  g_test_add_func ("/rig-document/many-steps", test_many_steps);

  status = g_test_run ();
  remove_tree (home);

  return status;
}

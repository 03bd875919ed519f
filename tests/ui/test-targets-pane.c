/* test-targets-pane.c: targets are added, changed, removed and kept
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include <glib/gstdio.h>

#include "fil-target-row.h"
#include "fil-targets-pane.h"

#define NOW_NS (G_GINT64_CONSTANT (1786527000) * 1000000000)   /* 2026-08-12 09:30 UTC */
#define DAY_NS (G_GINT64_CONSTANT (86400) * 1000000000)

typedef struct
{
  char           *folder, *path;
  GtkWidget      *window;
  FilTargetsPane *pane;
  guint           n_changed;
} Bench;

static void
count_up (FilTargetsPane *pane,
          Bench          *bench)
{
  bench->n_changed++;
}

static void
turn (void)
{
  for (int i = 0; i < 20; i++)
    while (g_main_context_iteration (NULL, FALSE))
      ;
}

static void
open_pane (Bench *bench)
{
  bench->window = gtk_window_new ();
  bench->pane = FIL_TARGETS_PANE (fil_targets_pane_new_for_path (bench->path));
  fil_targets_pane_set_time (bench->pane, NOW_NS);
  g_signal_connect (bench->pane, "target-changed", G_CALLBACK (count_up), bench);
  gtk_window_set_child (GTK_WINDOW (bench->window), GTK_WIDGET (bench->pane));
  gtk_window_present (GTK_WINDOW (bench->window));
  turn ();
}

static void
close_pane (Bench *bench)
{
  gtk_window_destroy (GTK_WINDOW (bench->window));
  turn ();
}

static void
set_up (Bench        *bench,
        gconstpointer data)
{
  g_autoptr (FilTargetList) list = fil_target_list_new ();

  bench->n_changed = 0;
  bench->folder = g_dir_make_tmp ("filigree-pane-XXXXXX", NULL);
  bench->path = g_build_filename (bench->folder, "targets", NULL);
  fil_target_list_add (list, fil_target_new ("one", 14, 150, NOW_NS - DAY_NS, NULL), -1, NULL);
  fil_target_list_add (list, fil_target_new ("two", -9, 180, NOW_NS - DAY_NS, "note"), -1, NULL);
  fil_target_list_add (list, fil_target_new ("three", 20, 0, NOW_NS - DAY_NS, NULL), -1, NULL);
  fil_target_list_set_current (list, "two");
  g_assert_true (fil_target_list_save (list, bench->path, NULL));
  open_pane (bench);
}

static void
tear_down (Bench        *bench,
           gconstpointer data)
{
  close_pane (bench);
  g_remove (bench->path);
  g_assert_cmpint (g_rmdir (bench->folder), ==, 0);
  g_free (bench->folder);
  g_free (bench->path);
}

/* The first widget of a type, and of a label where one is given. */
static GtkWidget *
find (GtkWidget  *widget,
      GType       type,
      const char *label,
      int        *skip)
{
  if (g_type_is_a (G_OBJECT_TYPE (widget), type) &&
      (label == NULL || (GTK_IS_BUTTON (widget) &&
                         g_strcmp0 (gtk_button_get_label (GTK_BUTTON (widget)), label) == 0)) &&
      (*skip)-- == 0)
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      GtkWidget *found = find (child, type, label, skip);

      if (found != NULL)
        return found;
    }

  return NULL;
}

static GtkWidget *
get (Bench      *bench,
     GType       type,
     const char *label,
     int         index)
{
  GtkWidget *found = find (GTK_WIDGET (bench->pane), type, label, &index);

  g_assert_nonnull (found);

  return found;
}

static void
press (Bench      *bench,
       const char *label)
{
  GtkWidget *button = get (bench, GTK_TYPE_BUTTON, label, 0);

  g_assert_true (gtk_widget_is_sensitive (button));
  g_signal_emit_by_name (button, "clicked");
  turn ();
}

static void
select_row (Bench *bench,
            int    index)
{
  GtkListBox *list = GTK_LIST_BOX (get (bench, GTK_TYPE_LIST_BOX, NULL, 0));

  gtk_list_box_select_row (list, gtk_list_box_get_row_at_index (list, index));
  turn ();
}

static char *
dup_names (FilTargetList *list)
{
  GString *names = g_string_new (NULL);

  for (guint i = 0; i < list->targets->len; i++)
    g_string_append_printf (names, "%s%s", i > 0 ? " " : "",
                            ((FilTarget *) g_ptr_array_index (list->targets, i))->name);

  return g_string_free (names, FALSE);
}

/* As it is shown, and as it is in the file. */
static void
assert_names (Bench      *bench,
              const char *expected,
              const char *current)
{
  g_autoptr (FilTargetList) kept = fil_target_list_new ();
  g_autofree char *shown = dup_names (fil_targets_pane_get_list (bench->pane)), *in_file = NULL;

  g_assert_true (fil_target_list_load (kept, bench->path, NULL));
  in_file = dup_names (kept);
  g_assert_cmpstr (shown, ==, expected);
  g_assert_cmpstr (in_file, ==, expected);
  g_assert_cmpstr (fil_targets_pane_get_current (bench->pane), ==, current);
  g_assert_cmpstr (kept->current, ==, current);
}

static void
test_shown (Bench        *bench,
            gconstpointer data)
{
  FilTargetRow *row = FIL_TARGET_ROW (get (bench, FIL_TYPE_TARGET_ROW, NULL, 1));
  int index = 0;
  GtkWidget *check = find (GTK_WIDGET (row), GTK_TYPE_CHECK_BUTTON, NULL, &index);

  g_assert_cmpstr (fil_target_row_get_name (row), ==, "two");
  g_assert_true (gtk_check_button_get_active (GTK_CHECK_BUTTON (check)));
  assert_names (bench, "one two three", "two");
}

static void
test_choose (Bench        *bench,
             gconstpointer data)
{
  GtkCheckButton *one = GTK_CHECK_BUTTON (get (bench, GTK_TYPE_CHECK_BUTTON, NULL, 0));
  GtkCheckButton *two = GTK_CHECK_BUTTON (get (bench, GTK_TYPE_CHECK_BUTTON, NULL, 1));

  gtk_check_button_set_active (one, TRUE);
  turn ();
  g_assert_false (gtk_check_button_get_active (two));
  g_assert_cmpuint (bench->n_changed, ==, 1);
  assert_names (bench, "one two three", "one");

  gtk_check_button_set_active (one, FALSE);
  turn ();
  g_assert_cmpuint (bench->n_changed, ==, 2);
  assert_names (bench, "one two three", NULL);
}

static void
test_remove_and_undo (Bench        *bench,
                      gconstpointer data)
{
  g_assert_false (gtk_widget_is_sensitive (get (bench, GTK_TYPE_BUTTON, "Undo", 0)));
  select_row (bench, 1);
  press (bench, "Remove");
  assert_names (bench, "one three", NULL);
  g_assert_cmpuint (bench->n_changed, ==, 1);

  press (bench, "Undo");
  assert_names (bench, "one two three", "two");
  g_assert_cmpuint (bench->n_changed, ==, 2);
  g_assert_false (gtk_widget_is_sensitive (get (bench, GTK_TYPE_BUTTON, "Undo", 0)));
}

static void
test_remove_all (Bench        *bench,
                 gconstpointer data)
{
  for (int i = 0; i < 3; i++)
    {
      select_row (bench, 0);
      press (bench, "Remove");
    }
  assert_names (bench, "", NULL);
  g_assert_false (gtk_widget_is_sensitive (get (bench, GTK_TYPE_BUTTON, "Remove", 0)));
  g_assert_false (gtk_widget_is_sensitive (get (bench, GTK_TYPE_BUTTON, "Change…", 0)));
  press (bench, "Undo");
  assert_names (bench, "three", NULL);
}

static FilTargetDialog *
find_dialog (void)
{
  g_autoptr (GList) windows = gtk_window_list_toplevels ();

  for (GList *at = windows; at != NULL; at = at->next)
    if (FIL_IS_TARGET_DIALOG (at->data))
      return at->data;
  g_assert_not_reached ();
}

static void
type (FilTargetDialog *dialog,
      int              row,
      const char      *text)
{
  GtkWidget *entry = find (GTK_WIDGET (dialog), ADW_TYPE_ENTRY_ROW, NULL, &row);

  g_assert_nonnull (entry);
  gtk_editable_set_text (GTK_EDITABLE (entry), text);
}

static void
answer (FilTargetDialog *dialog,
        const char      *response)
{
  adw_message_dialog_response (ADW_MESSAGE_DIALOG (dialog), response);
  turn ();
}

static gboolean
can_save (FilTargetDialog *dialog)
{
  return adw_message_dialog_get_response_enabled (ADW_MESSAGE_DIALOG (dialog), "save");
}

static void
test_add (Bench        *bench,
          gconstpointer data)
{
  FilTargetDialog *dialog;
  const FilTarget *target;
  FilTargetPlace place;

  press (bench, "Add…");
  dialog = find_dialog ();
  g_assert_false (can_save (dialog));
  type (dialog, 0, "two");
  type (dialog, 1, "N14.5");
  type (dialog, 2, "52 E");
  g_assert_false (can_save (dialog));
  type (dialog, 0, " four ");
  g_assert_true (can_save (dialog));
  type (dialog, 2, "200 E");
  g_assert_false (can_save (dialog));
  type (dialog, 2, "52 E");
  answer (dialog, "save");

  assert_names (bench, "one two three four", "two");
  target = fil_target_list_find (fil_targets_pane_get_list (bench->pane), "four");
  g_assert_cmpint (target->sighted_utc_ns, ==, NOW_NS);
  g_assert_true (fil_target_predict (target, FIL_ROTATION_MAGNETIC, NOW_NS, &place, NULL));
  g_assert_cmpfloat_with_epsilon (place.latitude_deg, 14.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.longitude_deg, -52, 1e-9);

  press (bench, "Add…");
  answer (find_dialog (), "cancel");
  assert_names (bench, "one two three four", "two");
}

static void
test_from_patch (Bench        *bench,
                 gconstpointer data)
{
  FilPatchPlace patch = { TRUE, -21.3, 40.2 };
  FilTargetDialog *dialog;
  FilTargetPlace place;

  fil_targets_pane_set_patch (bench->pane, &patch);
  press (bench, "Add…");
  dialog = find_dialog ();
  type (dialog, 0, "patch");
  g_assert_true (can_save (dialog));
  answer (dialog, "save");
  g_assert_true (fil_target_predict (
    fil_target_list_find (fil_targets_pane_get_list (bench->pane), "patch"),
    FIL_ROTATION_MAGNETIC, NOW_NS, &place, NULL));
  g_assert_cmpfloat_with_epsilon (place.latitude_deg, -21.3, 1e-9);
  g_assert_cmpfloat_with_epsilon (place.longitude_deg, 40.2, 1e-9);
}

/* Only its name: the sighting stays. Another place: seen now. */
static void
test_change (Bench        *bench,
             gconstpointer data)
{
  FilTargetDialog *dialog;
  const FilTarget *target;

  select_row (bench, 1);
  press (bench, "Change…");
  dialog = find_dialog ();
  g_assert_true (can_save (dialog));
  type (dialog, 0, "second");
  answer (dialog, "save");
  assert_names (bench, "one second three", "second");
  g_assert_cmpuint (bench->n_changed, ==, 1);
  target = fil_target_list_find (fil_targets_pane_get_list (bench->pane), "second");
  g_assert_cmpint (target->sighted_utc_ns, ==, NOW_NS - DAY_NS);
  g_assert_cmpfloat (target->carrington_deg, ==, 180);
  g_assert_cmpstr (target->note, ==, "note");

  press (bench, "Change…");
  dialog = find_dialog ();
  type (dialog, 2, "12 W");
  answer (dialog, "save");
  assert_names (bench, "one second three", "second");
  target = fil_target_list_find (fil_targets_pane_get_list (bench->pane), "second");
  g_assert_cmpint (target->sighted_utc_ns, ==, NOW_NS);
}

static void
test_tracer (Bench        *bench,
             gconstpointer data)
{
  g_autoptr (FilTargetList) kept = fil_target_list_new ();

  gtk_drop_down_set_selected (GTK_DROP_DOWN (get (bench, GTK_TYPE_DROP_DOWN, NULL, 0)),
                              FIL_ROTATION_DOPPLER);
  turn ();
  g_assert_true (fil_target_list_load (kept, bench->path, NULL));
  g_assert_cmpint (kept->rotation, ==, FIL_ROTATION_DOPPLER);
}

/* A file that is refused stays as it is, whatever is done. */
static void
test_refused (Bench        *bench,
              gconstpointer data)
{
  const char *text = "[list]\nbroken\n";
  g_autofree char *kept = NULL;
  FilTargetDialog *dialog;

  close_pane (bench);
  g_assert_true (g_file_set_contents (bench->path, text, -1, NULL));
  open_pane (bench);
  press (bench, "Add…");
  dialog = find_dialog ();
  type (dialog, 0, "new");
  type (dialog, 1, "10");
  type (dialog, 2, "10");
  answer (dialog, "save");
  g_assert_nonnull (fil_target_list_find (fil_targets_pane_get_list (bench->pane), "new"));
  g_assert_true (g_file_get_contents (bench->path, &kept, NULL, NULL));
  g_assert_cmpstr (kept, ==, text);
}

static void
test_map (Bench        *bench,
          gconstpointer data)
{
  GtkWidget *map = g_object_ref_sink (fil_disc_map_new ());

  fil_targets_pane_set_map (bench->pane, FIL_DISC_MAP (map));
  fil_disc_map_set_up (FIL_DISC_MAP (map), FIL_DISC_UP_NORTH);
  g_assert_cmpint (fil_disc_map_get_up (FIL_DISC_MAP (map)), ==, FIL_DISC_UP_NORTH);
  /* Without a camera there is no picture to turn by. */
  fil_disc_map_set_place (FIL_DISC_MAP (map), NULL, 0, 0);
  fil_targets_pane_set_map (bench->pane, NULL);
  g_assert_finalize_object (map);
}

#define ADD(name, function) \
  g_test_add ("/targets-pane/" name, Bench, NULL, set_up, function, tear_down)

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  adw_init ();

  ADD ("shown", test_shown);
  ADD ("choose", test_choose);
  ADD ("remove-and-undo", test_remove_and_undo);
  ADD ("remove-all", test_remove_all);
  ADD ("add", test_add);
  ADD ("from-patch", test_from_patch);
  ADD ("change", test_change);
  ADD ("tracer", test_tracer);
  ADD ("refused", test_refused);
  ADD ("map", test_map);

  return g_test_run ();
}

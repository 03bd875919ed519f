/* test-gate-dialog.c: the dialog opens the gate by every tick, and not before
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <adwaita.h>

#include "fil-gate-dialog.h"

#define DEVICE "test device, plugged in once"

static FilRig *
rig_from (const char *text)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_parse (text, -1, "test.rig", &error);

  g_assert_no_error (error);

  return rig;
}

static void
collect (GtkWidget *widget,
         GType      type,
         GPtrArray *found)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE (widget, type))
    g_ptr_array_add (found, widget);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    collect (child, type, found);
}

static GtkWidget *
confirm_button (FilGateDialog *dialog)
{
  g_autoptr (GPtrArray) buttons = g_ptr_array_new ();

  collect (GTK_WIDGET (dialog), GTK_TYPE_BUTTON, buttons);
  for (guint i = 0; i < buttons->len; i++)
    if (gtk_widget_has_css_class (g_ptr_array_index (buttons, i), "act"))
      return g_ptr_array_index (buttons, i);
  g_assert_not_reached ();
}

static void
confirmed_cb (FilGateDialog *dialog,
              FilGatePass   *pass,
              gpointer       user_data)
{
  FilGatePass **kept = user_data;

  *kept = fil_gate_pass_ref (pass);
}

/* The button wakes with the last tick, sleeps again when one is taken back,
 * and only its press makes the pass. */
static void
test_every_tick (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autoptr (GPtrArray) checks = g_ptr_array_new ();
  g_autoptr (FilGatePass) pass = NULL;
  g_autoptr (GError) error = NULL;
  FilGateDialog *dialog = fil_gate_dialog_new (NULL, rig, DEVICE, &error);
  GtkWidget *button;

  g_assert_no_error (error);
  g_signal_connect (dialog, "confirmed", G_CALLBACK (confirmed_cb), &pass);
  button = confirm_button (dialog);
  collect (GTK_WIDGET (dialog), GTK_TYPE_CHECK_BUTTON, checks);
  g_assert_cmpuint (checks->len, >=, 5);
  g_assert_false (gtk_widget_get_sensitive (button));

  for (guint i = 0; i < checks->len; i++)
    {
      g_assert_false (gtk_check_button_get_active (g_ptr_array_index (checks, i)));
      gtk_check_button_set_active (g_ptr_array_index (checks, i), TRUE);
      g_assert_cmpint (gtk_widget_get_sensitive (button), ==, i == checks->len - 1);
    }
  gtk_check_button_set_active (g_ptr_array_index (checks, 2), FALSE);
  g_assert_false (gtk_widget_get_sensitive (button));
  gtk_check_button_set_active (g_ptr_array_index (checks, 2), TRUE);
  g_assert_null (pass);

  g_signal_emit_by_name (button, "clicked");
  g_assert_nonnull (pass);
  g_assert_true (fil_gate_pass_covers (pass, DEVICE, &error));
  g_assert_false (fil_gate_pass_covers (pass, "another device", NULL));
}

static void
test_closing_keeps_it_closed (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autoptr (FilGatePass) pass = NULL;
  g_autoptr (GError) error = NULL;
  FilGateDialog *dialog = fil_gate_dialog_new (NULL, rig, DEVICE, &error);

  g_signal_connect (dialog, "confirmed", G_CALLBACK (confirmed_cb), &pass);
  gtk_window_present (GTK_WINDOW (dialog));
  gtk_window_close (GTK_WINDOW (dialog));
  g_assert_null (pass);
}

/* A rig without a filter gets no dialog at all. */
static void
test_refused_rig (void)
{
  g_autoptr (FilRig) rig = rig_from ("[rig]\nname=Bare\n"
                                     "[element 1]\nkind=objective\ntype=lens\n"
                                     "aperture_mm=102\nfocal_length_mm=1020\n"
                                     "[element 2]\nkind=camera\npixel_um=2.9\n"
                                     "columns=1936\nrows=1096\n");
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_gate_dialog_new (NULL, rig, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED);
}

int
main (int   argc,
      char *argv[])
{
  gtk_test_init (&argc, &argv, NULL);
  adw_init ();
  g_test_add_func ("/gate-dialog/every-tick", test_every_tick);
  g_test_add_func ("/gate-dialog/closing-keeps-it-closed", test_closing_keeps_it_closed);
  g_test_add_func ("/gate-dialog/refused-rig", test_refused_rig);

  return g_test_run ();
}

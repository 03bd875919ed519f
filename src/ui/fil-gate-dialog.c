/* fil-gate-dialog.c: asks whether the solar filter is in place
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One tick for each check, made by hand after a look at the telescope; the
 * confirming button names the filter and works only when all are made. There
 * is no "tick all" and no default button, on purpose. */

#include <glib/gi18n.h>

#include "fil-gate-dialog.h"

struct _FilGateDialog
{
  AdwWindow   parent_instance;

  FilGate    *gate;
  GtkLabel   *lead_label, *error_label;
  GtkListBox *list;
  GtkScrolledWindow *scroller;
  GtkButton  *cancel_button, *confirm_button;
};

enum
{
  SIGNAL_CONFIRMED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilGateDialog, fil_gate_dialog, ADW_TYPE_WINDOW)

static void
toggled_cb (GtkCheckButton *button,
            FilGateDialog  *self)
{
  guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "check"));

  fil_gate_tick (self->gate, index, gtk_check_button_get_active (button));
  gtk_widget_set_sensitive (GTK_WIDGET (self->confirm_button),
                            fil_gate_is_complete (self->gate));
}

static GtkWidget *
new_check_row (FilGateDialog      *self,
               const FilGateCheck *check,
               guint               index)
{
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *button = gtk_check_button_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *text = gtk_label_new (check->text), *reason = gtk_label_new (check->reason);

  gtk_label_set_xalign (GTK_LABEL (text), 0.0);
  gtk_label_set_wrap (GTK_LABEL (text), TRUE);
  gtk_label_set_natural_wrap_mode (GTK_LABEL (text), GTK_NATURAL_WRAP_NONE);
  gtk_widget_add_css_class (text, "gate-check");
  gtk_label_set_xalign (GTK_LABEL (reason), 0.0);
  gtk_label_set_wrap (GTK_LABEL (reason), TRUE);
  gtk_label_set_natural_wrap_mode (GTK_LABEL (reason), GTK_NATURAL_WRAP_NONE);
  gtk_widget_add_css_class (reason, "gate-reason");
  gtk_box_append (GTK_BOX (box), text);
  gtk_box_append (GTK_BOX (box), reason);
  gtk_widget_set_margin_start (box, 10);

  gtk_check_button_set_child (GTK_CHECK_BUTTON (button), box);
  g_object_set_data (G_OBJECT (button), "check", GUINT_TO_POINTER (index));
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  check->text, GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  check->reason, -1);
  g_signal_connect (button, "toggled", G_CALLBACK (toggled_cb), self);

  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), button);
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), FALSE);
  gtk_widget_set_focusable (row, FALSE);

  return row;
}

static void
confirm_cb (FilGateDialog *self)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGatePass) pass = NULL;
  const char *const *filters = fil_gate_list_filters (self->gate);

  pass = fil_gate_confirm (self->gate, filters[0], &error);
  if (pass == NULL)
    {
      gtk_label_set_text (self->error_label, error->message);
      gtk_widget_set_visible (GTK_WIDGET (self->error_label), TRUE);
      return;
    }

  g_signal_emit (self, signals[SIGNAL_CONFIRMED], 0, pass);
  gtk_window_destroy (GTK_WINDOW (self));
}

static void
fil_gate_dialog_dispose (GObject *object)
{
  FilGateDialog *self = FIL_GATE_DIALOG (object);

  g_clear_pointer (&self->gate, fil_gate_free);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_GATE_DIALOG);

  G_OBJECT_CLASS (fil_gate_dialog_parent_class)->dispose (object);
}

static void
fil_gate_dialog_class_init (FilGateDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_gate_dialog_dispose;

  signals[SIGNAL_CONFIRMED] =
    g_signal_new ("confirmed", FIL_TYPE_GATE_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 1, G_TYPE_POINTER);

  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-gate-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, FilGateDialog, lead_label);
  gtk_widget_class_bind_template_child (widget_class, FilGateDialog, error_label);
  gtk_widget_class_bind_template_child (widget_class, FilGateDialog, list);
  gtk_widget_class_bind_template_child (widget_class, FilGateDialog, scroller);
  gtk_widget_class_bind_template_child (widget_class, FilGateDialog, cancel_button);
  gtk_widget_class_bind_template_child (widget_class, FilGateDialog, confirm_button);
  gtk_widget_class_bind_template_callback (widget_class, confirm_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
fil_gate_dialog_init (FilGateDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * fil_gate_dialog_new:
 * @device_identity: of the camera that waits, see fil_source_dup_identity()
 *
 * Returns: (transfer none): the dialog, to be presented; or %NULL where the
 *   rig is refused
 */
FilGateDialog *
fil_gate_dialog_new (GtkWindow  *parent,
                     FilRig     *rig,
                     const char *device_identity,
                     GError    **error)
{
  FilGate *gate = fil_gate_new (rig, device_identity, error);
  g_autofree char *question = NULL, *name = NULL, *lead = NULL;
  FilGateDialog *self;

  if (gate == NULL)
    return NULL;

  self = g_object_new (FIL_TYPE_GATE_DIALOG, "transient-for", parent, NULL);
  self->gate = gate;
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    gtk_list_box_append (self->list, new_check_row (self, fil_gate_get_check (gate, i), i));

  /* All checks in sight at once where the screen allows: wrapped text is
   * higher than the list's natural height tells. */
  gtk_scrolled_window_set_min_content_height (
    self->scroller, (int) MIN (560, 53 * fil_gate_get_n_checks (gate)));

  name = g_markup_escape_text (fil_rig_get_name (rig), -1);
  lead = g_strdup_printf (_("For the rig <b>%s</b>. Go to the telescope, look, and tick what you "
                            "have seen. The filter maker’s instructions and your local rules "
                            "come first."), name);
  gtk_label_set_markup (self->lead_label, lead);
  question = fil_gate_dup_question (gate);
  gtk_button_set_label (self->confirm_button, question);
  gtk_window_set_focus (GTK_WINDOW (self), GTK_WIDGET (self->cancel_button));

  return self;
}

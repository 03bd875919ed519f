/* fil-control-row.c: one control of a camera's driver
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-control-row.h"

struct _FilControlRow
{
  AdwActionRow parent_instance;

  FilLive     *live;
  FilControl  *control;   /* as it stood last */
  GtkWidget   *editor;    /* by its type */
  gboolean     updating;  /* the program changes the editor, not the user */
};

enum
{
  SIGNAL_REFUSED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilControlRow, fil_control_row, ADW_TYPE_ACTION_ROW)

/* @value: (nullable): floating; %NULL presses a button */
static void
send (FilControlRow *self,
      GVariant      *value)
{
  g_autoptr (GError) error = NULL;

  if (fil_live_set_control (self->live, self->control->id, value, &error))
    return;

  g_signal_emit (self, signals[SIGNAL_REFUSED], 0, error->message);
  fil_control_row_update (self);
}

static void
spin_cb (FilControlRow *self)
{
  double value = gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->editor));

  if (self->updating)
    return;

  send (self, self->control->type == FIL_CONTROL_REAL
                ? g_variant_new_double (value)
                : g_variant_new_int64 ((gint64) llround (value)));
}

static void
switch_cb (FilControlRow *self)
{
  if (!self->updating)
    send (self, g_variant_new_boolean (gtk_switch_get_active (GTK_SWITCH (self->editor))));
}

static void
menu_cb (FilControlRow *self)
{
  guint selected = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->editor));

  if (self->updating || selected >= self->control->items->len)
    return;

  send (self, g_variant_new_int64 (
                g_array_index (self->control->items, FilControlItem, selected).value));
}

static void
button_cb (FilControlRow *self)
{
  send (self, NULL);
}

static void
text_cb (FilControlRow *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->editor));

  if (self->updating)
    return;
  if (self->control->type == FIL_CONTROL_STRING)
    send (self, g_variant_new_string (text));
  else
    {
      char *end = NULL;
      guint64 bits = g_ascii_strtoull (text, &end, 16);

      if (end != text && *end == '\0')
        send (self, g_variant_new_int64 ((gint64) bits));
      else
        fil_control_row_update (self);
    }
}

static GtkWidget *
new_spin (FilControlRow *self)
{
  const FilControl *control = self->control;
  double step = control->step > 0.0 ? control->step : 1.0;
  GtkWidget *spin = gtk_spin_button_new_with_range (control->min,
                                                    MAX (control->max, control->min + step),
                                                    step);

  gtk_spin_button_set_digits (GTK_SPIN_BUTTON (spin),
                              control->type != FIL_CONTROL_REAL ? 0 : step < 0.1 ? 3 : 1);
  gtk_spin_button_set_numeric (GTK_SPIN_BUTTON (spin), TRUE);
  g_signal_connect_object (spin, "value-changed", G_CALLBACK (spin_cb), self,
                           G_CONNECT_SWAPPED);

  return spin;
}

static GtkWidget *
new_menu (FilControlRow *self)
{
  GtkStringList *labels = gtk_string_list_new (NULL);
  GtkWidget *menu;

  for (guint i = 0; i < self->control->items->len; i++)
    gtk_string_list_append (labels,
                            g_array_index (self->control->items, FilControlItem, i).label);
  menu = gtk_drop_down_new (G_LIST_MODEL (labels), NULL);
  g_signal_connect_object (menu, "notify::selected", G_CALLBACK (menu_cb), self,
                           G_CONNECT_SWAPPED);

  return menu;
}

static GtkWidget *
new_entry (FilControlRow *self)
{
  GtkWidget *entry = gtk_entry_new ();

  g_signal_connect_object (entry, "activate", G_CALLBACK (text_cb), self, G_CONNECT_SWAPPED);

  return entry;
}

static GtkWidget *
new_editor (FilControlRow *self)
{
  GtkWidget *widget;

  switch (self->control->type)
    {
    case FIL_CONTROL_INTEGER:
    case FIL_CONTROL_REAL:
      return new_spin (self);
    case FIL_CONTROL_BOOLEAN:
      widget = gtk_switch_new ();
      g_signal_connect_object (widget, "notify::active", G_CALLBACK (switch_cb), self,
                               G_CONNECT_SWAPPED);
      return widget;
    case FIL_CONTROL_MENU:
      return new_menu (self);
    case FIL_CONTROL_BUTTON:
      widget = gtk_button_new_with_label (_("Do it"));
      g_signal_connect_object (widget, "clicked", G_CALLBACK (button_cb), self,
                               G_CONNECT_SWAPPED);
      return widget;
    case FIL_CONTROL_BITMASK:
    case FIL_CONTROL_STRING:
      return new_entry (self);
    case FIL_CONTROL_ARRAY:
    default:
      widget = gtk_label_new (NULL);
      gtk_label_set_ellipsize (GTK_LABEL (widget), PANGO_ELLIPSIZE_END);
      gtk_label_set_max_width_chars (GTK_LABEL (widget), 28);
      return widget;
    }
}

static void
show_menu_value (FilControlRow *self)
{
  gint64 value = g_variant_get_int64 (self->control->value);

  for (guint i = 0; i < self->control->items->len; i++)
    if (g_array_index (self->control->items, FilControlItem, i).value == value)
      gtk_drop_down_set_selected (GTK_DROP_DOWN (self->editor), i);
}

static void
show_value (FilControlRow *self)
{
  GVariant *value = self->control->value;

  if (value == NULL)
    return;

  switch (self->control->type)
    {
    case FIL_CONTROL_INTEGER:
      gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->editor),
                                 (double) g_variant_get_int64 (value));
      break;
    case FIL_CONTROL_REAL:
      gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->editor), g_variant_get_double (value));
      break;
    case FIL_CONTROL_BOOLEAN:
      gtk_switch_set_active (GTK_SWITCH (self->editor), g_variant_get_boolean (value));
      break;
    case FIL_CONTROL_MENU:
      show_menu_value (self);
      break;
    case FIL_CONTROL_BITMASK:
      {
        g_autofree char *text = g_strdup_printf ("%" G_GINT64_MODIFIER "x",
                                                 (guint64) g_variant_get_int64 (value));
        gtk_editable_set_text (GTK_EDITABLE (self->editor), text);
        break;
      }
    case FIL_CONTROL_STRING:
      gtk_editable_set_text (GTK_EDITABLE (self->editor), g_variant_get_string (value, NULL));
      break;
    case FIL_CONTROL_ARRAY:
      {
        g_autofree char *text = g_variant_print (value, FALSE);
        gtk_label_set_text (GTK_LABEL (self->editor), text);
        break;
      }
    case FIL_CONTROL_BUTTON:
    default:
      break;
    }
}

static char *
describe (const FilControl *control)
{
  GString *text = g_string_new (NULL);

  if (control->type == FIL_CONTROL_INTEGER || control->type == FIL_CONTROL_REAL)
    g_string_append_printf (text, _("%g to %g"), control->min, control->max);
  if (control->unit != NULL)
    g_string_append_printf (text, " %s", control->unit);
  if (control->type == FIL_CONTROL_BITMASK)
    g_string_append (text, _("bits, hexadecimal"));
  if ((control->flags & FIL_CONTROL_READ_ONLY) != 0)
    g_string_append_printf (text, "%s%s", text->len > 0 ? " · " : "", _("read only"));
  if ((control->flags & FIL_CONTROL_INACTIVE) != 0)
    g_string_append_printf (text, "%s%s", text->len > 0 ? " · " : "",
                            _("held by another control"));
  if ((control->flags & FIL_CONTROL_VOLATILE) != 0)
    g_string_append_printf (text, "%s%s", text->len > 0 ? " · " : "",
                            _("changes by itself"));

  return g_string_free (text, FALSE);
}

static void
show (FilControlRow *self)
{
  g_autofree char *subtitle = describe (self->control);
  FilControlFlags blocking = FIL_CONTROL_READ_ONLY | FIL_CONTROL_INACTIVE | FIL_CONTROL_GRABBED;

  self->updating = TRUE;
  adw_action_row_set_subtitle (ADW_ACTION_ROW (self), subtitle);
  gtk_widget_set_sensitive (self->editor, (self->control->flags & blocking) == 0);
  show_value (self);
  self->updating = FALSE;
}

static void
fil_control_row_dispose (GObject *object)
{
  FilControlRow *self = FIL_CONTROL_ROW (object);

  g_clear_object (&self->live);
  g_clear_pointer (&self->control, fil_control_free);

  G_OBJECT_CLASS (fil_control_row_parent_class)->dispose (object);
}

static void
fil_control_row_class_init (FilControlRowClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_control_row_dispose;

  signals[SIGNAL_REFUSED] = g_signal_new ("refused", FIL_TYPE_CONTROL_ROW, G_SIGNAL_RUN_LAST, 0,
                                          NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
fil_control_row_init (FilControlRow *self)
{
}

/* @control: (transfer full): as it stands now */
GtkWidget *
fil_control_row_new (FilLive    *live,
                     FilControl *control)
{
  FilControlRow *self = g_object_new (FIL_TYPE_CONTROL_ROW, "use-markup", FALSE, NULL);

  self->live = g_object_ref (live);
  self->control = control;
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (self), control->name);
  self->editor = new_editor (self);
  gtk_widget_set_valign (self->editor, GTK_ALIGN_CENTER);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->editor), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  control->name, -1);
  adw_action_row_add_suffix (ADW_ACTION_ROW (self), self->editor);
  adw_action_row_set_activatable_widget (ADW_ACTION_ROW (self), self->editor);
  show (self);

  return GTK_WIDGET (self);
}

guint32
fil_control_row_get_id (FilControlRow *self)
{
  g_return_val_if_fail (FIL_IS_CONTROL_ROW (self), 0);

  return self->control->id;
}

/* Asks the source how the control stands now. */
void
fil_control_row_update (FilControlRow *self)
{
  FilSource *source;
  FilControl *control;

  g_return_if_fail (FIL_IS_CONTROL_ROW (self));

  source = fil_live_get_source (self->live);
  control = source != NULL ? fil_source_dup_control (source, self->control->id) : NULL;
  if (control == NULL)
    return;

  g_clear_pointer (&self->control, fil_control_free);
  self->control = control;
  show (self);
}

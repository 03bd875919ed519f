/* fil-numbers-pane.c: a rig's numbers, in groups, as a calm list
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows are made once, for the first rig: groups and numbers are the same
 * for every rig. Afterwards only texts change, and only those that differ, so
 * that nothing flickers or jumps while somebody edits a rig or time goes on. */

#include <glib/gi18n.h>

#include "fil-numbers-pane.h"

typedef struct
{
  GtkWidget *row;
  GtkLabel  *name, *value, *verdict, *notes;
} Row;

struct _FilNumbersPane
{
  AdwBin    parent_instance;

  FilRig   *rig;
  FilSun    sun;
  gboolean  has_sun;
  FilAir    air;
  gboolean  has_air;
  GtkWidget *box;
  GPtrArray *rows;   /* of Row, through all groups */
};

G_DEFINE_FINAL_TYPE (FilNumbersPane, fil_numbers_pane, ADW_TYPE_BIN)

static GtkLabel *
make_label (const char *css_class,
            float       xalign,
            gboolean    wrap)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_widget_add_css_class (label, css_class);
  gtk_label_set_xalign (GTK_LABEL (label), xalign);
  gtk_label_set_wrap (GTK_LABEL (label), wrap);
  if (wrap)
    gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);

  return GTK_LABEL (label);
}

/* Name and value on a line, below them what they mean and what was assumed. */
static Row *
make_row (GtkListBox *list)
{
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *column = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1);
  Row *row = g_new0 (Row, 1);

  row->name = make_label ("number-name", 0.0, TRUE);
  row->value = make_label ("number-value", 1.0, FALSE);
  row->verdict = make_label ("number-verdict", 0.0, TRUE);
  row->notes = make_label ("caption", 0.0, TRUE);
  gtk_widget_set_hexpand (GTK_WIDGET (row->name), TRUE);
  gtk_widget_set_valign (GTK_WIDGET (row->name), GTK_ALIGN_BASELINE);
  gtk_widget_set_valign (GTK_WIDGET (row->value), GTK_ALIGN_BASELINE);

  gtk_box_append (GTK_BOX (line), GTK_WIDGET (row->name));
  gtk_box_append (GTK_BOX (line), GTK_WIDGET (row->value));
  gtk_box_append (GTK_BOX (column), line);
  gtk_box_append (GTK_BOX (column), GTK_WIDGET (row->verdict));
  gtk_box_append (GTK_BOX (column), GTK_WIDGET (row->notes));

  row->row = gtk_list_box_row_new ();
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row->row), FALSE);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row->row), column);
  gtk_list_box_append (list, row->row);

  return row;
}

static void
make_rows (FilNumbersPane  *self,
           const GPtrArray *groups)
{
  for (guint i = 0; i < groups->len; i++)
    {
      const FilNumberGroup *group = g_ptr_array_index (groups, i);
      GtkLabel *title = make_label ("numbers-title", 0.0, FALSE);
      GtkWidget *list = gtk_list_box_new ();

      gtk_label_set_text (title, group->title);
      gtk_list_box_set_selection_mode (GTK_LIST_BOX (list), GTK_SELECTION_NONE);
      gtk_accessible_update_property (GTK_ACCESSIBLE (list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                      group->title, -1);
      gtk_box_append (GTK_BOX (self->box), GTK_WIDGET (title));
      gtk_box_append (GTK_BOX (self->box), list);
      for (guint j = 0; j < group->items->len; j++)
        g_ptr_array_add (self->rows, make_row (GTK_LIST_BOX (list)));
    }
}

/* Returns: whether it changed */
static gboolean
set_text (GtkLabel   *label,
          const char *text)
{
  if (g_strcmp0 (gtk_label_get_text (label), text != NULL ? text : "") == 0)
    return FALSE;

  gtk_label_set_text (label, text != NULL ? text : "");

  return TRUE;
}

static void
set_class (GtkWidget  *widget,
           const char *css_class,
           gboolean    on)
{
  if (on)
    gtk_widget_add_css_class (widget, css_class);
  else
    gtk_widget_remove_css_class (widget, css_class);
}

/* What a screen reader says of the row as a whole. */
static void
tell (const Row       *row,
      const FilNumber *number,
      const char      *notes)
{
  g_autofree char *text = g_strdup_printf ("%s: %s%s%s%s%s", number->name, number->value,
                                           number->verdict != NULL ? ". " : "",
                                           number->verdict != NULL ? number->verdict : "",
                                           notes != NULL ? ". " : "",
                                           notes != NULL ? notes : "");

  gtk_accessible_update_property (GTK_ACCESSIBLE (row->row), GTK_ACCESSIBLE_PROPERTY_LABEL, text,
                                  -1);
}

static void
show_number (const Row       *row,
             const FilNumber *number)
{
  g_autofree char *notes = fil_number_dup_notes (number);
  gboolean changed;

  gtk_widget_set_visible (row->row, number->value != NULL);
  if (number->value == NULL)
    return;

  changed = set_text (row->name, number->name);
  changed |= set_text (row->value, number->value);
  changed |= set_text (row->verdict, number->verdict);
  changed |= set_text (row->notes, notes);
  if (!changed)
    return;

  gtk_widget_set_visible (GTK_WIDGET (row->verdict), number->verdict != NULL);
  gtk_widget_set_visible (GTK_WIDGET (row->notes), notes != NULL);
  set_class (GTK_WIDGET (row->value), "unknown", number->unknown);
  set_class (GTK_WIDGET (row->verdict), "look", number->level == FIL_NUMBER_LOOK);
  tell (row, number, notes);
}

static void
show_numbers (FilNumbersPane *self)
{
  g_autoptr (GPtrArray) groups = NULL;
  guint n = 0;

  if (self->rig == NULL)
    return;

  groups = fil_numbers_list (self->rig, self->has_sun ? &self->sun : NULL,
                             self->has_air ? &self->air : NULL);
  if (self->rows->len == 0)
    make_rows (self, groups);

  for (guint i = 0; i < groups->len; i++)
    {
      const FilNumberGroup *group = g_ptr_array_index (groups, i);

      for (guint j = 0; j < group->items->len && n < self->rows->len; j++, n++)
        show_number (g_ptr_array_index (self->rows, n), g_ptr_array_index (group->items, j));
    }
}

static void
fil_numbers_pane_finalize (GObject *object)
{
  FilNumbersPane *self = FIL_NUMBERS_PANE (object);

  g_clear_pointer (&self->rig, fil_rig_unref);
  g_ptr_array_unref (self->rows);

  G_OBJECT_CLASS (fil_numbers_pane_parent_class)->finalize (object);
}

static void
fil_numbers_pane_class_init (FilNumbersPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_numbers_pane_finalize;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "numbers");
}

static void
fil_numbers_pane_init (FilNumbersPane *self)
{
  GtkWidget *scroller = gtk_scrolled_window_new ();

  self->rows = g_ptr_array_new_with_free_func (g_free);
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_add_css_class (self->box, "numbers-box");
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER,
                                  GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), self->box);
  gtk_widget_set_vexpand (scroller, TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (scroller), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("The rig’s numbers"), -1);
  adw_bin_set_child (ADW_BIN (self), scroller);
}

/**
 * fil_numbers_pane_new:
 *
 * Empty until it gets a rig. It scrolls by itself and needs some 340 px in
 * width, half as much again in daylight type.
 */
GtkWidget *
fil_numbers_pane_new (void)
{
  return g_object_new (FIL_TYPE_NUMBERS_PANE, NULL);
}

/* @rig: may lack its objective or its camera; a reference is taken */
void
fil_numbers_pane_set_rig (FilNumbersPane *self,
                          FilRig         *rig)
{
  g_return_if_fail (FIL_IS_NUMBERS_PANE (self) && rig != NULL);

  fil_rig_ref (rig);
  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig;
  show_numbers (self);
}

/* @sun: (nullable): of the moment, copied; %NULL: numbers hold at 1 au */
void
fil_numbers_pane_set_sun (FilNumbersPane *self,
                          const FilSun   *sun)
{
  g_return_if_fail (FIL_IS_NUMBERS_PANE (self));

  self->has_sun = sun != NULL;
  if (sun != NULL)
    self->sun = *sun;
  show_numbers (self);
}

/* @air: (nullable): as measured, copied; %NULL: a middling hour is taken */
void
fil_numbers_pane_set_air (FilNumbersPane *self,
                          const FilAir   *air)
{
  g_return_if_fail (FIL_IS_NUMBERS_PANE (self));

  self->has_air = air != NULL;
  if (air != NULL)
    self->air = *air;
  show_numbers (self);
}

/* fil-finding-row.c: what was found about an element, and the way to mend it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-finding-row.h"

struct _FilFindingRow
{
  GtkBox parent_instance;

  int    number;   /* in the list of findings */
};

enum
{
  SIGNAL_MEND,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilFindingRow, fil_finding_row, GTK_TYPE_BOX)

/* Returns: translated: "refused", "warning", "note"; "" where nothing was found */
const char *
fil_finding_level_to_text (int level)
{
  switch (level)
    {
    case FIL_FINDING_REFUSE:
      return _("refused");
    case FIL_FINDING_WARN:
      return _("warning");
    case FIL_FINDING_NOTE:
      return _("note");
    default:
      return "";
    }
}

/* Returns: how its mark looks, a class of the style sheet */
const char *
fil_finding_level_to_class (int level)
{
  switch (level)
    {
    case FIL_FINDING_REFUSE:
      return "refuse";
    case FIL_FINDING_WARN:
      return "warn";
    default:
      return "note";
    }
}

static void
mend_cb (FilFindingRow *self)
{
  g_signal_emit (self, signals[SIGNAL_MEND], 0, self->number);
}

static void
fil_finding_row_class_init (FilFindingRowClass *klass)
{
  signals[SIGNAL_MEND] = g_signal_new ("mend", FIL_TYPE_FINDING_ROW, G_SIGNAL_RUN_LAST, 0, NULL,
                                       NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT);
}

static void
fil_finding_row_init (FilFindingRow *self)
{
  gtk_box_set_spacing (GTK_BOX (self), 12);
  gtk_widget_add_css_class (GTK_WIDGET (self), "finding");
}

static void
add_texts (FilFindingRow    *self,
           const FilFinding *finding)
{
  GtkWidget *mark = gtk_label_new (fil_finding_level_to_text (finding->level));
  GtkWidget *text = gtk_label_new (finding->text);

  gtk_widget_add_css_class (mark, "light-mark");
  gtk_widget_add_css_class (mark, fil_finding_level_to_class (finding->level));
  gtk_widget_set_valign (mark, GTK_ALIGN_START);
  gtk_label_set_xalign (GTK_LABEL (text), 0.0);
  gtk_label_set_wrap (GTK_LABEL (text), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (text), 50);
  gtk_widget_set_hexpand (text, TRUE);
  gtk_box_append (GTK_BOX (self), mark);
  gtk_box_append (GTK_BOX (self), text);
}

/* @finding's proposal as a button; there is one where it can be carried out. */
static void
add_button (FilFindingRow    *self,
            const FilFinding *finding)
{
  GtkWidget *button = gtk_button_new_with_label (finding->proposal);
  GtkWidget *label = gtk_button_get_child (GTK_BUTTON (button));

  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 28);
  gtk_widget_add_css_class (button, "plain");
  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  g_signal_connect_object (button, "clicked", G_CALLBACK (mend_cb), self, G_CONNECT_SWAPPED);
  gtk_box_append (GTK_BOX (self), button);
}

/**
 * fil_finding_row_new:
 * @number: told by "mend"
 * @mendable: offer the proposal, where there is one
 */
GtkWidget *
fil_finding_row_new (const FilFinding *finding,
                     int               number,
                     gboolean          mendable)
{
  FilFindingRow *self = g_object_new (FIL_TYPE_FINDING_ROW, NULL);

  g_return_val_if_fail (finding != NULL, GTK_WIDGET (self));

  self->number = number;
  add_texts (self, finding);
  if (mendable && finding->proposal != NULL)
    add_button (self, finding);

  return GTK_WIDGET (self);
}

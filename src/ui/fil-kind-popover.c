/* fil-kind-popover.c: which kind of element to add
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-kind-popover.h"
#include "fil-rig.h"

#define MOST_PX 560   /* what the smallest window has below the button */

struct _FilKindPopover
{
  GtkPopover  parent_instance;

  GtkListBox *list;
};

enum
{
  SIGNAL_CHOSEN,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilKindPopover, fil_kind_popover, GTK_TYPE_POPOVER)

/* In the order in which the light meets them in most telescopes. */
static const FilElementKind kinds[] = {
  FIL_ELEMENT_FRONT_FILTER, FIL_ELEMENT_OBJECTIVE, FIL_ELEMENT_WEDGE, FIL_ELEMENT_DENSITY,
  FIL_ELEMENT_DIAGONAL, FIL_ELEMENT_POLARISER, FIL_ELEMENT_AMPLIFIER, FIL_ELEMENT_REDUCER,
  FIL_ELEMENT_BANDPASS, FIL_ELEMENT_BLOCKER, FIL_ELEMENT_CAMERA,
};

static void
row_activated_cb (FilKindPopover *self,
                  GtkListBoxRow  *row)
{
  gtk_popover_popdown (GTK_POPOVER (self));
  g_signal_emit (self, signals[SIGNAL_CHOSEN], 0, (int) kinds[gtk_list_box_row_get_index (row)]);
}

static GtkWidget *
new_row (const char *title,
         const char *sentence)
{
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *title_label = gtk_label_new (title), *text_label = gtk_label_new (sentence);

  gtk_label_set_xalign (GTK_LABEL (title_label), 0.0);
  gtk_label_set_xalign (GTK_LABEL (text_label), 0.0);
  gtk_widget_add_css_class (title_label, "value-title");
  gtk_widget_add_css_class (text_label, "caption");
  gtk_box_append (GTK_BOX (box), title_label);
  gtk_box_append (GTK_BOX (box), text_label);
  gtk_widget_add_css_class (row, "kind-row");
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, sentence, -1);

  return row;
}

static void
shown_cb (FilKindPopover *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (gtk_list_box_get_row_at_index (self->list, 0)));
}

static void
fil_kind_popover_class_init (FilKindPopoverClass *klass)
{
  /* the FilElementKind */
  signals[SIGNAL_CHOSEN] = g_signal_new ("chosen", FIL_TYPE_KIND_POPOVER, G_SIGNAL_RUN_LAST, 0,
                                         NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT);
}

static void
fil_kind_popover_init (FilKindPopover *self)
{
  GtkWidget *scroller = gtk_scrolled_window_new ();

  self->list = GTK_LIST_BOX (gtk_list_box_new ());
  gtk_list_box_set_selection_mode (self->list, GTK_SELECTION_NONE);
  gtk_widget_add_css_class (GTK_WIDGET (self->list), "kind-list");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Kinds of elements"), -1);
  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      g_autofree char *heading = fil_element_kind_dup_heading (kinds[i]);

      gtk_list_box_append (self->list, new_row (heading, fil_element_kind_to_help (kinds[i])));
    }
  g_signal_connect_object (self->list, "row-activated", G_CALLBACK (row_activated_cb), self,
                           G_CONNECT_SWAPPED);

  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER,
                                  GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height (GTK_SCROLLED_WINDOW (scroller), TRUE);
  gtk_scrolled_window_set_max_content_height (GTK_SCROLLED_WINDOW (scroller), MOST_PX);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), GTK_WIDGET (self->list));
  gtk_popover_set_child (GTK_POPOVER (self), scroller);
  g_signal_connect (self, "map", G_CALLBACK (shown_cb), NULL);
}

GtkWidget *
fil_kind_popover_new (void)
{
  return g_object_new (FIL_TYPE_KIND_POPOVER, NULL);
}

/* fil-spoken-name.c: names for screen readers where the toolkit leaves none
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-spoken-name.h"

static void
give (GtkWidget  *widget,
      const char *name)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                  -1);
}

/* The focus goes to the button inside, and GTK 4.8 leaves that one nameless. */
void
fil_spoken_name_menu_button (GtkMenuButton *button,
                             const char    *name)
{
  give (gtk_widget_get_first_child (GTK_WIDGET (button)), name);
}

static void
name_crosses (GtkWidget *widget)
{
  if (GTK_IS_BUTTON (widget) && gtk_button_get_icon_name (GTK_BUTTON (widget)) != NULL)
    {
      give (widget, _("Put the message away"));
      return;
    }

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    name_crosses (child);
}

static void
children_changed_cb (GListModel *children,
                     guint       position,
                     guint       n_removed,
                     guint       n_added,
                     gpointer    user_data)
{
  AdwToastOverlay *overlay = user_data;

  for (guint i = position; i < position + n_added; i++)
    {
      g_autoptr (GtkWidget) child = g_list_model_get_item (children, i);

      if (child != NULL && child != adw_toast_overlay_get_child (overlay))
        name_crosses (child);
    }
}

/**
 * fil_spoken_name_toasts:
 *
 * Names the cross of each toast that @overlay will show: libadwaita 1.2 gives
 * it an icon alone. Toasts wait for each other, so they are named as they
 * come up.
 */
void
fil_spoken_name_toasts (AdwToastOverlay *overlay)
{
  GListModel *children;

  g_return_if_fail (ADW_IS_TOAST_OVERLAY (overlay));

  children = gtk_widget_observe_children (GTK_WIDGET (overlay));
  g_signal_connect (children, "items-changed", G_CALLBACK (children_changed_cb), overlay);
  g_object_set_data_full (G_OBJECT (overlay), "fil-spoken-name", children, g_object_unref);
}

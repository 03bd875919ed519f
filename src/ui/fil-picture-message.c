/* fil-picture-message.c: words where the picture would be
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-picture-private.h"

static GtkWidget *
label_new (FilPicture *self,
           const char *css_class)
{
  GtkWidget *label = gtk_label_new ("");

  gtk_widget_add_css_class (label, css_class);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_justify (GTK_LABEL (label), GTK_JUSTIFY_CENTER);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 48);

  return label;
}

void
fil_picture_message_init (FilPicture *self)
{
  GtkWidget *column = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  self->message_title = label_new (self, "message-title");
  self->message_body = label_new (self, "message-body");
  self->message_button = gtk_button_new_with_label ("");
  gtk_widget_add_css_class (self->message_button, "message-button");
  gtk_widget_set_halign (self->message_button, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (column), self->message_title);
  gtk_box_append (GTK_BOX (column), self->message_body);
  gtk_box_append (GTK_BOX (column), self->message_button);
  gtk_widget_set_halign (column, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (column, GTK_ALIGN_CENTER);
  gtk_widget_set_vexpand (column, TRUE);

  self->message = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_add_css_class (self->message, "message");
  gtk_box_append (GTK_BOX (self->message), column);
  gtk_widget_set_visible (self->message, FALSE);
  gtk_widget_set_parent (self->message, GTK_WIDGET (self));
}

static void
set_text (GtkWidget  *label,
          const char *text)
{
  gtk_label_set_label (GTK_LABEL (label), text != NULL ? text : "");
  gtk_widget_set_visible (label, text != NULL && *text != '\0');
}

/**
 * fil_picture_set_message:
 * @title: (nullable): translated; %NULL: the picture comes back
 * @body: (nullable): translated; what happened, what was kept, what to do
 * @button_label: (nullable): translated; %NULL: no button
 * @action_name: (nullable): what the button does, with its prefix ("win.open")
 *
 * Shows words where the picture would be.
 */
void
fil_picture_set_message (FilPicture *self,
                         const char *title,
                         const char *body,
                         const char *button_label,
                         const char *action_name)
{
  gboolean has_button;

  g_return_if_fail (FIL_IS_PICTURE (self));

  has_button = title != NULL && button_label != NULL && action_name != NULL;
  if (title != NULL)
    {
      set_text (self->message_title, title);
      set_text (self->message_body, body);
      if (has_button)
        gtk_button_set_label (GTK_BUTTON (self->message_button), button_label);
      gtk_actionable_set_action_name (GTK_ACTIONABLE (self->message_button),
                                      has_button ? action_name : NULL);
      gtk_widget_set_visible (self->message_button, has_button);
    }
  gtk_widget_set_visible (self->message, title != NULL);
  gtk_widget_queue_resize (GTK_WIDGET (self));
  fil_picture_overlay_changed (self);
  fil_picture_post_now (self);
}

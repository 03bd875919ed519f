/* fil-spot-dialog.c: asks where on the Sun the spot is that will be clicked
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-spot-dialog.h"
#include "fil-target-text.h"

struct _FilSpotDialog
{
  AdwMessageDialog parent_instance;

  AdwEntryRow     *latitude_row, *longitude_row;
};

enum
{
  SIGNAL_SPOT,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilSpotDialog, fil_spot_dialog, ADW_TYPE_MESSAGE_DIALOG)

static gboolean
read_latitude (FilSpotDialog *self,
               double        *latitude_deg)
{
  return fil_target_text_parse (gtk_editable_get_text (GTK_EDITABLE (self->latitude_row)), TRUE,
                                latitude_deg);
}

/* A spot that is seen is at most 90° from the middle line. */
static gboolean
read_longitude (FilSpotDialog *self,
                double        *longitude_deg)
{
  return fil_target_text_parse (gtk_editable_get_text (GTK_EDITABLE (self->longitude_row)), FALSE,
                                longitude_deg) &&
         fabs (*longitude_deg) <= 90.0;
}

static void
mark (AdwEntryRow *row,
      gboolean     good)
{
  gboolean empty = gtk_editable_get_text (GTK_EDITABLE (row))[0] == '\0';

  if (good || empty)
    gtk_widget_remove_css_class (GTK_WIDGET (row), "error");
  else
    gtk_widget_add_css_class (GTK_WIDGET (row), "error");
}

static void
changed_cb (FilSpotDialog *self)
{
  double latitude_deg, longitude_deg;
  gboolean latitude = read_latitude (self, &latitude_deg);
  gboolean longitude = read_longitude (self, &longitude_deg);

  mark (self->latitude_row, latitude);
  mark (self->longitude_row, longitude);
  adw_message_dialog_set_response_enabled (ADW_MESSAGE_DIALOG (self), "click",
                                           latitude && longitude);
}

/* Enter in a field is as good as the button. */
static void
entered_cb (FilSpotDialog *self)
{
  AdwMessageDialog *dialog = ADW_MESSAGE_DIALOG (self);

  if (!adw_message_dialog_get_response_enabled (dialog, "click"))
    return;

  adw_message_dialog_response (dialog, "click");
  gtk_window_destroy (GTK_WINDOW (self));
}

static void
fil_spot_dialog_response (AdwMessageDialog *dialog,
                          const char       *response)
{
  FilSpotDialog *self = FIL_SPOT_DIALOG (dialog);
  double latitude_deg, longitude_deg;

  if (g_str_equal (response, "click") && read_latitude (self, &latitude_deg) &&
      read_longitude (self, &longitude_deg))
    g_signal_emit (self, signals[SIGNAL_SPOT], 0, latitude_deg, longitude_deg);
}

static void
fil_spot_dialog_class_init (FilSpotDialogClass *klass)
{
  ADW_MESSAGE_DIALOG_CLASS (klass)->response = fil_spot_dialog_response;

  signals[SIGNAL_SPOT] = g_signal_new ("spot", FIL_TYPE_SPOT_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL,
                                       NULL, NULL, G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);
}

static AdwEntryRow *
add_row (FilSpotDialog *self,
         GtkListBox    *list,
         const char    *title)
{
  AdwEntryRow *row = ADW_ENTRY_ROW (adw_entry_row_new ());

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  gtk_list_box_append (list, GTK_WIDGET (row));
  g_signal_connect_object (row, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (row, "entry-activated", G_CALLBACK (entered_cb), self,
                           G_CONNECT_SWAPPED);

  return row;
}

static void
fil_spot_dialog_init (FilSpotDialog *self)
{
  AdwMessageDialog *dialog = ADW_MESSAGE_DIALOG (self);
  GtkListBox *list = GTK_LIST_BOX (gtk_list_box_new ());

  gtk_list_box_set_selection_mode (list, GTK_SELECTION_NONE);
  gtk_widget_add_css_class (GTK_WIDGET (list), "boxed-list");
  self->latitude_row = add_row (self, list, _("Latitude, degrees: 12.3 N or −12.3"));
  self->longitude_row = add_row (self, list,
                                 _("Longitude from the disc’s middle line: 34.5 W or 34.5 E"));
  adw_message_dialog_set_heading (dialog, _("Place by a spot"));
  adw_message_dialog_set_body (dialog,
                               _("Where on the Sun is the spot that you will click? A chart of "
                                 "the day tells its heliographic place."));
  adw_message_dialog_set_extra_child (dialog, GTK_WIDGET (list));
  adw_message_dialog_add_responses (dialog, "cancel", _("_Cancel"), "click", _("_Click the spot"),
                                    NULL);
  adw_message_dialog_set_response_appearance (dialog, "click", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (dialog, "click");
  adw_message_dialog_set_close_response (dialog, "cancel");
  changed_cb (self);
}

FilSpotDialog *
fil_spot_dialog_new (GtkWindow *parent)
{
  return g_object_new (FIL_TYPE_SPOT_DIALOG, "transient-for", parent, "modal", TRUE, NULL);
}

/* What the fields begin with. */
void
fil_spot_dialog_set_spot (FilSpotDialog *self,
                          const char    *name,
                          double         latitude_deg,
                          double         longitude_deg)
{
  g_autofree char *latitude = fil_target_text_latitude (latitude_deg);
  g_autofree char *longitude = fil_target_text_longitude (longitude_deg);
  g_autofree char *body = g_strdup_printf (_("“%s” should stand here today. Is it the spot that "
                                             "you will click?"), name);

  g_return_if_fail (FIL_IS_SPOT_DIALOG (self));

  gtk_editable_set_text (GTK_EDITABLE (self->latitude_row), latitude);
  gtk_editable_set_text (GTK_EDITABLE (self->longitude_row), longitude);
  adw_message_dialog_set_body (ADW_MESSAGE_DIALOG (self), body);
}

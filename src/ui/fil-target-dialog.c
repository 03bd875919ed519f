/* fil-target-dialog.c: a target is named and placed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-disc.h"
#include "fil-target-dialog.h"
#include "fil-target-text.h"

struct _FilTargetDialog
{
  AdwMessageDialog parent_instance;

  FilTargetList   *list;      /* the caller's, which outlives the dialog */
  FilTarget       *edited;    /* a copy; NULL: a new one */
  gint64           utc_ns;    /* when it is seen */
  FilSun           sun;
  FilPatchPlace    patch;
  char            *was_latitude, *was_longitude;   /* as they were put there; NULL: a new one */

  GtkEditable     *name, *latitude, *longitude, *note;
  GtkLabel        *reason;
};

G_DEFINE_FINAL_TYPE (FilTargetDialog, fil_target_dialog, ADW_TYPE_MESSAGE_DIALOG)

static char *
dup_stripped (GtkEditable *entry)
{
  return g_strstrip (g_strdup (gtk_editable_get_text (entry)));
}

/* What keeps it from being saved. */
static char *
dup_reason (FilTargetDialog *self)
{
  g_autofree char *name = dup_stripped (self->name);
  g_autoptr (GError) error = NULL;
  FilTarget *other;
  double value;

  if (!fil_target_check_name (name, &error))
    return g_strdup (error->message);
  other = fil_target_list_find (self->list, name);
  if (other != NULL && (self->edited == NULL || g_strcmp0 (name, self->edited->name) != 0))
    return g_strdup_printf (_("there is a target named “%s” already"), name);
  if (!fil_target_text_parse (gtk_editable_get_text (self->latitude), TRUE, &value))
    return g_strdup (_("the latitude is written like 14.2 N, up to 90"));
  if (!fil_target_text_parse (gtk_editable_get_text (self->longitude), FALSE, &value))
    return g_strdup (_("the longitude is written like 52 W, up to 180"));

  return NULL;
}

static void
check (FilTargetDialog *self)
{
  g_autofree char *reason = dup_reason (self);

  gtk_label_set_text (self->reason, reason != NULL ? reason : "");
  adw_message_dialog_set_response_enabled (ADW_MESSAGE_DIALOG (self), "save", reason == NULL);
}

static void
set_place (FilTargetDialog *self,
           double           latitude_deg,
           double           longitude_deg)
{
  g_autofree char *latitude = fil_target_text_latitude (latitude_deg);
  g_autofree char *longitude = fil_target_text_longitude (longitude_deg);

  gtk_editable_set_text (self->latitude, latitude);
  gtk_editable_set_text (self->longitude, longitude);
}

static void
patch_cb (FilTargetDialog *self)
{
  set_place (self, self->patch.latitude_deg, self->patch.longitude_deg);
}

static GtkEditable *
add_entry (FilTargetDialog *self,
           GtkWidget       *list,
           const char      *title)
{
  GtkWidget *row = adw_entry_row_new ();

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  gtk_list_box_append (GTK_LIST_BOX (list), row);
  g_signal_connect_swapped (row, "changed", G_CALLBACK (check), self);
  g_object_set (row, "activates-default", TRUE, NULL);

  return GTK_EDITABLE (row);
}

static void
fil_target_dialog_finalize (GObject *object)
{
  FilTargetDialog *self = FIL_TARGET_DIALOG (object);

  fil_target_free (self->edited);
  g_free (self->was_latitude);
  g_free (self->was_longitude);

  G_OBJECT_CLASS (fil_target_dialog_parent_class)->finalize (object);
}

static void
fil_target_dialog_class_init (FilTargetDialogClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_target_dialog_finalize;
}

static void
fil_target_dialog_init (FilTargetDialog *self)
{
  AdwMessageDialog *dialog = ADW_MESSAGE_DIALOG (self);

  adw_message_dialog_add_responses (dialog, "cancel", _("Cancel"), "save", _("Save"), NULL);
  adw_message_dialog_set_response_appearance (dialog, "save", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (dialog, "save");
  adw_message_dialog_set_close_response (dialog, "cancel");
  gtk_widget_add_css_class (GTK_WIDGET (self), "filigree");
  gtk_widget_add_css_class (GTK_WIDGET (self), "target-dialog");
}

static void
build (FilTargetDialog *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 10);
  GtkWidget *list = gtk_list_box_new ();
  GtkWidget *button = gtk_button_new_with_label (_("Where the patch is now"));

  gtk_list_box_set_selection_mode (GTK_LIST_BOX (list), GTK_SELECTION_NONE);
  gtk_widget_add_css_class (list, "boxed-list");
  self->reason = GTK_LABEL (gtk_label_new (NULL));
  gtk_label_set_wrap (self->reason, TRUE);
  gtk_label_set_xalign (self->reason, 0.0);
  /* Its room is kept, so that nothing jumps while somebody types. */
  gtk_label_set_lines (self->reason, 2);
  gtk_label_set_width_chars (self->reason, 40);
  gtk_widget_set_size_request (GTK_WIDGET (self->reason), -1, 42);
  gtk_widget_add_css_class (GTK_WIDGET (self->reason), "caption");
  self->name = add_entry (self, list, _("Name"));
  self->latitude = add_entry (self, list, _("Latitude, like 14.2 N"));
  self->longitude = add_entry (self, list, _("Longitude, like 52 W"));
  self->note = add_entry (self, list, _("Note"));

  gtk_widget_set_sensitive (button, self->patch.known);
  gtk_widget_set_tooltip_text (button, self->patch.known
    ? _("Takes latitude and longitude of the patch’s middle")
    : _("Known once the disc’s centre was found and the camera’s angle measured"));
  g_signal_connect_swapped (button, "clicked", G_CALLBACK (patch_cb), self);
  gtk_box_append (GTK_BOX (box), list);
  gtk_box_append (GTK_BOX (box), button);
  gtk_box_append (GTK_BOX (box), GTK_WIDGET (self->reason));
  adw_message_dialog_set_extra_child (ADW_MESSAGE_DIALOG (self), box);
}

static void
fill (FilTargetDialog *self)
{
  FilTargetPlace place;

  if (self->edited == NULL)
    {
      if (self->patch.known)
        patch_cb (self);
      return;
    }

  fil_target_get_place (self->edited, self->list->rotation, self->utc_ns, &self->sun, &place);
  gtk_editable_set_text (self->name, self->edited->name);
  gtk_editable_set_text (self->note, self->edited->note != NULL ? self->edited->note : "");
  set_place (self, place.latitude_deg, place.longitude_deg);
  self->was_latitude = g_strdup (gtk_editable_get_text (self->latitude));
  self->was_longitude = g_strdup (gtk_editable_get_text (self->longitude));
}

/**
 * fil_target_dialog_new:
 * @parent: (nullable)
 * @list: names must differ from those in it
 * @edited: (nullable): the one that is changed; %NULL: a new one
 * @utc_ns: when it is seen: now
 * @patch: copied
 *
 * Returns: (transfer none) (nullable): a window of its own; %NULL where the
 *   Sun's place isn't known at that time
 */
FilTargetDialog *
fil_target_dialog_new (GtkWindow           *parent,
                       FilTargetList       *list,
                       const FilTarget     *edited,
                       gint64               utc_ns,
                       const FilPatchPlace *patch)
{
  FilTargetDialog *self;
  FilSun sun;

  g_return_val_if_fail (list != NULL && patch != NULL, NULL);

  if (!fil_sun_compute (utc_ns, NAN, NAN, NAN, &sun, NULL))
    return NULL;

  self = g_object_new (FIL_TYPE_TARGET_DIALOG, "transient-for", parent, "modal", TRUE, "heading",
                       edited != NULL ? _("Change the target") : _("A new target"), NULL);
  self->list = list;
  self->edited = edited != NULL ? fil_target_copy (edited) : NULL;
  self->utc_ns = utc_ns;
  self->sun = sun;
  self->patch = *patch;
  adw_message_dialog_set_body (ADW_MESSAGE_DIALOG (self),
                               edited != NULL
                                 ? _("Its place as it is predicted for now. Another place counts "
                                     "as seen now.")
                                 : _("Where it stands on the Sun now. Longitude counts from the "
                                     "central meridian."));
  build (self);
  fill (self);
  check (self);

  return self;
}

static gboolean
is_moved (FilTargetDialog *self)
{
  return self->edited == NULL ||
         g_strcmp0 (self->was_latitude, gtk_editable_get_text (self->latitude)) != 0 ||
         g_strcmp0 (self->was_longitude, gtk_editable_get_text (self->longitude)) != 0;
}

/* Returns: (transfer full) (nullable): what was entered; a place that wasn't
 * changed keeps its sighting */
FilTarget *
fil_target_dialog_dup_target (FilTargetDialog *self)
{
  g_autofree char *name = NULL, *note = NULL, *reason = NULL;
  double latitude_deg, longitude_deg;

  g_return_val_if_fail (FIL_IS_TARGET_DIALOG (self), NULL);

  reason = dup_reason (self);
  if (reason != NULL ||
      !fil_target_text_parse (gtk_editable_get_text (self->latitude), TRUE, &latitude_deg) ||
      !fil_target_text_parse (gtk_editable_get_text (self->longitude), FALSE, &longitude_deg))
    return NULL;

  name = dup_stripped (self->name);
  note = dup_stripped (self->note);
  if (!is_moved (self))
    return fil_target_new (name, self->edited->latitude_deg, self->edited->carrington_deg,
                           self->edited->sighted_utc_ns, note[0] != '\0' ? note : NULL);

  return fil_target_new (name, latitude_deg, fil_disc_carrington_deg (&self->sun, longitude_deg),
                         self->utc_ns, note[0] != '\0' ? note : NULL);
}

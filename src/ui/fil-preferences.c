/* fil-preferences.c: what stays as the user likes it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-file-name.h"
#include "fil-folder.h"
#include "fil-preferences.h"

struct _FilPreferences
{
  AdwPreferencesWindow  parent_instance;

  GSettings            *settings;
  GtkFileChooserNative *chooser;      /* while it is open */
  AdwActionRow         *folder_row, *example_row;
  AdwEntryRow          *pattern_row;
  GtkSpinButton        *queue_spin;
  AdwComboRow          *theme_row, *curve_row;
};

G_DEFINE_FINAL_TYPE (FilPreferences, fil_preferences, ADW_TYPE_PREFERENCES_WINDOW)

static void
show_folder (FilPreferences *self)
{
  g_autofree char *folder = fil_folder_dup (self->settings);

  adw_action_row_set_subtitle (self->folder_row, folder);
}

static void
show_example (FilPreferences *self)
{
  g_autofree char *pattern = g_settings_get_string (self->settings, "file-name-pattern");
  g_autoptr (GDateTime) now = g_date_time_new_now_utc ();
  g_autofree char *stem = fil_file_name_expand (pattern, "Roof 102", now, 1);
  g_autofree char *example = g_strdup_printf (_("%s.fits — {rig}, {date}, {time} (UTC) and {number} "
                                                "are filled in"), stem);

  adw_action_row_set_subtitle (self->example_row, example);
}

static void
chosen_cb (FilPreferences *self,
           int             response)
{
  if (response == GTK_RESPONSE_ACCEPT)
    {
      g_autoptr (GFile) file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (self->chooser));

      g_settings_set_string (self->settings, "folder", g_file_peek_path (file));
    }
  g_clear_object (&self->chooser);
}

static void
choose_folder_cb (FilPreferences *self)
{
  g_autofree char *path = fil_folder_dup (self->settings);
  g_autoptr (GFile) folder = g_file_new_for_path (path);

  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (_("Folder for clips"), GTK_WINDOW (self),
                                               GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, NULL, NULL);
  gtk_file_chooser_set_current_folder (GTK_FILE_CHOOSER (self->chooser), folder, NULL);
  g_signal_connect_object (self->chooser, "response", G_CALLBACK (chosen_cb), self,
                           G_CONNECT_SWAPPED);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
combo_changed_cb (AdwComboRow    *row,
                  GParamSpec     *pspec,
                  FilPreferences *self)
{
  g_settings_set_enum (self->settings, row == self->theme_row ? "theme" : "stretch-curve",
                       (int) adw_combo_row_get_selected (row));
}

static void
fil_preferences_dispose (GObject *object)
{
  FilPreferences *self = FIL_PREFERENCES (object);

  g_clear_object (&self->chooser);
  g_clear_object (&self->settings);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_PREFERENCES);

  G_OBJECT_CLASS (fil_preferences_parent_class)->dispose (object);
}

static void
fil_preferences_class_init (FilPreferencesClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_preferences_dispose;
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-preferences.ui");
  gtk_widget_class_bind_template_child (widget_class, FilPreferences, folder_row);
  gtk_widget_class_bind_template_child (widget_class, FilPreferences, example_row);
  gtk_widget_class_bind_template_child (widget_class, FilPreferences, pattern_row);
  gtk_widget_class_bind_template_child (widget_class, FilPreferences, queue_spin);
  gtk_widget_class_bind_template_child (widget_class, FilPreferences, theme_row);
  gtk_widget_class_bind_template_child (widget_class, FilPreferences, curve_row);
  gtk_widget_class_bind_template_callback (widget_class, choose_folder_cb);
}

static void
fil_preferences_init (FilPreferences *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

static void
bind_all (FilPreferences *self)
{
  g_settings_bind (self->settings, "file-name-pattern", self->pattern_row, "text",
                   G_SETTINGS_BIND_DEFAULT);
  g_settings_bind (self->settings, "queue-mib", self->queue_spin, "value",
                   G_SETTINGS_BIND_DEFAULT);
  adw_combo_row_set_selected (self->theme_row,
                              (guint) g_settings_get_enum (self->settings, "theme"));
  adw_combo_row_set_selected (self->curve_row,
                              (guint) g_settings_get_enum (self->settings, "stretch-curve"));
  g_signal_connect_object (self->theme_row, "notify::selected", G_CALLBACK (combo_changed_cb),
                           self, 0);
  g_signal_connect_object (self->curve_row, "notify::selected", G_CALLBACK (combo_changed_cb),
                           self, 0);
  g_signal_connect_object (self->settings, "changed::folder", G_CALLBACK (show_folder), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->settings, "changed::file-name-pattern",
                           G_CALLBACK (show_example), self, G_CONNECT_SWAPPED);
}

FilPreferences *
fil_preferences_new (GtkWindow *parent,
                     GSettings *settings)
{
  FilPreferences *self = g_object_new (FIL_TYPE_PREFERENCES, "transient-for", parent, NULL);

  self->settings = g_object_ref (settings);
  bind_all (self);
  show_folder (self);
  show_example (self);

  return self;
}

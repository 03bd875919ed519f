/* fil-application.c: the program with a window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdlib.h>

#include <glib/gi18n.h>

#include "fil-application.h"
#include "fil-settings.h"
#include "fil-window.h"

struct _FilApplication
{
  AdwApplication  parent_instance;

  GSettings      *settings;
  GtkCssProvider *daylight;   /* NULL while another theme is in use */
};

G_DEFINE_FINAL_TYPE (FilApplication, fil_application, ADW_TYPE_APPLICATION)

static void
about_cb (GSimpleAction *action,
          GVariant      *parameter,
          gpointer       user_data)
{
  adw_show_about_window (
    gtk_application_get_active_window (user_data),
    "application-name", "Filigree",
    "application-icon", FIL_APP_ID,
    "version", FIL_VERSION,
    "license-type", GTK_LICENSE_GPL_3_0,
    "comments", _("Sharpest possible recordings of sunspots through a small telescope.\n\n"
                  "Sunlight through a telescope blinds in an instant. The filter maker’s "
                  "instructions and local rules come first."),
    "translator-credits", _("translator-credits"),
    NULL);
}

static void
quit_cb (GSimpleAction *action,
         GVariant      *parameter,
         gpointer       user_data)
{
  GtkWindow *window = gtk_application_get_active_window (user_data);

  /* By way of the window: a running clip is closed whole first. */
  while (window != NULL && gtk_window_get_transient_for (window) != NULL)
    window = gtk_window_get_transient_for (window);
  if (window != NULL)
    gtk_window_close (window);
}

static void
fil_application_startup (GApplication *application)
{
  static const GActionEntry entries[] = {
    { .name = "about", .activate = about_cb },
    { .name = "quit", .activate = quit_cb },
  };

  G_APPLICATION_CLASS (fil_application_parent_class)->startup (application);

  gtk_window_set_default_icon_name (FIL_APP_ID);
  g_action_map_add_action_entries (G_ACTION_MAP (application), entries, G_N_ELEMENTS (entries),
                                   application);
  gtk_application_set_accels_for_action (GTK_APPLICATION (application), "app.quit",
                                         (const char *[]) { "<Ctrl>q", NULL });
}

static int
fil_application_command_line (GApplication            *application,
                              GApplicationCommandLine *command_line)
{
  FilApplication *self = FIL_APPLICATION (application);
  GVariantDict *options = g_application_command_line_get_options_dict (command_line);
  g_autofree char **arguments = NULL;
  const char *rig_path = NULL;
  FilWindow *window;

  self->settings = fil_settings_new ();
  if (self->settings == NULL)
    {
      g_application_command_line_printerr (
        command_line, _("filigree: the settings’ schema is missing: install the program, or run "
                        "it from its build directory\n"));
      return EXIT_FAILURE;
    }

  g_variant_dict_lookup (options, "rig", "^&ay", &rig_path);
  g_variant_dict_lookup (options, G_OPTION_REMAINING, "^a&ay", &arguments);

  window = fil_window_new (self);
  gtk_window_present (GTK_WINDOW (window));
  fil_window_begin (window, rig_path, arguments != NULL ? arguments[0] : NULL);

  return EXIT_SUCCESS;
}

static void
fil_application_finalize (GObject *object)
{
  FilApplication *self = FIL_APPLICATION (object);

  g_clear_object (&self->settings);
  g_clear_object (&self->daylight);

  G_OBJECT_CLASS (fil_application_parent_class)->finalize (object);
}

static void
fil_application_class_init (FilApplicationClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_application_finalize;
  G_APPLICATION_CLASS (klass)->startup = fil_application_startup;
  G_APPLICATION_CLASS (klass)->command_line = fil_application_command_line;
}

static void
fil_application_init (FilApplication *self)
{
  static const GOptionEntry entries[] = {
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, NULL, N_("Use this rig file"), N_("FILE") },
    { G_OPTION_REMAINING, 0, 0, G_OPTION_ARG_FILENAME_ARRAY, NULL, NULL,
      N_("[/dev/videoN | sim:… | FITS CUBE]") },
    G_OPTION_ENTRY_NULL,
  };

  g_application_add_main_option_entries (G_APPLICATION (self), entries);
  g_application_set_option_context_summary (
    G_APPLICATION (self), _("Without a source it shows the simulated Sun."));
}

FilApplication *
fil_application_new (void)
{
  return g_object_new (FIL_TYPE_APPLICATION,
                       "application-id", FIL_APP_ID,
                       "flags", G_APPLICATION_NON_UNIQUE | G_APPLICATION_HANDLES_COMMAND_LINE,
                       "resource-base-path", "/io/github/filigree/Filigree",
                       NULL);
}

/* Returns: (transfer none): the settings, once the command line was read */
GSettings *
fil_application_get_settings (FilApplication *self)
{
  g_return_val_if_fail (FIL_IS_APPLICATION (self), NULL);

  return self->settings;
}

/* Black on white, with type half as large again, for every window. */
void
fil_application_set_daylight (FilApplication *self,
                              gboolean        on)
{
  GdkDisplay *display = gdk_display_get_default ();

  g_return_if_fail (FIL_IS_APPLICATION (self));

  if (on == (self->daylight != NULL))
    return;

  if (!on)
    {
      gtk_style_context_remove_provider_for_display (display,
                                                     GTK_STYLE_PROVIDER (self->daylight));
      g_clear_object (&self->daylight);
      return;
    }

  self->daylight = gtk_css_provider_new ();
  gtk_css_provider_load_from_resource (self->daylight,
                                       "/io/github/filigree/Filigree/daylight.css");
  gtk_style_context_add_provider_for_display (display, GTK_STYLE_PROVIDER (self->daylight),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION + 1);
}

/* show-rig-page.c: the rig page alone in a window, to look at and to drive
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Usage: show-rig-page [OPTION…] [RIG]; see entries[]. Prints each rig that
 * comes into force, and when the page is done. */

#include <stdlib.h>

#include <adwaita.h>

#include "fil-rig-page.h"

static int width = 1280, height = 746;
static gboolean dark, sunlit, held, guide;

static const GOptionEntry entries[] = {
  { "width", 0, 0, G_OPTION_ARG_INT, &width, "of the window", "PX" },
  { "height", 0, 0, G_OPTION_ARG_INT, &height, "of the window", "PX" },
  { "dark", 0, 0, G_OPTION_ARG_NONE, &dark, "dark theme", NULL },
  { "daylight", 0, 0, G_OPTION_ARG_NONE, &sunlit, "for use in the sun", NULL },
  { "pass-held", 0, 0, G_OPTION_ARG_NONE, &held, "as while a filter check is in force", NULL },
  { "guide", 0, 0, G_OPTION_ARG_NONE, &guide, "with the guide opened", NULL },
  G_OPTION_ENTRY_NULL
};

static void
rig_changed_cb (GtkWidget  *page,
                FilRig     *rig,
                const char *path)
{
  g_print ("rig-changed: %s: %s\n", fil_rig_get_name (rig), path);
}

static void
done_cb (void)
{
  g_print ("done\n");
}

static void
use_daylight (GtkWidget *window)
{
  GtkCssProvider *provider = gtk_css_provider_new ();

  gtk_css_provider_load_from_resource (provider, "/io/github/filigree/Filigree/daylight.css");
  gtk_style_context_add_provider_for_display (gdk_display_get_default (),
                                              GTK_STYLE_PROVIDER (provider),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION + 1);
  g_object_unref (provider);
  gtk_widget_add_css_class (window, "daylight");
}

static void
activate_cb (GtkApplication *application,
             const char     *rig_path)
{
  GtkWidget *window = adw_application_window_new (application);
  GtkWidget *page = fil_rig_page_new ();
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = rig_path != NULL ? fil_rig_load (rig_path, &error)
                                            : fil_rig_new_demo ();

  if (rig == NULL)
    {
      g_printerr ("show-rig-page: %s\n", error->message);
      exit (EXIT_FAILURE);
    }
  adw_style_manager_set_color_scheme (adw_style_manager_get_default (),
                                      dark ? ADW_COLOR_SCHEME_FORCE_DARK
                                           : ADW_COLOR_SCHEME_FORCE_LIGHT);
  gtk_widget_add_css_class (window, "filigree");
  if (sunlit)
    use_daylight (window);

  g_signal_connect (page, "rig-changed", G_CALLBACK (rig_changed_cb), NULL);
  g_signal_connect (page, "done", G_CALLBACK (done_cb), NULL);
  fil_rig_page_set_rig (FIL_RIG_PAGE (page), rig, rig_path);
  fil_rig_page_set_pass_held (FIL_RIG_PAGE (page), held);
  adw_application_window_set_content (ADW_APPLICATION_WINDOW (window), page);
  gtk_window_set_title (GTK_WINDOW (window), "Rig page");
  gtk_window_set_default_size (GTK_WINDOW (window), width, height);
  gtk_window_present (GTK_WINDOW (window));
  if (guide)
    fil_rig_page_start_guide (FIL_RIG_PAGE (page));
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (GOptionContext) context = g_option_context_new ("[RIG]");
  g_autoptr (GError) error = NULL;
  g_autoptr (AdwApplication) application = NULL;

  setvbuf (stdout, NULL, _IOLBF, 0);
  g_option_context_add_main_entries (context, entries, NULL);
  if (!g_option_context_parse (context, &argc, &argv, &error))
    {
      g_printerr ("show-rig-page: %s\n", error->message);
      return EXIT_FAILURE;
    }

  application = g_object_new (
    ADW_TYPE_APPLICATION, "application-id", "io.github.filigree.ShowRigPage",
    "resource-base-path", "/io/github/filigree/Filigree", "flags", G_APPLICATION_NON_UNIQUE, NULL);
  g_signal_connect (application, "activate", G_CALLBACK (activate_cb),
                    argc > 1 ? argv[1] : NULL);

  return g_application_run (G_APPLICATION (application), 1, argv);
}

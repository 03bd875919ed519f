/* show-sun-page.c: not a test: the Sun page alone in a window, to look at
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Usage: show-sun-page [RIG|none|demo [light|dark|daylight [ISO8601 [ZONE [WxH]]]]]
 * The moment, where given, stands still; without one the clock runs. */

#include <stdio.h>
#include <stdlib.h>

#include "fil-sun-page.h"
#include "fil-targets-pane.h"

static void
set_look (GtkWidget  *window,
          const char *look)
{
  g_autoptr (GtkCssProvider) provider = gtk_css_provider_new ();

  adw_style_manager_set_color_scheme (adw_style_manager_get_default (),
                                      g_strcmp0 (look, "dark") == 0 ? ADW_COLOR_SCHEME_FORCE_DARK
                                                                    : ADW_COLOR_SCHEME_FORCE_LIGHT);
  gtk_widget_add_css_class (window, "filigree");
  if (g_strcmp0 (look, "daylight") != 0)
    return;
  gtk_widget_add_css_class (window, "daylight");
  gtk_css_provider_load_from_resource (provider, "/io/github/filigree/Filigree/daylight.css");
  gtk_style_context_add_provider_for_display (gdk_display_get_default (),
                                              GTK_STYLE_PROVIDER (provider),
                                              GTK_STYLE_PROVIDER_PRIORITY_USER);
}

static FilRig *
load_rig (const char *name)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig;

  if (name == NULL || g_str_equal (name, "demo"))
    return fil_rig_new_demo ();
  if (g_str_equal (name, "none"))
    return NULL;

  rig = fil_rig_load (name, &error);
  if (rig == NULL)
    {
      g_printerr ("show-sun-page: %s\n", error->message);
      exit (EXIT_FAILURE);
    }

  return rig;
}

/* As the window does it. The observer's own list of targets is read from the
 * user's folder for data. */
static void
add_targets (FilSunPage *page)
{
  GtkWidget *map = fil_disc_map_new (), *targets = fil_targets_pane_new ();

  gtk_box_append (fil_sun_page_get_disc_slot (page), map);
  gtk_box_append (fil_sun_page_get_targets_slot (page), targets);
  gtk_widget_set_hexpand (targets, TRUE);
  fil_targets_pane_set_map (FIL_TARGETS_PANE (targets), FIL_DISC_MAP (map));
}

static void
said_cb (GtkWidget  *page G_GNUC_UNUSED,
         const char *what)
{
  g_print ("%s\n", what);
  fflush (stdout);
}

static void
activate_cb (GtkApplication *application,
             char          **argv)
{
  guint argc = g_strv_length (argv);
  GtkWidget *window = adw_application_window_new (application);
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *page = fil_sun_page_new ();
  g_autoptr (FilRig) rig = load_rig (argc > 1 ? argv[1] : NULL);
  int width = 1280, height = 800;

  add_targets (FIL_SUN_PAGE (page));
  if (argc > 3)
    {
      g_autoptr (GTimeZone) zone = g_time_zone_new_identifier (argc > 4 ? argv[4] : "UTC");
      g_autoptr (GDateTime) moment = g_date_time_new_from_iso8601 (argv[3], zone);

      fil_sun_page_set_time_for_test (FIL_SUN_PAGE (page),
                                      g_date_time_to_unix (moment) * 1000000000, zone);
    }
  if (argc > 5)
    sscanf (argv[5], "%dx%d", &width, &height);
  fil_sun_page_set_rig (FIL_SUN_PAGE (page), rig);
  g_signal_connect (page, "edit-rig", G_CALLBACK (said_cb), (gpointer) "edit-rig");
  g_signal_connect (page, "done", G_CALLBACK (said_cb), (gpointer) "done");

  set_look (window, argc > 2 ? argv[2] : NULL);
  gtk_window_set_default_size (GTK_WINDOW (window), width, height);
  gtk_window_set_title (GTK_WINDOW (window), "The Sun");
  gtk_widget_set_vexpand (page, TRUE);
  gtk_box_append (GTK_BOX (box), adw_header_bar_new ());
  gtk_box_append (GTK_BOX (box), page);
  adw_application_window_set_content (ADW_APPLICATION_WINDOW (window), box);
  gtk_window_present (GTK_WINDOW (window));
}

int
main (int   argc G_GNUC_UNUSED,
      char *argv[])
{
  g_autoptr (AdwApplication) application = g_object_new (
    ADW_TYPE_APPLICATION, "application-id", "io.github.filigree.ShowSunPage",
    "resource-base-path", "/io/github/filigree/Filigree", "flags", G_APPLICATION_NON_UNIQUE, NULL);

  g_signal_connect (application, "activate", G_CALLBACK (activate_cb), argv);

  return g_application_run (G_APPLICATION (application), 1, argv);
}

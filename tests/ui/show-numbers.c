/* show-numbers.c: not a test: the rig's numbers alone in a window, to look at
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Usage: show-numbers [RIG [light|dark|daylight [SCROLL]]]. SCROLL: how far
 * down, in pixels. FILIGREE_TICK=1 lets the Sun's distance run, to see whether
 * anything jumps. */

#include <math.h>
#include <stdlib.h>

#include "fil-numbers-pane.h"

typedef struct
{
  const char *rig_path, *look;
  double      scroll;
  FilSun      sun;
} Show;

static gboolean
tick_cb (gpointer user_data)
{
  Show *show = g_object_get_data (user_data, "show");

  show->sun.distance_au = 0.983 + fmod (show->sun.distance_au - 0.983 + 1e-4, 0.034);
  fil_numbers_pane_set_sun (user_data, &show->sun);

  return G_SOURCE_CONTINUE;
}

static gboolean
scroll_cb (gpointer user_data)
{
  Show *show = g_object_get_data (user_data, "show");
  GtkWidget *scroller = adw_bin_get_child (user_data);

  gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (scroller)),
                            show->scroll);

  return G_SOURCE_REMOVE;
}

static void
set_look (const char *look)
{
  GtkCssProvider *provider = gtk_css_provider_new ();

  adw_style_manager_set_color_scheme (adw_style_manager_get_default (),
                                      g_strcmp0 (look, "dark") == 0 ? ADW_COLOR_SCHEME_FORCE_DARK
                                                                    : ADW_COLOR_SCHEME_FORCE_LIGHT);
  if (g_strcmp0 (look, "daylight") == 0)
    {
      gtk_css_provider_load_from_resource (provider,
                                           "/io/github/filigree/Filigree/daylight.css");
      gtk_style_context_add_provider_for_display (gdk_display_get_default (),
                                                  GTK_STYLE_PROVIDER (provider),
                                                  GTK_STYLE_PROVIDER_PRIORITY_USER);
    }
  g_object_unref (provider);
}

static void
activate_cb (GtkApplication *application,
             Show           *show)
{
  GtkWidget *window = adw_application_window_new (application);
  GtkWidget *pane = fil_numbers_pane_new ();
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = show->rig_path != NULL ? fil_rig_load (show->rig_path, &error)
                                                  : fil_rig_new_demo ();

  if (rig == NULL)
    {
      g_printerr ("show-numbers: %s\n", error->message);
      exit (EXIT_FAILURE);
    }

  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), rig);
  if (fil_sun_compute (g_get_real_time () * 1000, NAN, NAN, NAN, &show->sun, NULL))
    fil_numbers_pane_set_sun (FIL_NUMBERS_PANE (pane), &show->sun);
  g_object_set_data (G_OBJECT (pane), "show", show);
  if (g_getenv ("FILIGREE_TICK") != NULL)
    g_timeout_add (100, tick_cb, pane);
  g_timeout_add (500, scroll_cb, pane);

  set_look (show->look);
  gtk_widget_add_css_class (window, "filigree");
  gtk_window_set_default_size (GTK_WINDOW (window),
                               g_strcmp0 (show->look, "daylight") == 0 ? 440 : 360, 800);
  adw_application_window_set_content (ADW_APPLICATION_WINDOW (window), pane);
  gtk_window_present (GTK_WINDOW (window));
}

int
main (int   argc,
      char *argv[])
{
  Show show = {
    argc > 1 ? argv[1] : NULL,
    argc > 2 ? argv[2] : NULL,
    argc > 3 ? g_ascii_strtod (argv[3], NULL) : 0.0,
    { .distance_au = 1.0 },
  };
  g_autoptr (AdwApplication) application = g_object_new (
    ADW_TYPE_APPLICATION, "application-id", "io.github.filigree.ShowNumbers",
    "resource-base-path", "/io/github/filigree/Filigree", "flags", G_APPLICATION_NON_UNIQUE, NULL);

  g_signal_connect (application, "activate", G_CALLBACK (activate_cb), &show);

  return g_application_run (G_APPLICATION (application), 1, argv);
}

/* show-disc.c: not a test: the disc map and the targets in a window, to look at
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Usage: show-disc [light|dark|daylight [solar|sky|picture [WIDTHxHEIGHT [nominal]]]]. Targets are
 * invented, and kept in the folder of XDG_DATA_HOME. */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <adwaita.h>

#include "fil-targets-pane.h"

#define NOW_NS (G_GINT64_CONSTANT (1786527000) * 1000000000)   /* 2026-08-12 09:30 UTC */
#define DAY_NS (G_GINT64_CONSTANT (86400) * 1000000000)

typedef struct
{
  const char *look, *up, *size, *place;
} Show;

static void
add_target (FilTargetList *list,
            const char    *name,
            double         latitude_deg,
            double         longitude_deg,
            double         days_ago)
{
  gint64 then_ns = NOW_NS - (gint64) (days_ago * (double) DAY_NS);
  FilSun sun;

  if (fil_sun_compute (then_ns, NAN, NAN, NAN, &sun, NULL))
    fil_target_list_add (list, fil_target_new (name, latitude_deg,
                                               fil_disc_carrington_deg (&sun, longitude_deg),
                                               then_ns, NULL), -1, NULL);
}

static FilTargetList *
make_targets (void)
{
  FilTargetList *list = fil_target_list_new ();

  add_target (list, "North group", 14.2, -31.0, 1.0);
  add_target (list, "The long chain", -9.5, 22.0, 2.0);
  add_target (list, "Lone spot", -21.0, 84.0, 1.1);
  add_target (list, "New at the limb", 17.0, -76.0, 0.01);
  fil_target_list_set_current (list, "North group");

  return list;
}

static void
set_look (const char *look,
          GtkWidget  *window)
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
      gtk_widget_add_css_class (window, "daylight");
    }
  g_object_unref (provider);
}

static void
activate_cb (GtkApplication *application,
             Show           *show)
{
  GtkWidget *window = adw_application_window_new (application);
  GtkWidget *map = fil_disc_map_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  GtkWidget *scroller = gtk_scrolled_window_new (), *pane;
  g_autoptr (FilTargetList) list = make_targets ();
  g_autofree char *path = fil_target_list_dup_path ();
  FilPlace place = { .plate_scale_arcsec_per_px = 0.2935, .position_angle_deg = 33.0,
                     .mirrored = TRUE, .oriented = TRUE, .placed = TRUE, .centre_x = 2700.0,
                     .centre_y = -600.0 };
  int width = 1280, height = 800;
  FilSun sun;

  if (show->size != NULL && sscanf (show->size, "%dx%d", &width, &height) != 2)
    exit (EXIT_FAILURE);
  if (show->place != NULL)
    {
      place.placed = place.oriented = FALSE;
      place.position_angle_deg = 0.0;
      place.centre_x = 968.5;
      place.centre_y = 548.5;
    }
  set_look (show->look, window);
  gtk_widget_add_css_class (window, "filigree");
  if (!fil_sun_compute (NOW_NS, 47.0, 8.0, 500.0, &sun, NULL))
    exit (EXIT_FAILURE);
  if (!g_file_test (path, G_FILE_TEST_EXISTS))
    fil_target_list_save (list, path, NULL);
  pane = fil_targets_pane_new ();
  fil_targets_pane_set_time (FIL_TARGETS_PANE (pane), NOW_NS);
  fil_targets_pane_set_patch (FIL_TARGETS_PANE (pane), &(FilPatchPlace) { TRUE, 14.2, -17.9 });
  fil_targets_pane_set_map (FIL_TARGETS_PANE (pane), FIL_DISC_MAP (map));
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER,
                                  GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), pane);
  gtk_widget_set_hexpand (map, TRUE);
  gtk_widget_set_size_request (scroller, 440, -1);
  gtk_box_append (GTK_BOX (box), map);
  gtk_box_append (GTK_BOX (box), scroller);
  fil_disc_map_set_place (FIL_DISC_MAP (map), &place, 1936, 1096);
  if (g_strcmp0 (show->up, "sky") == 0)
    fil_disc_map_set_up (FIL_DISC_MAP (map), FIL_DISC_UP_NORTH);
  if (g_strcmp0 (show->up, "picture") == 0)
    fil_disc_map_set_up (FIL_DISC_MAP (map), FIL_DISC_UP_PICTURE);

  gtk_window_set_default_size (GTK_WINDOW (window), width, height);
  adw_application_window_set_content (ADW_APPLICATION_WINDOW (window), box);
  gtk_window_present (GTK_WINDOW (window));
}

int
main (int   argc,
      char *argv[])
{
  Show show = {
    argc > 1 ? argv[1] : NULL, argc > 2 ? argv[2] : NULL, argc > 3 ? argv[3] : NULL,
    argc > 4 ? argv[4] : NULL,
  };
  g_autoptr (AdwApplication) application = g_object_new (
    ADW_TYPE_APPLICATION, "application-id", "io.github.filigree.ShowDisc",
    "resource-base-path", "/io/github/filigree/Filigree", "flags", G_APPLICATION_NON_UNIQUE, NULL);

  g_signal_connect (application, "activate", G_CALLBACK (activate_cb), &show);

  return g_application_run (G_APPLICATION (application), 1, argv);
}

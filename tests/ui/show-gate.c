/* show-gate.c: not a test: the gate's dialog over an empty window, to look at
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Usage: show-gate [RIG]. What is ticked opens nothing: there is no device. */

#include <stdlib.h>

#include <adwaita.h>

#include "fil-gate-dialog.h"

static void
activate_cb (GtkApplication *application,
             const char     *rig_path)
{
  GtkWidget *window = adw_application_window_new (application);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = rig_path != NULL ? fil_rig_load (rig_path, &error)
                                            : fil_rig_new_demo ();
  FilGateDialog *dialog = NULL;

  gtk_window_set_default_size (GTK_WINDOW (window), 1280, 800);
  gtk_window_present (GTK_WINDOW (window));
  if (rig != NULL)
    dialog = fil_gate_dialog_new (GTK_WINDOW (window), rig, "no device", &error);
  if (dialog == NULL)
    {
      g_printerr ("show-gate: %s\n", error->message);
      exit (EXIT_FAILURE);
    }
  gtk_window_present (GTK_WINDOW (dialog));
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (AdwApplication) application = g_object_new (
    ADW_TYPE_APPLICATION, "application-id", "io.github.filigree.ShowGate",
    "resource-base-path", "/io/github/filigree/Filigree", "flags", G_APPLICATION_NON_UNIQUE, NULL);

  g_signal_connect (application, "activate", G_CALLBACK (activate_cb),
                    argc > 1 ? argv[1] : NULL);

  return g_application_run (G_APPLICATION (application), 1, argv);
}

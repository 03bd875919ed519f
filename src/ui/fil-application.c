/* fil-application.c: the program with a window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-application.h"
#include "fil-window.h"

struct _FilApplication
{
  AdwApplication parent_instance;
};

G_DEFINE_FINAL_TYPE (FilApplication, fil_application, ADW_TYPE_APPLICATION)

static void
fil_application_activate (GApplication *application)
{
  gtk_window_present (GTK_WINDOW (fil_window_new (FIL_APPLICATION (application))));
}

static void
fil_application_class_init (FilApplicationClass *klass)
{
  G_APPLICATION_CLASS (klass)->activate = fil_application_activate;
}

static void
fil_application_init (FilApplication *self)
{
}

FilApplication *
fil_application_new (void)
{
  return g_object_new (FIL_TYPE_APPLICATION,
                       "application-id", FIL_APP_ID,
                       "flags", G_APPLICATION_NON_UNIQUE,
                       "resource-base-path", "/io/github/filigree/Filigree",
                       NULL);
}

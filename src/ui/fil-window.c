/* fil-window.c: the one window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-window.h"

struct _FilWindow
{
  AdwApplicationWindow parent_instance;
};

G_DEFINE_FINAL_TYPE (FilWindow, fil_window, ADW_TYPE_APPLICATION_WINDOW)

static void
fil_window_class_init (FilWindowClass *klass)
{
}

static void
fil_window_init (FilWindow *self)
{
  gtk_window_set_default_size (GTK_WINDOW (self), 1280, 800);
}

FilWindow *
fil_window_new (FilApplication *application)
{
  return g_object_new (FIL_TYPE_WINDOW, "application", application, NULL);
}

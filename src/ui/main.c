/* main.c: starts the window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <locale.h>

#include <glib/gi18n.h>

#include "fil-application.h"

int
main (int   argc,
      char *argv[])
{
  g_autoptr (FilApplication) application = NULL;

  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, FIL_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);

  application = fil_application_new ();

  return g_application_run (G_APPLICATION (application), argc, argv);
}

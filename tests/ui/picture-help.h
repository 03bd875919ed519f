/* picture-help.h: waiting and pointing, for the tests of a picture in a window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-picture.h"

static inline gboolean
late_cb (gpointer user_data)
{
  *(gboolean *) user_data = TRUE;

  return G_SOURCE_REMOVE;
}

static inline void
run_for (guint ms)
{
  gboolean late = FALSE;

  g_timeout_add (ms, late_cb, &late);
  while (!late)
    g_main_context_iteration (NULL, TRUE);
}

static inline gboolean
is_drawn (gpointer picture)
{
  return fil_picture_get_n_drawn (picture) > 0;
}

static inline gboolean
is_focused (gpointer window)
{
  return gtk_window_is_active (window);
}

/* Up to 10 s: machines that test are slow. */
static inline void
wait_until (gboolean (*condition) (gpointer object),
            gpointer   object)
{
  for (int i = 0; i < 500 && !condition (object); i++)
    run_for (20);
  g_assert_true (condition (object));
}

static inline void
xdotool (const char *command)
{
  g_autofree char *line = g_strconcat ("xdotool ", command, NULL);
  g_auto (GStrv) argv = g_strsplit (line, " ", -1);
  g_autoptr (GError) error = NULL;
  int status;

  g_spawn_sync (NULL, argv, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL, &status, &error);
  g_assert_no_error (error);
  g_assert_cmpint (status, ==, 0);
  run_for (150);
}

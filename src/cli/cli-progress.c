/* cli-progress.c: how far long work has got, on a terminal
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>
#include <unistd.h>

#include "cli.h"

#define INTERVAL_US 200000

/**
 * fil_cli_progress:
 * @what: a translated word or two, "measuring"
 * @done: pieces of @total
 *
 * Rewrites one line on standard error, a few times a second, when that is a
 * terminal, and wipes it when all is done. Main thread.
 */
void
fil_cli_progress (const char *what,
                  guint64     done,
                  guint64     total)
{
  static gint64 last_us;
  gint64 now_us = g_get_monotonic_time ();

  if (!isatty (STDERR_FILENO))
    return;

  if (done >= total)
    {
      fputs ("\r\033[K", stderr);
      last_us = 0;
    }
  else if (now_us - last_us >= INTERVAL_US)
    {
      fprintf (stderr, "\r%s %" G_GUINT64_FORMAT " / %" G_GUINT64_FORMAT "\033[K", what, done,
               total);
      last_us = now_us;
    }
}

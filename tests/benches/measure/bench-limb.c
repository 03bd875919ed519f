/* bench-limb.c: how long it takes to find the limb, on one thread
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench-limb FILE WIDTH HEIGHT RADIUS ROUNDS: FILE holds native 16-bit counts,
 * the top row first. Prints one JSON object: the best of the rounds in ms of
 * the thread's own time, and the centre (FITS pixels). */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "fil-limb.h"

static double
now_ms (void)
{
  struct timespec t;

  clock_gettime (CLOCK_THREAD_CPUTIME_ID, &t);

  return 1e3 * (double) t.tv_sec + 1e-6 * (double) t.tv_nsec;
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
  g_autoptr (FilFrame) frame = NULL;
  g_autofree char *bytes = NULL;
  double best = 1e9;
  gsize length;
  FilLimb limb = { 0 };

  if (argc != 6 || !g_file_get_contents (argv[1], &bytes, &length, NULL))
    return 2;
  frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), atoi (argv[2]), atoi (argv[3]));
  if (frame == NULL || length != frame->size)
    return 2;
  memcpy ((guint8 *) frame->data, bytes, length);

  /* The first round makes buffers and tables. */
  for (int i = 0; i <= atoi (argv[5]); i++)
    {
      double begin = now_ms ();

      fil_limb_finder_find (finder, frame, g_ascii_strtod (argv[4], NULL), FALSE, 0.0, &limb);
      if (i > 0)
        best = MIN (best, now_ms () - begin);
    }
  printf ("{\"value\": %.5f, \"seen\": %s, \"x\": %.4f, \"y\": %.4f, \"error\": %.4f}\n", best,
          limb.seen ? "true" : "false", limb.centre_x, limb.centre_y, limb.error_px);

  return 0;
}

/* bench-drift.c: how long it takes to follow a frame of a drifting picture
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench-drift FILE ROW WIDTH HEIGHT STEP FRAMES: FILE holds native 16-bit
 * counts, rows of ROW. Frames of WIDTH are cut from it, each STEP columns
 * further to the right, so that the picture moves to the left. Prints one JSON
 * object: ms a frame of the thread's own time, and pixels a frame as found. */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "fil-drift.h"

static double
now_ms (void)
{
  struct timespec t;

  clock_gettime (CLOCK_THREAD_CPUTIME_ID, &t);

  return 1e3 * (double) t.tv_sec + 1e-6 * (double) t.tv_nsec;
}

static void
release (FilFrame *frame,
         gpointer  user_data)
{
}

static FilFrame *
cut (const char *bytes,
     int         row,
     int         first,
     int         width,
     int         height)
{
  FilFrame *frame = fil_frame_new (release, NULL);

  frame->format = fil_pixel_format_from_name ("Y16");
  frame->width = width;
  frame->height = height;
  frame->stride = 2 * (gsize) row;
  frame->data = (const guint8 *) bytes + 2 * first;
  frame->size = frame->stride * (gsize) (height - 1) + 2 * (gsize) width;

  return frame;
}

int
main (int   argc,
      char *argv[])
{
  g_autofree char *bytes = NULL;
  g_autoptr (FilDriftTracker) tracker = fil_drift_tracker_new ();
  FilDriftTrack track;
  FilDriftTerms terms = { 0.0, 15.0, FALSE, NAN };
  FilDrift drift;
  gsize length;
  int row, width, height, step, n;
  double begin;

  if (argc != 7 || !g_file_get_contents (argv[1], &bytes, &length, NULL))
    return 2;
  row = atoi (argv[2]);
  width = atoi (argv[3]);
  height = atoi (argv[4]);
  step = atoi (argv[5]);
  n = atoi (argv[6]);
  if (width < 32 || height < 32 || step < 1 || n < 1 || width + step * (n - 1) > row ||
      length != 2 * (gsize) row * (gsize) height)
    return 2;

  begin = now_ms ();
  for (int i = 0; i < n; i++)
    {
      g_autoptr (FilFrame) frame = cut (bytes, row, i * step, width, height);

      if (!fil_drift_tracker_add (tracker, frame, i / 50.0, NULL))
        return 1;
    }
  fil_drift_tracker_flush (tracker);
  track.points = fil_drift_tracker_get_points (tracker, &track.n_points);
  if (!fil_drift_solve (&track, 1, &terms, &drift, NULL))
    return 1;
  printf ("{\"value\": %.5f, \"step\": %.6f}\n", (now_ms () - begin) / n,
          drift.speed_px_per_s / 50.0);

  return 0;
}

/* limb-of.c: finds the limb in each frame of a FITS file, for reference_limb.py
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * limb-of FILE RADIUS known|fit BLACK: one JSON object a frame. Pictures of
 * floating point or of signed counts are scaled so that their largest value
 * is 60000 and 0 stays 0. */

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fil-clip.h"
#include "limb-print.h"

static FilFrame *
make_frame (FilClip *clip,
            guint64  index,
            GError **error)
{
  int width = fil_clip_get_width (clip), height = fil_clip_get_height (clip);
  gsize n = (gsize) width * (gsize) height;
  g_autofree double *pixels = g_new (double, n);
  double most = 0.0;
  FilFrame *frame;

  if (!fil_clip_read_double (clip, index, pixels, error))
    return NULL;

  frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), width, height);
  frame->bottom_up = TRUE;
  for (gsize i = 0; i < n; i++)
    most = isfinite (pixels[i]) ? MAX (most, pixels[i]) : most;
  for (gsize i = 0; i < n; i++)
    {
      double scaled = isfinite (pixels[i]) && pixels[i] > 0.0 ? 60000.0 * pixels[i] / most : 0.0;
      guint count = (guint) lrint (scaled);

      ((guint8 *) frame->data)[2 * i] = count & 255;
      ((guint8 *) frame->data)[2 * i + 1] = (guint8) (count >> 8);
    }

  return frame;
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;

  if (argc != 5 || (clip = fil_clip_open (argv[1], &error)) == NULL)
    {
      fprintf (stderr, "limb-of: %s\n", error != NULL ? error->message
                                                      : "FILE RADIUS known|fit BLACK");
      return 2;
    }

  for (guint64 i = 0; i < fil_clip_get_n_frames (clip); i++)
    {
      g_autoptr (FilFrame) frame = fil_clip_is_integer (clip) ? fil_clip_read_frame (clip, i, &error)
                                                              : make_frame (clip, i, &error);
      FilLimb limb;

      if (frame == NULL)
        {
          fprintf (stderr, "limb-of: %s\n", error->message);
          return 1;
        }
      fil_limb_finder_find (finder, frame, g_ascii_strtod (argv[2], NULL),
                            strcmp (argv[3], "fit") == 0, g_ascii_strtod (argv[4], NULL), &limb);
      printf ("{");
      limb_print (&limb);
      printf ("}\n");
    }

  return 0;
}

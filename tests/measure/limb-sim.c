/* limb-sim.c: finds the limb of the simulated Sun, for limb_sim.py
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * limb-sim SOURCE RADIUS BLACK FRAMES RIG: one JSON object a frame, with the
 * simulator's truth; RIG may be "-": the demo's. */

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "fil-source.h"
#include "limb-print.h"

typedef struct
{
  pthread_mutex_t lock;
  pthread_cond_t  wake;
  guint           n, wanted;
  FilFrame       *frames[64];
} Catch;

static void
on_frame (FilSource *source,
          FilFrame  *frame,
          gpointer   user_data)
{
  Catch *got = user_data;

  pthread_mutex_lock (&got->lock);
  if (got->n < got->wanted)
    got->frames[got->n++] = fil_frame_ref (frame);
  pthread_cond_signal (&got->wake);
  pthread_mutex_unlock (&got->lock);
}

static gboolean
take (const char *name,
      FilRig     *rig,
      Catch      *got,
      GError    **error)
{
  static const FilSourceSink sink = { .frame = on_frame };
  FilSourceOptions options = { .rig = rig };
  g_autoptr (FilSource) source = fil_source_open (name, &options, error);

  if (source == NULL || !fil_source_start (source, NULL, &sink, got, error))
    return FALSE;
  pthread_mutex_lock (&got->lock);
  while (got->n < got->wanted)
    pthread_cond_wait (&got->wake, &got->lock);
  pthread_mutex_unlock (&got->lock);
  fil_source_stop (source);

  return TRUE;
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
  g_autoptr (FilRig) rig = NULL;
  g_autoptr (GError) error = NULL;
  Catch got = { .lock = PTHREAD_MUTEX_INITIALIZER, .wake = PTHREAD_COND_INITIALIZER };

  if (argc != 6)
    return 2;
  got.wanted = (guint) CLAMP (atoi (argv[4]), 1, 64);
  rig = strcmp (argv[5], "-") == 0 ? fil_rig_new_demo () : fil_rig_load (argv[5], &error);
  if (rig == NULL || !take (argv[1], rig, &got, &error))
    {
      fprintf (stderr, "limb-sim: %s\n", error->message);
      return 1;
    }

  for (guint i = 0; i < got.n; i++)
    {
      const FilFrame *frame = got.frames[i];
      FilLimb limb;

      fil_limb_finder_find (finder, frame, g_ascii_strtod (argv[2], NULL), FALSE,
                            g_ascii_strtod (argv[3], NULL), &limb);
      printf ("{\"width\": %d, \"height\": %d, \"shift_x\": %.4f, \"shift_y\": %.4f, "
              "\"r0_mm\": %.3f, \"transparency\": %.4f, ", frame->width, frame->height,
              frame->truth.shift_x_px, frame->truth.shift_y_px, frame->truth.r0_mm,
              frame->truth.transparency);
      limb_print (&limb);
      printf ("}\n");
      fil_frame_unref (got.frames[i]);
    }

  return 0;
}

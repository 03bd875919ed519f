/* fil-sim-ring.c: frames rendered beforehand, handed out without a copy
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-sim-parallel.h"
#include "fil-sim-renderer.h"
#include "fil-sim-ring.h"

#define RING_BYTES    ((gsize) 256 << 20)
#define MOST_BYTES    ((gsize) 1536 << 20)
#define MOST_WORK_NS  1.6e9         /* of rendering at the start, on one processor */
#define FRAME_NS      2e6           /* roughly, for any frame, and more for its size */
#define SAMPLE_NS     11.5
#define LEAST_FRAMES  32
#define MOST_FRAMES   1024
#define MAX_RENDERERS 4

struct _FilSimRing
{
  int            refs;       /* atomic */
  FilSimView     view;
  guint          n_frames;
  gsize          frame_bytes;
  guint8        *pixels;
  FilSimMoment  *moments;
  FilFrameTruth *truths;
};

static gsize
frame_bytes (const FilSimView *view)
{
  return fil_pixel_format_min_stride (view->format, view->width) * (gsize) view->height;
}

/**
 * fil_sim_ring_choose_length:
 *
 * Returns: frames that a ring should have, or 0 where it would take more
 *   memory than is decent
 */
guint
fil_sim_ring_choose_length (const FilSimStage *stage)
{
  const FilSimView *view = &stage->view;
  gsize bytes = frame_bytes (view);
  double samples = (double) view->width * view->height * stage->oversampling * stage->oversampling;
  double work_ns = FRAME_NS + SAMPLE_NS * samples *
                   (fil_sim_stage_is_gradual (&stage->settings) ? 2.0 : 1.0);
  gsize n = MIN (RING_BYTES / bytes, (gsize) (MOST_WORK_NS / work_ns));

  n = CLAMP (n, LEAST_FRAMES, MOST_FRAMES);

  return n * bytes > MOST_BYTES ? 0 : (guint) n;
}

typedef struct
{
  FilSimRing        *ring;
  const FilSimStage *stage;
  const int         *stopping;
  int                n_renderers;
} Rendering;

static void
render_share (int      index,
              gpointer user_data)
{
  const Rendering *rendering = user_data;
  FilSimRing *ring = rendering->ring;
  g_autoptr (FilSimRenderer) renderer = fil_sim_renderer_new (rendering->stage);

  for (guint i = (guint) index; i < ring->n_frames; i += (guint) rendering->n_renderers)
    {
      if (__atomic_load_n (rendering->stopping, __ATOMIC_RELAXED) != 0)
        return;
      fil_sim_renderer_render (renderer, &ring->moments[i], ring->pixels + i * ring->frame_bytes,
                               &ring->truths[i]);
    }
}

/**
 * fil_sim_ring_render:
 * @moments: (array length=n_frames): what the frames are to show
 * @stopping: (nullable): read atomically; not 0: give up soon
 *
 * Renders on all processors. The frames don't depend on how many there are.
 *
 * Returns: (transfer full) (nullable): the ring, or %NULL without memory; its
 *   frames mean nothing after @stopping was set
 */
FilSimRing *
fil_sim_ring_render (const FilSimStage  *stage,
                     const FilSimMoment *moments,
                     guint               n_frames,
                     const int          *stopping)
{
  FilSimRing *ring = g_new0 (FilSimRing, 1);
  Rendering rendering = { ring, stage, stopping, 0 };

  ring->refs = 1;
  ring->view = stage->view;
  ring->n_frames = n_frames;
  ring->frame_bytes = frame_bytes (&stage->view);
  ring->moments = g_memdup2 (moments, n_frames * sizeof *moments);
  ring->truths = g_new0 (FilFrameTruth, n_frames);
  ring->pixels = g_try_malloc (n_frames * ring->frame_bytes);
  if (ring->pixels == NULL)
    {
      fil_sim_ring_unref (ring);
      return NULL;
    }

  rendering.n_renderers = (int) MIN (CLAMP (g_get_num_processors (), 1, MAX_RENDERERS), n_frames);
  fil_sim_parallel (rendering.n_renderers, render_share, &rendering);

  return ring;
}

void
fil_sim_ring_unref (FilSimRing *ring)
{
  if (ring == NULL || __atomic_sub_fetch (&ring->refs, 1, __ATOMIC_ACQ_REL) > 0)
    return;

  g_free (ring->pixels);
  g_free (ring->moments);
  g_free (ring->truths);
  g_free (ring);
}

guint
fil_sim_ring_get_length (const FilSimRing *ring)
{
  return ring->n_frames;
}

static void
end_frame (FilFrame *frame,
           gpointer  user_data)
{
  fil_sim_ring_unref (user_data);
}

/* Fills in what follows from view and moment. */
void
fil_sim_frame_describe (FilFrame           *frame,
                        const FilSimView   *view,
                        const FilSimMoment *moment)
{
  frame->format = view->format;
  frame->width = view->width;
  frame->height = view->height;
  frame->stride = fil_pixel_format_min_stride (view->format, view->width);
  frame->sequence = moment->frame;
  frame->stamp = FIL_STAMP_EXPOSURE_START;
  frame->exposure_ms = moment->exposure_ms;
  frame->gain = moment->gain_db;
}

/* Returns: (transfer full): frame @index, its pixels in the ring's memory;
 * time and sequence are the caller's to fill */
FilFrame *
fil_sim_ring_make_frame (FilSimRing *ring,
                         guint       index)
{
  FilFrame *frame = fil_frame_new (end_frame, ring);

  __atomic_add_fetch (&ring->refs, 1, __ATOMIC_RELAXED);
  fil_sim_frame_describe (frame, &ring->view, &ring->moments[index]);
  frame->data = ring->pixels + index * ring->frame_bytes;
  frame->size = ring->frame_bytes;
  frame->truth = ring->truths[index];

  return frame;
}

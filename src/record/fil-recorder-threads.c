/* fil-recorder-threads.c: blocks measured, and written
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-figures.h"
#include "fil-recorder-private.h"
#include "fil-sharpness.h"

/* How long the writing thread sleeps at most when nothing comes. */
#define PATIENCE_MS 500

/* Frames handed to the writer at once: few, so that blocks come back soon. */
#define BATCH 8

/* The depth is learnt from each of the first frames, then now and then: full
 * pixels may come late. Rows are taken all over the picture. */
#define PROBE_FIRST 4
#define PROBE_EVERY 16
#define PROBE_STRIPS 8
#define PROBE_STRIP_ROWS 8

#define NO_RIG_CUTOFF 0.5  /* cycles a pixel */

typedef struct
{
  FilRecorder       *recorder;
  FilFrame          *frame;       /* a view of the block in hand */
  FilFigureMeter    *figures;
  FilSharpnessMeter *sharpness;
  FilDepthProbe     *probe;
  FilRect            patch;
  gboolean           has_patch;
  uint16_t          *strip;
  guint64            n_frames;
} Measurer;

static void
set_up (Measurer *m)
{
  FilRecorder *r = m->recorder;
  FilFrame *frame = fil_frame_new (NULL, NULL);
  double cutoff = r->info->sharp_cutoff_cycles_per_px;
  double black = r->info->black_level;

  frame->format = r->stored;
  frame->width = r->info->width;
  frame->height = r->info->height;
  frame->stride = fil_pixel_format_min_stride (frame->format, frame->width);
  frame->size = r->block_bytes;
  frame->bottom_up = TRUE;

  m->frame = frame;
  m->strip = g_new (uint16_t, (gsize) frame->width * PROBE_STRIP_ROWS);
  m->has_patch = fil_sharpness_default_patch (frame->width, frame->height, &m->patch);
  fil_sharpness_meter_set (m->sharpness, isfinite (cutoff) ? cutoff : NO_RIG_CUTOFF,
                           isfinite (black) ? black : 0.0);
  m->probe = fil_depth_probe_new (r->format);
}

static void
learn_depth (Measurer *m)
{
  int height = m->frame->height;
  int rows = MIN (PROBE_STRIP_ROWS, height);
  FilDepth depth;

  for (int i = 0; i < PROBE_STRIPS; i++)
    {
      FilRect strip = { 0, (int) ((gint64) (height - rows) * i / (PROBE_STRIPS - 1)),
                        m->frame->width, rows };

      if (fil_frame_unpack (m->frame, &strip, m->strip, NULL))
        fil_depth_probe_add (m->probe, m->strip,
                             (gsize) strip.width * (gsize) strip.height);
    }

  depth = fil_depth_probe_get (m->probe);
  fil_figure_meter_set_full (m->figures, depth.full);
  pthread_mutex_lock (&m->recorder->lock);
  m->recorder->depth = depth;
  pthread_mutex_unlock (&m->recorder->lock);
}

static void
measure_block (Measurer     *m,
               const guint8 *block,
               FilClipRow   *row)
{
  FilFigures figures;
  FilSharpness sharpness;

  if (m->frame == NULL)
    set_up (m);

  m->frame->data = block;
  if (m->n_frames < PROBE_FIRST || m->n_frames % PROBE_EVERY == 0)
    learn_depth (m);
  m->n_frames++;

  if (fil_figure_meter_measure (m->figures, m->frame, NULL, FIL_FIGURES_BASIC, &figures,
                                NULL))
    {
      row->mean = figures.mean;
      row->full_fraction = figures.full_fraction;
    }
  if (m->has_patch &&
      fil_sharpness_meter_measure (m->sharpness, m->frame, &m->patch, &sharpness, NULL))
    row->sharpness = sharpness.percent;
}

/* The measuring thread. */
gpointer
fil_recorder_measure (gpointer recorder)
{
  FilRecorder *r = recorder;
  Measurer m = { r, .figures = fil_figure_meter_new (),
                 .sharpness = fil_sharpness_meter_new () };
  FilClipRow *row = NULL;
  guint8 *block;

  while ((block = fil_block_ring_next (r->ring, &row)) != NULL)
    {
      measure_block (&m, block, row);
      fil_block_ring_measured (r->ring);
    }

  g_clear_pointer (&m.frame, fil_frame_unref);
  g_clear_pointer (&m.probe, fil_depth_probe_free);
  fil_sharpness_meter_free (m.sharpness);
  fil_figure_meter_free (m.figures);
  g_free (m.strip);

  return NULL;
}

/* What the journal is to know, should the computer stop now. */
static void
tell_books (FilRecorder *r)
{
  FilRecorderStatus status;
  FilDepth depth;

  pthread_mutex_lock (&r->lock);
  status = r->status;
  depth = r->depth;
  pthread_mutex_unlock (&r->lock);

  fil_clip_writer_set_depth (r->writer, &depth);
  fil_clip_writer_set_losses (r->writer, status.lost, status.source_gaps);
}

static gboolean
write_blocks (FilRecorder      *r,
              const guint8     *blocks,
              const FilClipRow *rows,
              guint             n)
{
  guint64 written;
  gboolean ok;

  if (r->writer == NULL)
    r->writer = fil_clip_writer_new (r->options.path, r->info, r->utc_begin_ns,
                                     r->options.replace, &r->failure);
  if (r->writer == NULL)
    return FALSE;

  tell_books (r);
  ok = fil_clip_writer_append (r->writer, blocks, rows, n, &r->failure);
  written = fil_clip_writer_get_frames (r->writer);
  pthread_mutex_lock (&r->lock);
  r->status.written = written;
  r->status.bytes = written * r->block_bytes;
  pthread_mutex_unlock (&r->lock);

  return ok;
}

/* The writing thread. The writer flushes by itself, at least twice a second. */
gpointer
fil_recorder_write (gpointer recorder)
{
  FilRecorder *r = recorder;
  const guint8 *blocks = NULL;
  const FilClipRow *rows = NULL;

  while (!fil_block_ring_is_drained (r->ring))
    {
      guint n = fil_block_ring_collect (r->ring, BATCH, PATIENCE_MS, &blocks, &rows);

      if (n > 0 && !write_blocks (r, blocks, rows, n))
        {
          fil_block_ring_break (r->ring);
          break;
        }
      fil_block_ring_release (r->ring, n);
    }

  return NULL;
}

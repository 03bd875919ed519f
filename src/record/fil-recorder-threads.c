/* fil-recorder-threads.c: blocks measured, and written
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-figures.h"
#include "fil-recorder-private.h"
#include "fil-sharpness.h"

/* A flush syncs twice; half a second is the most that a crash may cost. */
#define FLUSH_INTERVAL_MS 400

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
  r->probe = fil_depth_probe_new (r->format);
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
        fil_depth_probe_add (m->recorder->probe, m->strip,
                             (gsize) strip.width * (gsize) strip.height);
    }

  depth = fil_depth_probe_get (m->recorder->probe);
  fil_figure_meter_set_full (m->figures, depth.full);
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
  fil_sharpness_meter_free (m.sharpness);
  fil_figure_meter_free (m.figures);
  g_free (m.strip);

  return NULL;
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

  ok = fil_clip_writer_append (r->writer, blocks, rows, n, &r->failure);
  written = fil_clip_writer_get_frames (r->writer);
  pthread_mutex_lock (&r->lock);
  r->status.written = written;
  r->status.bytes = written * r->block_bytes;
  pthread_mutex_unlock (&r->lock);

  return ok;
}

static guint
ms_since (gint64 time_us)
{
  return (guint) ((g_get_monotonic_time () - time_us) / 1000);
}

static gboolean
flush_when_due (FilRecorder *r,
                gint64      *flushed_us,
                guint64     *flushed_frames)
{
  guint64 written;

  if (r->writer == NULL || ms_since (*flushed_us) < FLUSH_INTERVAL_MS)
    return TRUE;

  written = fil_clip_writer_get_frames (r->writer);
  *flushed_us = g_get_monotonic_time ();
  if (written == *flushed_frames)
    return TRUE;
  *flushed_frames = written;

  return fil_clip_writer_flush (r->writer, &r->failure);
}

/* The writing thread. */
gpointer
fil_recorder_write (gpointer recorder)
{
  FilRecorder *r = recorder;
  gint64 flushed_us = g_get_monotonic_time ();
  guint64 flushed_frames = 0;
  const guint8 *blocks = NULL;
  const FilClipRow *rows = NULL;

  fil_block_ring_touch (r->ring);
  while (!fil_block_ring_is_drained (r->ring))
    {
      guint waited_ms = MIN (ms_since (flushed_us), FLUSH_INTERVAL_MS);
      guint n = fil_block_ring_collect (r->ring, BATCH, FLUSH_INTERVAL_MS - waited_ms,
                                        &blocks, &rows);
      gboolean ok = n == 0 || write_blocks (r, blocks, rows, n);

      fil_block_ring_release (r->ring, n);
      if (!ok || !flush_when_due (r, &flushed_us, &flushed_frames))
        {
          fil_block_ring_break (r->ring);
          break;
        }
    }

  return NULL;
}

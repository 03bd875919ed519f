/* fil-v4l2-stamp.c: a driver's frame numbers and stamps, made sense of
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-v4l2-stamp.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)

/**
 * fil_v4l2_count_next:
 * @number: the driver's 32 bits, which wrap
 * @missed: (out): frames that the driver lost just before this one
 *
 * Returns: a number that goes on where the driver's wraps. A driver that
 *   doesn't count, or begins again, is taken to have lost nothing.
 */
guint64
fil_v4l2_count_next (FilV4l2Count *count,
                     guint32       number,
                     guint64      *missed)
{
  guint32 step = number - count->last;

  if (!count->begun)
    count->sequence = number;
  else if (step == 0 || step > G_MAXINT32)
    step = 1, count->sequence++;
  else
    count->sequence += step;

  *missed = count->begun ? step - 1 : 0;
  count->begun = TRUE;
  count->last = number;

  return count->sequence;
}

/**
 * fil_v4l2_stamp:
 * @now_ns: monotonic; stands in for a stamp of another clock
 * @exposure_ms: NaN where unknown
 * @frame: gets time, clock and stamp
 *
 * The driver's stamp is that of the end of the frame, or of the start of the
 * exposure by its flag. From the end and a known exposure follows the start;
 * the time that the sensor takes to read out is unknown and left out.
 */
void
fil_v4l2_stamp (const struct v4l2_buffer *buffer,
                gint64                    now_ns,
                double                    exposure_ms,
                FilFrame                 *frame)
{
  gboolean is_monotonic =
    (buffer->flags & V4L2_BUF_FLAG_TIMESTAMP_MASK) == V4L2_BUF_FLAG_TIMESTAMP_MONOTONIC;
  gboolean is_start =
    (buffer->flags & V4L2_BUF_FLAG_TSTAMP_SRC_MASK) == V4L2_BUF_FLAG_TSTAMP_SRC_SOE;
  gboolean is_sane = buffer->timestamp.tv_sec >= 0 &&
                     buffer->timestamp.tv_sec < G_MAXINT64 / NS_PER_S - 1 &&
                     buffer->timestamp.tv_usec >= 0 && buffer->timestamp.tv_usec < 1000000;

  frame->clock = FIL_CLOCK_MONOTONIC;
  frame->time_ns = now_ns;
  if (is_monotonic && is_sane)
    frame->time_ns = (gint64) buffer->timestamp.tv_sec * NS_PER_S +
                     (gint64) buffer->timestamp.tv_usec * 1000;
  else
    is_start = FALSE;

  if (is_start)
    frame->stamp = FIL_STAMP_FRAME_START;
  else if (isfinite (exposure_ms))
    {
      frame->time_ns -= (gint64) round (exposure_ms * 1e6);
      frame->stamp = FIL_STAMP_EXPOSURE_START;
    }
  else
    frame->stamp = FIL_STAMP_FRAME_END;
}

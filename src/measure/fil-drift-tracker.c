/* fil-drift-tracker.c: follows a picture that wanders through the field
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every frame, made small, is compared with a reference, an earlier frame. A
 * window of the frame follows the Sun: it is cut where the reference's part
 * is expected, so that both hold the same piece of the Sun and neither the
 * window nor its borders pull the result. What doesn't move (dust, hot
 * pixels, vignetting) then lies at a shift of its own, as far away as the
 * picture has moved. To keep it far away, a reference serves while the picture
 * moves over the second half of its way; its successor is taken at the middle
 * of that way. Positions hang on each other through the few references alone;
 * until the successor serves, every frame is compared with both, since the air
 * distorts the one frame that it is as well.
 *
 * The first frames are kept until the motion is known: fil-drift-start.c. */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-drift-private.h"

#define MOST_PIXELS  150000.0  /* of a small picture */
#define WINDOW_SHARE 0.72      /* of the small picture's sides */

FilDriftTracker *
fil_drift_tracker_new (void)
{
  FilDriftTracker *tracker = g_new0 (FilDriftTracker, 1);

  tracker->points = g_array_new (FALSE, FALSE, sizeof (FilDriftPoint));
  tracker->early = g_array_new (FALSE, FALSE, sizeof (FilDriftEarly));
  g_array_set_clear_func (tracker->early, fil_drift_clear_early);

  return tracker;
}

/**
 * fil_drift_tracker_wait_for_motion:
 *
 * From now on frames of a picture at rest are forgotten: the first point is of
 * a frame about when motion began. Before any frame is added.
 */
void
fil_drift_tracker_wait_for_motion (FilDriftTracker *tracker)
{
  g_return_if_fail (tracker != NULL);

  tracker->patient = TRUE;
}

void
fil_drift_tracker_free (FilDriftTracker *tracker)
{
  if (tracker == NULL)
    return;

  fil_spectrum_free (tracker->reference.spectrum);
  fil_spectrum_free (tracker->next.spectrum);
  fil_spectrum_free (tracker->spectrum);
  fil_shift_meter_free (tracker->meter);
  fil_small_picture_clear (&tracker->small);
  g_clear_pointer (&tracker->early, g_array_unref);
  g_array_unref (tracker->points);
  g_free (tracker->pixels);
  g_free (tracker->moving_part);
  g_free (tracker->fixed);
  g_free (tracker);
}

/* Even, and without large prime factors. */
static int
choose_side (int most)
{
  for (int side = most / 2 * 2; side > 16; side -= 2)
    {
      int rest = side;

      for (int factor = 2; factor <= 5; factor++)
        while (rest % factor == 0)
          rest /= factor;
      if (rest == 1)
        return side;
    }

  return 16;
}

static gboolean
prepare (FilDriftTracker  *tracker,
         const FilFrame   *frame,
         GError          **error)
{
  if (!fil_small_picture_init (&tracker->small, frame, MOST_PIXELS, error))
    return FALSE;

  tracker->format = frame->format;
  tracker->width = choose_side ((int) (WINDOW_SHARE * tracker->small.width));
  tracker->height = choose_side ((int) (WINDOW_SHARE * tracker->small.height));
  tracker->meter = fil_shift_meter_new (tracker->width, tracker->height);
  tracker->spectrum = fil_spectrum_new (tracker->meter);
  tracker->reference.spectrum = fil_spectrum_new (tracker->meter);
  tracker->next.spectrum = fil_spectrum_new (tracker->meter);
  tracker->pixels = g_new (float, fil_drift_n_pixels (tracker));
  tracker->moving_part = g_new (float, fil_drift_n_pixels (tracker));
  tracker->fixed = g_new0 (float, fil_drift_n_pixels (tracker));

  return TRUE;
}

/* All in small pixels; what wasn't matched doesn't tell the next place. */
void
fil_drift_add_point (FilDriftTracker *tracker,
                     double           time_s,
                     double           level,
                     double           x,
                     double           y,
                     double           certainty)
{
  const int bin = tracker->small.bin;
  FilDriftPoint point = { time_s, x * bin, y * bin, certainty, level };

  g_array_append_val (tracker->points, point);
  if (certainty >= FIL_DRIFT_LEAST_CERTAINTY)
    fil_drift_line_add (&tracker->line, time_s, x, y);
}

/* Goes on to the next reference where this one's way is at its end. */
static void
choose_reference (FilDriftTracker *tracker,
                  double           x,
                  double           y)
{
  int column, row;
  double beyond = fil_drift_place_window (tracker, &tracker->reference, x, y, &column, &row);

  if (tracker->next.set && beyond > FIL_DRIFT_LEAST_STEP)
    {
      FilDriftReference used = tracker->reference;

      tracker->reference = tracker->next;
      if (tracker->reference.n_sums > 0)
        {
          tracker->reference.x += tracker->reference.sum_x / tracker->reference.n_sums;
          tracker->reference.y += tracker->reference.sum_y / tracker->reference.n_sums;
        }
      tracker->next = used;
      tracker->next.set = FALSE;
    }
}

/* By how much the successor's place differs from what this one frame tells. */
static void
correct_next (FilDriftTracker *tracker,
              const float     *pixels,
              double           x,
              double           y)
{
  double at_x = x, at_y = y, certainty;

  if (!tracker->next.set ||
      hypot (x - tracker->next.x, y - tracker->next.y) < FIL_DRIFT_CERTAIN_TRAVEL)
    return;

  fil_drift_compare (tracker, &tracker->next, pixels, &at_x, &at_y, &certainty);
  if (certainty < FIL_DRIFT_LEAST_CERTAINTY)
    return;
  tracker->next.sum_x += x - at_x;
  tracker->next.sum_y += y - at_y;
  tracker->next.n_sums++;
}

/* The successor is taken at the middle of the way; after a gap, at its end. */
static void
prepare_next (FilDriftTracker *tracker,
              const float     *pixels,
              double           x,
              double           y)
{
  double travel = hypot (x - tracker->reference.x, y - tracker->reference.y);
  double way_x, way_y, at_x, at_y, vx, vy;

  if (travel > FIL_DRIFT_CERTAIN_TRAVEL)
    tracker->moving = TRUE;
  if (!tracker->moving || tracker->next.set)
    return;

  fil_drift_line_get (&tracker->line, tracker->line.time_s, &at_x, &at_y, &vx, &vy);
  fil_drift_find_way (tracker, vx, vy, &way_x, &way_y);
  if (travel > 0.5 * hypot (way_x, way_y))
    fil_drift_refer (tracker, &tracker->next, pixels, x, y, vx, vy, -0.5);
}

static void
follow (FilDriftTracker *tracker,
        const float     *whole,
        double           time_s,
        double           level)
{
  double x, y, vx, vy, certainty;
  const float *pixels;

  if (tracker->n_fixed > 0)
    fil_drift_add_fixed (tracker, whole);
  pixels = fil_drift_take_fixed_off (tracker, whole);

  fil_drift_line_get (&tracker->line, time_s, &x, &y, &vx, &vy);
  choose_reference (tracker, x, y);
  fil_drift_compare (tracker, &tracker->reference, pixels, &x, &y, &certainty);
  fil_drift_add_point (tracker, time_s, level, x, y, certainty);
  if (certainty >= FIL_DRIFT_LEAST_CERTAINTY)
    {
      correct_next (tracker, pixels, x, y);
      prepare_next (tracker, pixels, x, y);
    }
}

static gboolean
check_time (const FilDriftTracker *tracker,
            double                 time_s)
{
  double last = -INFINITY;

  if (tracker->early != NULL && tracker->early->len > 0)
    last = fil_drift_get_early (tracker, tracker->early->len - 1)->time_s;
  else if (tracker->points->len > 0)
    last = g_array_index (tracker->points, FilDriftPoint, tracker->points->len - 1).time_s;

  return isfinite (time_s) && time_s > last;
}

/**
 * fil_drift_tracker_add:
 * @frame: of the first one's size and format
 * @time_s: of the frame, by any clock; later than the one before
 * @error: return location
 *
 * Takes a few milliseconds; more where the start is worked through.
 *
 * Returns: %FALSE where the frame was passed over: with %FIL_FRAME_ERROR where
 *   it can't be read, with %FIL_DRIFT_ERROR where its time or size is amiss
 */
gboolean
fil_drift_tracker_add (FilDriftTracker  *tracker,
                       const FilFrame   *frame,
                       double            time_s,
                       GError          **error)
{
  double level;

  g_return_val_if_fail (tracker != NULL && frame != NULL, FALSE);

  if (!check_time (tracker, time_s))
    {
      g_set_error_literal (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_TIME,
                           _("the frames’ times don’t go forward"));
      return FALSE;
    }
  if (MIN (frame->width, frame->height) < FIL_DRIFT_LEAST_SIDE ||
      (tracker->format != NULL &&
       (frame->format != tracker->format || frame->width != tracker->small.frame_width ||
        frame->height != tracker->small.frame_height)))
    {
      g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_SIZE,
                   _("frames of one size from %d pixels on are needed"), FIL_DRIFT_LEAST_SIDE);
      return FALSE;
    }
  if (tracker->format == NULL && !prepare (tracker, frame, error))
    return FALSE;
  if (!fil_small_picture_make (&tracker->small, frame, tracker->pixels, &level, error))
    return FALSE;

  if (tracker->early != NULL)
    fil_drift_keep (tracker, tracker->pixels, time_s, level);
  else
    follow (tracker, tracker->pixels, time_s, level);

  return TRUE;
}

/* No more frames will come for now: those that were kept are followed. */
void
fil_drift_tracker_flush (FilDriftTracker *tracker)
{
  g_return_if_fail (tracker != NULL);

  if (tracker->early != NULL && tracker->early->len >= 2 && !tracker->patient)
    fil_drift_start (tracker);
}

/* Returns: whether the first frames have been worked through */
gboolean
fil_drift_tracker_has_begun (const FilDriftTracker *tracker)
{
  return tracker->early == NULL;
}

/**
 * fil_drift_tracker_get_points:
 * @n_points: (out): frames that were followed
 *
 * Returns: a point a frame, in time order; valid until another one is added
 */
const FilDriftPoint *
fil_drift_tracker_get_points (const FilDriftTracker *tracker,
                              guint                 *n_points)
{
  *n_points = tracker->points->len;

  return (const FilDriftPoint *) (gconstpointer) tracker->points->data;
}

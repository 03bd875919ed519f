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
 * The first frames are kept until the motion is known, since near the first
 * reference what moves and what doesn't can't be told apart. */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-drift.h"
#include "fil-shift-meter.h"
#include "fil-small-picture.h"

#define MOST_PIXELS     150000.0  /* of a small picture */
#define WINDOW_SHARE    0.72      /* of the small picture's sides */
#define START_S         1.5       /* of frames that are kept until the motion is known */
#define LEAST_START     6         /* frames */
#define MOST_START      160
#define START_PAIRS     12
#define LEAST_STEP      2.0       /* small pixels: less is no motion, at the start */
#define CERTAIN_TRAVEL  8.0       /* small pixels: the air alone doesn't go so far */
#define RADIUS_SHARE    0.125     /* of the window's shorter side: where a match is sought */
#define LEAST_RADIUS    4.0
#define MEMORY_S        3.0       /* of the line that foretells the next place */

/* All lengths in small pixels, rows upward. */
typedef struct
{
  gboolean     set;
  int          column, row;       /* corner of its window */
  double       x, y;              /* how far the picture had moved by then */
  double       sum_x, sum_y;      /* of corrections to that */
  guint        n_sums;
  FilSpectrum *spectrum;
} Reference;

/* A line through the last seconds, older ones fading. */
typedef struct
{
  double time_s;                  /* of the sums */
  double n, t, tt, x, xt, y, yt;
} Line;

typedef struct
{
  float *pixels;
  double time_s;
  double level;
} Early;

struct _FilDriftTracker
{
  FilSmallPicture      small;
  const FilPixelFormat *format;   /* NULL: no frame yet */
  FilShiftMeter       *meter;
  FilSpectrum         *spectrum;
  float               *pixels;
  float               *moving_part;     /* of a picture, where the motion is known */
  float               *fixed;           /* sum of the pictures since */
  guint                n_fixed;
  int                  width, height;   /* of the window */
  Reference            reference, next;
  Line                 line;
  GArray              *early;     /* of Early; NULL: the motion is known */
  gboolean             moving;
  GArray              *points;    /* of FilDriftPoint */
};

static void
clear_early (gpointer data)
{
  g_free (((Early *) data)->pixels);
}

FilDriftTracker *
fil_drift_tracker_new (void)
{
  FilDriftTracker *tracker = g_new0 (FilDriftTracker, 1);

  tracker->points = g_array_new (FALSE, FALSE, sizeof (FilDriftPoint));
  tracker->early = g_array_new (FALSE, FALSE, sizeof (Early));
  g_array_set_clear_func (tracker->early, clear_early);

  return tracker;
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

static gsize
n_small (const FilDriftTracker *tracker)
{
  return (gsize) tracker->small.width * (gsize) tracker->small.height;
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
prepare (FilDriftTracker *tracker,
         const FilFrame  *frame,
         GError         **error)
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
  tracker->pixels = g_new (float, n_small (tracker));
  tracker->moving_part = g_new (float, n_small (tracker));
  tracker->fixed = g_new0 (float, n_small (tracker));

  return TRUE;
}

static void
line_add (Line   *line,
          double  time_s,
          double  x,
          double  y)
{
  double dt = line->n > 0.0 ? time_s - line->time_s : 0.0;
  double fade = exp (-fabs (dt) / MEMORY_S);

  /* Times count from the newest. */
  line->tt = fade * (line->tt - 2.0 * dt * line->t + dt * dt * line->n);
  line->xt = fade * (line->xt - dt * line->x);
  line->yt = fade * (line->yt - dt * line->y);
  line->t = fade * (line->t - dt * line->n);
  line->n = fade * line->n + 1.0;
  line->x = fade * line->x + x;
  line->y = fade * line->y + y;
  line->time_s = time_s;
}

static void
line_get (const Line *line,
          double      time_s,
          double     *x,
          double     *y,
          double     *vx,
          double     *vy)
{
  double spread = line->n > 0.0 ? line->tt - line->t * line->t / line->n : 0.0;
  double dt = time_s - line->time_s;

  *x = *y = *vx = *vy = 0.0;
  if (!(line->n > 0.0))
    return;
  if (spread > 1e-9)
    {
      *vx = (line->xt - line->x * line->t / line->n) / spread;
      *vy = (line->yt - line->y * line->t / line->n) / spread;
    }
  dt -= line->t / line->n;
  *x = line->x / line->n + *vx * dt;
  *y = line->y / line->n + *vy * dt;
}

static int
room_x (const FilDriftTracker *tracker)
{
  return tracker->small.width - tracker->width;
}

static int
room_y (const FilDriftTracker *tracker)
{
  return tracker->small.height - tracker->height;
}

/* How far a window can go along a direction, as a vector. */
static void
find_way (const FilDriftTracker *tracker,
          double                 vx,
          double                 vy,
          double                *x,
          double                *y)
{
  double speed = hypot (vx, vy), length;

  *x = *y = 0.0;
  if (!(speed > 0.0))
    return;

  length = MIN (room_x (tracker) / MAX (fabs (vx / speed), 1e-9),
                room_y (tracker) / MAX (fabs (vy / speed), 1e-9));
  *x = vx / speed * length;
  *y = vy / speed * length;
}

/* A window at the beginning (@place −0.5) or the end (0.5) of the way. */
static void
refer (FilDriftTracker *tracker,
       Reference       *reference,
       const float     *pixels,
       double           x,
       double           y,
       double           vx,
       double           vy,
       double           place)
{
  double way_x, way_y;

  find_way (tracker, vx, vy, &way_x, &way_y);
  reference->set = TRUE;
  reference->x = x;
  reference->y = y;
  reference->sum_x = reference->sum_y = 0.0;
  reference->n_sums = 0;
  reference->column = CLAMP ((int) lround (0.5 * room_x (tracker) + place * way_x), 0,
                             room_x (tracker));
  reference->row = CLAMP ((int) lround (0.5 * room_y (tracker) + place * way_y), 0,
                          room_y (tracker));
  fil_shift_meter_transform (tracker->meter,
                             pixels + (gsize) reference->row * (gsize) tracker->small.width +
                               reference->column,
                             tracker->small.width, reference->spectrum);
}

/* Where the window has to lie for the picture to be at @x, @y: beyond the
 * borders by how much? */
static double
place_window (const FilDriftTracker *tracker,
              const Reference       *reference,
              double                 x,
              double                 y,
              int                   *column,
              int                   *row)
{
  double wanted_x = reference->column + x - reference->x;
  double wanted_y = reference->row + y - reference->y;

  *column = (int) lround (CLAMP (wanted_x, 0.0, room_x (tracker)));
  *row = (int) lround (CLAMP (wanted_y, 0.0, room_y (tracker)));

  return MAX (fabs (wanted_x - *column), fabs (wanted_y - *row));
}

/* What doesn't move must stay out of the circle in which the match is sought. */
static double
choose_radius (const FilDriftTracker *tracker,
               double                 travel)
{
  double radius = MAX (RADIUS_SHARE * MIN (tracker->width, tracker->height), LEAST_RADIUS);

  return tracker->moving ? MAX (MIN (radius, 0.7 * travel), LEAST_RADIUS) : radius;
}

/* How far a picture has moved, by one reference; the place foretold goes in. */
static void
compare (FilDriftTracker *tracker,
         const Reference *reference,
         const float     *pixels,
         double          *x,
         double          *y,
         double          *certainty)
{
  int column, row;
  double moved_x, moved_y, beyond;
  FilShift shift;

  beyond = place_window (tracker, reference, *x, *y, &column, &row);
  moved_x = column - reference->column;
  moved_y = row - reference->row;
  *certainty = 0.0;
  if (beyond > MIN (tracker->width, tracker->height) / 3)
    return;

  fil_shift_meter_transform (tracker->meter,
                             pixels + (gsize) row * (gsize) tracker->small.width + column,
                             tracker->small.width, tracker->spectrum);
  fil_shift_meter_clear (tracker->meter);
  fil_shift_meter_add (tracker->meter, reference->spectrum, tracker->spectrum);
  fil_shift_meter_find (tracker->meter, *x - reference->x - moved_x, *y - reference->y - moved_y,
                        choose_radius (tracker, hypot (*x - reference->x, *y - reference->y)),
                        &shift);
  *x = reference->x + moved_x + shift.x;
  *y = reference->y + moved_y + shift.y;
  *certainty = shift.certainty;
}

static void
add_point (FilDriftTracker *tracker,
           double           time_s,
           double           level,
           double           x,
           double           y,
           double           certainty)
{
  FilDriftPoint point = { time_s, x * tracker->small.bin, y * tracker->small.bin, certainty, level };

  g_array_append_val (tracker->points, point);
  if (certainty >= FIL_DRIFT_LEAST_CERTAINTY)
    line_add (&tracker->line, time_s, x, y);
}

/* Goes on to the next reference where this one's way is at its end. */
static void
choose_reference (FilDriftTracker *tracker,
                  double           x,
                  double           y)
{
  int column, row;

  if (tracker->next.set &&
      place_window (tracker, &tracker->reference, x, y, &column, &row) > LEAST_STEP)
    {
      Reference used = tracker->reference;

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
      hypot (x - tracker->next.x, y - tracker->next.y) < CERTAIN_TRAVEL)
    return;

  compare (tracker, &tracker->next, pixels, &at_x, &at_y, &certainty);
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

  if (travel > CERTAIN_TRAVEL)
    tracker->moving = TRUE;
  if (!tracker->moving || tracker->next.set)
    return;

  line_get (&tracker->line, tracker->line.time_s, &at_x, &at_y, &vx, &vy);
  find_way (tracker, vx, vy, &way_x, &way_y);
  if (travel > 0.5 * hypot (way_x, way_y))
    refer (tracker, &tracker->next, pixels, x, y, vx, vy, -0.5);
}

static void
add_fixed (FilDriftTracker *tracker,
           const float     *pixels)
{
  const gsize n = n_small (tracker);

  for (gsize i = 0; i < n; i++)
    tracker->fixed[i] += pixels[i];
  tracker->n_fixed++;
}

/* The picture less what all have in common: the Sun went by, what stayed is the
 * instrument's own. Valid until the next call. */
static const float *
take_fixed_off (FilDriftTracker *tracker,
                const float     *pixels)
{
  const gsize n = n_small (tracker);
  float share;

  if (tracker->n_fixed == 0)
    return pixels;

  share = 1.0f / (float) tracker->n_fixed;
  for (gsize i = 0; i < n; i++)
    tracker->moving_part[i] = pixels[i] - share * tracker->fixed[i];

  return tracker->moving_part;
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
    add_fixed (tracker, whole);
  pixels = take_fixed_off (tracker, whole);

  line_get (&tracker->line, time_s, &x, &y, &vx, &vy);
  choose_reference (tracker, x, y);
  compare (tracker, &tracker->reference, pixels, &x, &y, &certainty);
  add_point (tracker, time_s, level, x, y, certainty);
  if (certainty >= FIL_DRIFT_LEAST_CERTAINTY)
    {
      correct_next (tracker, pixels, x, y);
      prepare_next (tracker, pixels, x, y);
    }
}

/* The start */

static Early *
get_early (const FilDriftTracker *tracker,
           guint                  i)
{
  return &g_array_index (tracker->early, Early, i);
}

static void
transform_middle (FilDriftTracker *tracker,
                  const float     *pixels,
                  FilSpectrum     *spectrum)
{
  gsize corner = (gsize) (room_y (tracker) / 2) * (gsize) tracker->small.width +
                 (gsize) (room_x (tracker) / 2);

  fil_shift_meter_transform (tracker->meter, take_fixed_off (tracker, pixels) + corner,
                             tracker->small.width, spectrum);
}

/* The motion, from pairs of early frames that lie half of the start apart: all
 * are shifted by the same amount, once the fixed part is taken off. Returns: %FALSE where nothing moves for
 * certain */
static gboolean
find_motion (FilDriftTracker *tracker,
             double          *vx,
             double          *vy)
{
  const guint half = tracker->early->len / 2, n_pairs = MIN (half, START_PAIRS);
  double apart_s = 0.0;
  FilShift shift;

  fil_shift_meter_clear (tracker->meter);
  for (guint i = 0; i < n_pairs; i++)
    {
      const Early *a = get_early (tracker, i * half / n_pairs);
      const Early *b = get_early (tracker, i * half / n_pairs + half);

      transform_middle (tracker, a->pixels, tracker->next.spectrum);
      transform_middle (tracker, b->pixels, tracker->spectrum);
      fil_shift_meter_add (tracker->meter, tracker->next.spectrum, tracker->spectrum);
      apart_s += (b->time_s - a->time_s) / n_pairs;
    }
  fil_shift_meter_find (tracker->meter, 0.0, 0.0, 0.45 * MIN (tracker->width, tracker->height),
                        &shift);
  *vx = shift.x / apart_s;
  *vy = shift.y / apart_s;

  return apart_s > 0.0 && shift.certainty >= FIL_DRIFT_LEAST_CERTAINTY &&
         hypot (shift.x, shift.y) >= LEAST_STEP;
}

/* Frames near the first one are compared with the last, the others with the
 * first: what doesn't move stays away. */
static void
follow_early (FilDriftTracker *tracker,
              double           vx,
              double           vy)
{
  const guint n = tracker->early->len;
  const Early *first = get_early (tracker, 0), *last = get_early (tracker, n - 1);
  double x = vx * (last->time_s - first->time_s), y = vy * (last->time_s - first->time_s);
  double certainty;
  Reference end = { .spectrum = fil_spectrum_new (tracker->meter) };

  refer (tracker, &tracker->reference, take_fixed_off (tracker, first->pixels), 0.0, 0.0, vx, vy,
         -0.5);
  compare (tracker, &tracker->reference, take_fixed_off (tracker, last->pixels), &x, &y,
           &certainty);
  refer (tracker, &end, take_fixed_off (tracker, last->pixels), x, y, vx, vy, 0.5);

  for (guint i = 0; i < n; i++)
    {
      const Early *early = get_early (tracker, i);
      double share = (early->time_s - first->time_s) / (last->time_s - first->time_s);
      gboolean near = tracker->moving && certainty >= FIL_DRIFT_LEAST_CERTAINTY && share < 0.5;
      double at_x = x * share, at_y = y * share, match;

      compare (tracker, near ? &end : &tracker->reference,
               take_fixed_off (tracker, early->pixels), &at_x, &at_y, &match);
      add_point (tracker, early->time_s, early->level, at_x, at_y, match);
    }
  fil_spectrum_free (end.spectrum);
}

/* Whatever was kept so far is followed now. */
static void
begin (FilDriftTracker *tracker)
{
  double vx = 0.0, vy = 0.0;

  for (guint i = 0; i < tracker->early->len; i++)
    add_fixed (tracker, get_early (tracker, i)->pixels);
  tracker->moving = tracker->early->len >= 4 && find_motion (tracker, &vx, &vy);
  if (!tracker->moving)
    {
      vx = vy = 0.0;
      tracker->n_fixed = 0;   /* of a picture at rest nothing else would be left */
    }
  if (tracker->early->len >= 2)
    follow_early (tracker, vx, vy);
  g_clear_pointer (&tracker->early, g_array_unref);
}

static void
keep (FilDriftTracker *tracker,
      const float     *pixels,
      double           time_s,
      double           level)
{
  const gsize n = n_small (tracker);
  Early early = { g_memdup2 (pixels, n * sizeof (float)), time_s, level };
  guint kept;

  g_array_append_val (tracker->early, early);
  kept = tracker->early->len;
  if (kept >= MOST_START ||
      (kept >= LEAST_START && time_s - get_early (tracker, 0)->time_s >= START_S))
    begin (tracker);
}

static gboolean
check_time (const FilDriftTracker *tracker,
            double                 time_s)
{
  double last = -INFINITY;

  if (tracker->early != NULL && tracker->early->len > 0)
    last = get_early (tracker, tracker->early->len - 1)->time_s;
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
fil_drift_tracker_add (FilDriftTracker *tracker,
                       const FilFrame  *frame,
                       double           time_s,
                       GError         **error)
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
    keep (tracker, tracker->pixels, time_s, level);
  else
    follow (tracker, tracker->pixels, time_s, level);

  return TRUE;
}

/* No more frames will come for now: those that were kept are followed. */
void
fil_drift_tracker_flush (FilDriftTracker *tracker)
{
  g_return_if_fail (tracker != NULL);

  if (tracker->early != NULL && tracker->early->len >= 2)
    begin (tracker);
}

/* Returns: whether the first frames have been worked through */
gboolean
fil_drift_tracker_has_begun (const FilDriftTracker *tracker)
{
  return tracker->early == NULL;
}

/* Returns: whether the picture moves through the field */
gboolean
fil_drift_tracker_is_moving (const FilDriftTracker *tracker)
{
  return tracker->moving;
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

/* fil-limb-track.c: the disc's centre over the last looks at the limb
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Air moves the limb from look to look, so that an arrow by one look trembles;
 * a mean over two seconds is steadier. Where the picture drifts evenly, as
 * with the drive off, a line through the looks gives the centre of now, not
 * that of a second ago. Where it jumps, as under a hand on the tube, what came
 * before is forgotten. */

#include <math.h>
#include <string.h>

#include "fil-limb-track.h"

#define SPAN_NS     (2 * G_GINT64_CONSTANT (1000000000))
#define MAX_LOOKS   24

/* So long the last place stands while no limb is seen: a scrap of cloud, a
 * bird. */
#define HOLD_NS     (G_GINT64_CONSTANT (600000000))

/* A look so far from where it is expected has another aim: that many σ of
 * both, and what a badly told error may hide. */
#define JUMP_SIGMAS 5.0
#define JUMP_PX     2.0

/* Motion is taken for real from so many σ and so many looks on. */
#define MIN_LOOKS_IN_MOTION 5
#define MOTION_SIGMAS       4.0
#define LIKELY_SCATTER      0.7   /* of looks, of the error told: a few may agree by chance */

/* Looks a fifth of a second apart err alike, since the same slow bends of the
 * air lie before the telescope: so many of them are worth one. Found on the
 * simulated Sun. */
#define LOOKS_ALIKE 6.0

#define N_ROUNDS    4
#define HUBER_LIMIT 1.345   /* as in the fit of a circle */

typedef struct
{
  FilLimb limb;
  gint64  time_ns;
} Look;

/* x (t) = x + vx t, t in seconds from the newest look. */
typedef struct
{
  double x, y, vx, vy;
  double scatter;         /* pixels, of the distance from the line */
  double slope_error;     /* pixels a second; of one that moves, by three looks or more */
} Line;

struct _FilLimbTrack
{
  Look    looks[MAX_LOOKS];   /* oldest first */
  guint   n;
  FilLimb steady;
};

/**
 * fil_limb_track_new:
 *
 * Returns: (transfer full)
 */
FilLimbTrack *
fil_limb_track_new (void)
{
  return g_new0 (FilLimbTrack, 1);
}

void
fil_limb_track_free (FilLimbTrack *track)
{
  g_free (track);
}

/* For another radius, another size of frames, another source. */
void
fil_limb_track_reset (FilLimbTrack *track)
{
  g_return_if_fail (track != NULL);

  track->n = 0;
}

static void
drop_oldest (FilLimbTrack *track)
{
  track->n--;
  memmove (&track->looks[0], &track->looks[1], sizeof (Look) * track->n);
}

static double
seconds_before (const FilLimbTrack *track,
                guint               i)
{
  return (double) (track->looks[i].time_ns - track->looks[track->n - 1].time_ns) * 1e-9;
}

static double
distance_from (const FilLimbTrack *track,
               const Line         *line,
               guint               i)
{
  double t = seconds_before (track, i);

  return hypot (track->looks[i].limb.centre_x - line->x - line->vx * t,
                track->looks[i].limb.centre_y - line->y - line->vy * t);
}

/* Weighted least squares; a line that stands still where @moving is FALSE. */
static void
fit_line (const FilLimbTrack *track,
          const double       *weights,
          gboolean            moving,
          Line               *line)
{
  double w = 0.0, error = 0.0, t1 = 0.0, x1 = 0.0, y1 = 0.0, tt = 0.0, tx = 0.0, ty = 0.0, squares = 0.0;

  for (guint i = 0; i < track->n; i++)
    {
      w += weights[i];
      error += weights[i] * track->looks[i].limb.error_px;
      t1 += weights[i] * seconds_before (track, i);
      x1 += weights[i] * track->looks[i].limb.centre_x;
      y1 += weights[i] * track->looks[i].limb.centre_y;
    }
  for (guint i = 0; i < track->n; i++)
    {
      double t = seconds_before (track, i) - t1 / w;

      tt += weights[i] * t * t;
      tx += weights[i] * t * (track->looks[i].limb.centre_x - x1 / w);
      ty += weights[i] * t * (track->looks[i].limb.centre_y - y1 / w);
    }

  moving = moving && tt > 0.0;
  line->vx = moving ? tx / tt : 0.0;
  line->vy = moving ? ty / tt : 0.0;
  line->x = (x1 - line->vx * t1) / w;
  line->y = (y1 - line->vy * t1) / w;
  for (guint i = 0; i < track->n; i++)
    squares += weights[i] * distance_from (track, line, i) * distance_from (track, line, i);
  line->scatter = sqrt (squares / w);
  if (moving)
    line->slope_error = MAX (line->scatter, LIKELY_SCATTER * error / w) *
                        sqrt (track->n / (track->n - 2.0) / tt);
}

static void
fit_robustly (const FilLimbTrack *track,
              gboolean            moving,
              Line               *line)
{
  double weights[MAX_LOOKS];

  for (guint i = 0; i < track->n; i++)
    weights[i] = 1.0;
  for (int round = 0; round < N_ROUNDS; round++)
    {
      fit_line (track, weights, moving, line);
      for (guint i = 0; i < track->n; i++)
        {
          double off = distance_from (track, line, i);

          weights[i] = off > HUBER_LIMIT * line->scatter ? HUBER_LIMIT * line->scatter / off : 1.0;
        }
    }
}

/* Returns: whether there is motion beyond doubt; @line is the one to go by */
static gboolean
find_line (const FilLimbTrack *track,
           Line               *line)
{
  if (track->n >= MIN_LOOKS_IN_MOTION)
    {
      fit_robustly (track, TRUE, line);
      if (hypot (line->vx, line->vy) > MOTION_SIGMAS * MAX (line->slope_error, 1e-6))
        return TRUE;
    }
  fit_robustly (track, FALSE, line);

  return FALSE;
}

static gboolean
has_jumped (const FilLimbTrack *track,
            const FilLimb      *limb,
            gint64              time_ns)
{
  Line line;
  double t, error;

  if (track->n == 0)
    return FALSE;
  find_line (track, &line);
  t = (double) (time_ns - track->looks[track->n - 1].time_ns) * 1e-9;
  error = hypot (limb->error_px, track->looks[track->n - 1].limb.error_px);

  return hypot (limb->centre_x - line.x - line.vx * t, limb->centre_y - line.y - line.vy * t) >
         JUMP_SIGMAS * error + JUMP_PX;
}

static void
combine (FilLimbTrack *track)
{
  double worth = 1.0 + (track->n - 1) / LOOKS_ALIKE, errors = 0.0, across = 0.0, share, least;
  gboolean moving;
  Line line;

  moving = find_line (track, &line);
  for (guint i = 0; i < track->n; i++)
    {
      errors += track->looks[i].limb.error_px / track->n;
      across += track->looks[i].limb.error_across_px / track->n;
    }

  /* The end of a line is known half as well as its middle. */
  share = MIN ((moving ? 2.0 : 1.0) / sqrt (worth), 1.0);
  least = line.scatter / sqrt (2.0 * worth);
  track->steady = track->looks[track->n - 1].limb;
  track->steady.centre_x = line.x;
  track->steady.centre_y = line.y;
  track->steady.error_px = MAX (share * errors, least);
  track->steady.error_across_px = share * across;
}

/**
 * fil_limb_track_add:
 * @limb: a look at the limb, seen or not
 * @time_ns: of its frame
 * @steady: (out): as a limb, its centre and errors from the looks of the last
 *   two seconds, all else from the newest one that saw it; not seen where the
 *   limb hasn't been for more than 0.6 s
 *
 * Returns: how many looks are in it
 */
guint
fil_limb_track_add (FilLimbTrack  *track,
                    const FilLimb *limb,
                    gint64         time_ns,
                    FilLimb       *steady)
{
  g_return_val_if_fail (track != NULL && limb != NULL && steady != NULL, 0);

  if (track->n > 0 && time_ns <= track->looks[track->n - 1].time_ns)
    track->n = 0;
  while (track->n > 0 && time_ns - track->looks[0].time_ns > SPAN_NS)
    drop_oldest (track);

  if (!limb->seen)
    {
      if (track->n > 0 && time_ns - track->looks[track->n - 1].time_ns > HOLD_NS)
        track->n = 0;
      *steady = track->n > 0 ? track->steady : *limb;
      return track->n;
    }

  if (has_jumped (track, limb, time_ns))
    track->n = 0;
  if (track->n == MAX_LOOKS)
    drop_oldest (track);
  track->looks[track->n++] = (Look) { *limb, time_ns };
  combine (track);
  *steady = track->steady;

  return track->n;
}

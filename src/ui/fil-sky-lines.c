/* fil-sky-lines.c: curves on the picture, as fine as the screen shows them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-sky-lines.h"

#define DEG       (G_PI / 180.0)
#define TOLERANCE 0.1   /* of a polyline from its curve, screen pixels */
#define DEEPEST   24    /* halvings of a step */

/* Where a line is taken up again, so far as it has no gap. */
typedef struct
{
  FilSkyLines      *lines;
  const FilSkyView *view;
  const FilSkyLine *like;
  FilSkyCurve       curve;
  gconstpointer     data;
  gboolean          open;      /* the last of all points is where a line may go on */
} Pen;

typedef struct
{
  double      t;
  FilSkyPoint at;
  gboolean    seen;
} Spot;

FilSkyLines *
fil_sky_lines_new (void)
{
  FilSkyLines *self = g_new0 (FilSkyLines, 1);

  self->points = g_array_new (FALSE, FALSE, sizeof (FilSkyPoint));
  self->lines = g_array_new (FALSE, FALSE, sizeof (FilSkyLine));
  self->labels = g_array_new (FALSE, FALSE, sizeof (FilSkyLabel));

  return self;
}

void
fil_sky_lines_free (FilSkyLines *self)
{
  g_array_unref (self->points);
  g_array_unref (self->lines);
  g_array_unref (self->labels);
  g_free (self);
}

/* Drops all lines and labels; memory is kept for the next. */
void
fil_sky_lines_clear (FilSkyLines *self)
{
  g_array_set_size (self->points, 0);
  g_array_set_size (self->lines, 0);
  g_array_set_size (self->labels, 0);
  self->step_deg = 0.0;
}

/* One bound of Liang and Barsky's clipping (1984, ACM Transactions on Graphics
 * 3, 1): @enter and @leave are shares of the way. */
static gboolean
clip_at (double  along,
         double  room,
         double *enter,
         double *leave)
{
  if (along == 0.0)
    return room >= 0.0;
  if (along < 0.0)
    *enter = MAX (*enter, room / along);
  else
    *leave = MIN (*leave, room / along);

  return *enter <= *leave;
}

static gboolean
clip (const FilRegion *region,
      FilSkyPoint      from,
      FilSkyPoint      to,
      double          *enter,
      double          *leave)
{
  double dx = to.x - from.x, dy = to.y - from.y;

  *enter = 0.0;
  *leave = 1.0;

  return clip_at (-dx, from.x - region->x, enter, leave) &&
         clip_at (dx, region->x + region->width - from.x, enter, leave) &&
         clip_at (-dy, from.y - region->y, enter, leave) &&
         clip_at (dy, region->y + region->height - from.y, enter, leave);
}

/* What rounding leaves outside is put on the edge. */
static FilSkyPoint
point_between (const FilRegion *region,
               FilSkyPoint      from,
               FilSkyPoint      to,
               double           share)
{
  double x = from.x + share * (to.x - from.x), y = from.y + share * (to.y - from.y);

  return (FilSkyPoint) { CLAMP (x, region->x, region->x + region->width),
                         CLAMP (y, region->y, region->y + region->height) };
}

static FilSkySide
nearest_side (const FilRegion   *region,
              const FilSkyPoint *at)
{
  double far[4] = { at->x - region->x, at->y - region->y,
                    region->x + region->width - at->x, region->y + region->height - at->y };
  FilSkySide side = FIL_SKY_SIDE_LEFT;

  for (int i = 1; i < 4; i++)
    if (far[i] < far[side])
      side = (FilSkySide) i;

  return side;
}

static void
add_crossing (Pen               *pen,
              const FilSkyPoint *at)
{
  FilSkyLabel label = { pen->like->kind, pen->like->value_deg, *at,
                        nearest_side (&pen->view->region, at), { 0.0, 0.0 } };

  if (pen->like->kind == FIL_SKY_LINE_PARALLEL || pen->like->kind == FIL_SKY_LINE_MERIDIAN)
    g_array_append_val (pen->lines->labels, label);
}

static void
add_point (Pen               *pen,
           const FilSkyPoint *at)
{
  g_array_append_val (pen->lines->points, *at);
  g_array_index (pen->lines->lines, FilSkyLine, pen->lines->lines->len - 1).n_points++;
}

static void
draw_chord (Pen        *pen,
            FilSkyPoint from,
            FilSkyPoint to)
{
  const FilRegion *region = &pen->view->region;
  double enter, leave;
  FilSkyPoint point;

  if (!clip (region, from, to, &enter, &leave))
    {
      pen->open = FALSE;
      return;
    }
  if (!pen->open)
    {
      FilSkyLine line = *pen->like;

      line.first = pen->lines->points->len;
      line.n_points = 0;
      g_array_append_val (pen->lines->lines, line);
      point = point_between (region, from, to, enter);
      add_point (pen, &point);
      if (enter > 0.0)
        add_crossing (pen, &point);
    }
  point = point_between (region, from, to, leave);
  add_point (pen, &point);
  pen->open = leave >= 1.0;
  if (!pen->open)
    add_crossing (pen, &point);
}

/* How far @at lies from the chord, picture pixels. */
static double
get_bow (const FilSkyPoint *from,
         const FilSkyPoint *to,
         const FilSkyPoint *at)
{
  double dx = to->x - from->x, dy = to->y - from->y;
  double length = hypot (dx, dy);

  if (length == 0.0)
    return hypot (at->x - from->x, at->y - from->y);

  return fabs (dx * (at->y - from->y) - dy * (at->x - from->x)) / length;
}

/* Whether what lies between may come into the region: the curve keeps within
 * twice its bow, and some, of its chord. */
static gboolean
may_touch (const FilRegion   *region,
           const FilSkyPoint *from,
           const FilSkyPoint *to,
           double             bow)
{
  double margin = 2.0 * bow + 1.0;

  return MIN (from->x, to->x) - margin <= region->x + region->width &&
         MAX (from->x, to->x) + margin >= region->x &&
         MIN (from->y, to->y) - margin <= region->y + region->height &&
         MAX (from->y, to->y) + margin >= region->y;
}

static Spot
look_at (const Pen *pen,
         double     t)
{
  Spot spot = { .t = t };

  spot.seen = pen->curve (pen->view, pen->data, t, &spot.at);

  return spot;
}

static void
draw_arc (Pen        *pen,
          const Spot *from,
          const Spot *to,
          int         depth)
{
  Spot middle = look_at (pen, 0.5 * (from->t + to->t));
  double bow = get_bow (&from->at, &to->at, &middle.at);

  if (depth >= DEEPEST || !middle.seen || bow * pen->view->zoom <= TOLERANCE ||
      !may_touch (&pen->view->region, &from->at, &to->at, bow))
    {
      draw_chord (pen, from->at, to->at);
      return;
    }

  draw_arc (pen, from, &middle, depth + 1);
  draw_arc (pen, &middle, to, depth + 1);
}

/* The last place between the two that is seen. */
static Spot
find_end (const Pen *pen,
          Spot       seen,
          Spot       hidden)
{
  for (int i = 0; i < 40; i++)
    {
      Spot middle = look_at (pen, 0.5 * (seen.t + hidden.t));

      if (middle.seen)
        seen = middle;
      else
        hidden = middle;
    }

  return seen;
}

static void
draw_step (Pen  *pen,
           Spot  from,
           Spot  to)
{
  if (!from.seen)
    pen->open = FALSE;
  if (from.seen != to.seen)
    {
      if (from.seen)
        to = find_end (pen, from, to);
      else
        from = find_end (pen, to, from);
    }
  if (from.seen && to.seen)
    draw_arc (pen, &from, &to, 0);
}

/**
 * fil_sky_lines_add_curve:
 * @like: what kind of line it is; its points are counted here
 * @curve: where it is, continuous
 * @n_steps: so fine that no part of it comes and goes between two steps
 *
 * Adds the pieces of a curve that lie in the region, where they are within a
 * tenth of a screen pixel of it, and a label for each place where it leaves or
 * enters.
 */
void
fil_sky_lines_add_curve (FilSkyLines      *self,
                         const FilSkyView *view,
                         const FilSkyLine *like,
                         FilSkyCurve       curve,
                         gconstpointer     data,
                         double            from,
                         double            to,
                         guint             n_steps)
{
  Pen pen = { self, view, like, curve, data, FALSE };
  Spot before;

  g_return_if_fail (self != NULL && view != NULL && like != NULL && n_steps > 0);

  before = look_at (&pen, from);
  for (guint i = 1; i <= n_steps; i++)
    {
      Spot next = look_at (&pen, from + (to - from) * i / n_steps);

      draw_step (&pen, before, next);
      before = next;
    }
}

/* The limb of a sphere is a circle about the disc's centre on the sky, at the
 * semidiameter; @t is the angle from solar north through east, in degrees. */
static gboolean
limb_curve (const FilSkyView *view,
            gconstpointer     data,
            double            t,
            FilSkyPoint      *point)
{
  double radius = view->sun.semidiameter_arcsec / 3600.0 * DEG;
  double west = -sin (radius) * sin (t * DEG), north = sin (radius) * cos (t * DEG);
  double x_arcsec = atan2 (west, cos (radius)) / DEG * 3600.0;
  double y_arcsec = asin (north) / DEG * 3600.0;

  return fil_sky_from_angle (view, x_arcsec, y_arcsec, point);
}

/* The limb as the picture's coordinates have it, centre in view or not. */
void
fil_sky_lines_add_limb (FilSkyLines      *self,
                        const FilSkyView *view)
{
  const FilSkyLine like = { .kind = FIL_SKY_LINE_LIMB };

  g_return_if_fail (self != NULL && view != NULL);

  if (fil_sky_view_is_known (view))
    fil_sky_lines_add_curve (self, view, &like, limb_curve, NULL, 0.0, 360.0, 72);
}

static gboolean
circle_curve (const FilSkyView *view,
              gconstpointer     data,
              double            t,
              FilSkyPoint      *point)
{
  const double *circle = data;

  fil_sky_from_fits (view, circle[0] + circle[2] * cos (t * DEG),
                     circle[1] + circle[2] * sin (t * DEG), point);

  return TRUE;
}

/* A circle on the frame, FITS pixels; needs no coordinates of the sky. */
void
fil_sky_lines_add_fitted (FilSkyLines      *self,
                          const FilSkyView *view,
                          double            x_fits,
                          double            y_fits,
                          double            radius_px)
{
  const FilSkyLine like = { .kind = FIL_SKY_LINE_FITTED };
  const double circle[3] = { x_fits, y_fits, radius_px };

  g_return_if_fail (self != NULL && view != NULL);

  if (isfinite (x_fits) && isfinite (y_fits) && isfinite (radius_px) && radius_px > 0.0)
    fil_sky_lines_add_curve (self, view, &like, circle_curve, circle, 0.0, 360.0, 72);
}

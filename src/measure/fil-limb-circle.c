/* fil-limb-circle.c: the circle that most edges agree upon
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pairs of edges (of a known radius) or triples, drawn by lot, give circles;
 * the one near which most edges lie is taken (Fischler & Bolles 1981,
 * Communications of the ACM 24, 381). The lot is the same every time. */

#include <math.h>

#include "fil-limb-private.h"

#define N_DRAWS    500
#define MIN_EDGES  10

/* Edges look at the centre within 35°: blur, noise and seeing turn them by
 * less, but a spot's rim or a rectangle's other side looks elsewhere. */
#define MIN_LOOK   0.82

/* Drawn edges lie at least this share of the greatest distance apart: from
 * near ones no centre can be told. */
#define MIN_APART  0.2

/* Without a known radius: within these times of the guess, or of nothing. */
#define RADIUS_SPAN 2.5

static guint32
draw (guint32 *state,
      int      n)
{
  /* Xorshift (Marsaglia 2003, Journal of Statistical Software 8, 14). */
  *state ^= *state << 13;
  *state ^= *state >> 17;
  *state ^= *state << 5;

  return *state % (guint32) n;
}

/* Both edges on a circle of a known radius, its centre on the bright side. */
static gboolean
through_two (const FilLimbEdge *a,
             const FilLimbEdge *b,
             double             radius,
             FilLimbCircle     *circle)
{
  double dx = (double) (b->x - a->x), dy = (double) (b->y - a->y), d = hypot (dx, dy), height, side;

  if (d <= 0.0 || d >= 2.0 * radius)
    return FALSE;
  height = sqrt (radius * radius - 0.25 * d * d);
  side = -dy * (double) (a->nx + b->nx) + dx * (double) (a->ny + b->ny);
  if (side > 0.0)
    height = -height;
  circle->x = 0.5 * (double) (a->x + b->x) - height * dy / d;
  circle->y = 0.5 * (double) (a->y + b->y) + height * dx / d;
  circle->radius = radius;

  return TRUE;
}

static gboolean
through_three (const FilLimbEdge *a,
               const FilLimbEdge *b,
               const FilLimbEdge *c,
               FilLimbCircle     *circle)
{
  double bx = (double) (b->x - a->x), by = (double) (b->y - a->y);
  double cx = (double) (c->x - a->x), cy = (double) (c->y - a->y);
  double det = 2.0 * (bx * cy - by * cx), bb = bx * bx + by * by, cc = cx * cx + cy * cy;
  double x, y;

  if (fabs (det) < 1e-6 * (bb + cc))
    return FALSE;
  x = (cy * bb - by * cc) / det;
  y = (bx * cc - cx * bb) / det;
  circle->x = (double) a->x + x;
  circle->y = (double) a->y + y;
  circle->radius = hypot (x, y);

  return TRUE;
}

static gboolean
lies_on (const FilLimbEdge   *edge,
         const FilLimbCircle *circle,
         double               tolerance,
         double              *off)
{
  double dx = (double) edge->x - circle->x, dy = (double) edge->y - circle->y;
  double r = sqrt (dx * dx + dy * dy);

  *off = r - circle->radius;

  return fabs (*off) <= tolerance &&
         dx * (double) edge->nx + dy * (double) edge->ny >= MIN_LOOK * r;
}

/* Counts edges, near ones for more than those at the rim of the tolerance. */
static double
score (const FilLimbEdge   *edges,
       int                  n_edges,
       double               tolerance,
       const FilLimbCircle *circle)
{
  double sum = 0.0, off;

  for (int i = 0; i < n_edges; i++)
    if (lies_on (&edges[i], circle, tolerance, &off))
      sum += 1.0 - off * off / (tolerance * tolerance);

  return sum;
}

static double
find_span (const FilLimbEdge *edges,
           int                n_edges)
{
  float left = edges[0].x, right = left, top = edges[0].y, bottom = top;

  for (int i = 1; i < n_edges; i++)
    {
      left = MIN (left, edges[i].x);
      right = MAX (right, edges[i].x);
      top = MIN (top, edges[i].y);
      bottom = MAX (bottom, edges[i].y);
    }

  return hypot ((double) (right - left), (double) (bottom - top));
}

static double
find_gap (const FilLimbEdge *a,
          const FilLimbEdge *b)
{
  return hypot ((double) (a->x - b->x), (double) (a->y - b->y));
}

static gboolean
draw_circle (const FilLimbEdge *edges,
             int                n_edges,
             double             apart,
             double             radius_px,
             gboolean           fit_radius,
             guint32           *state,
             FilLimbCircle     *circle)
{
  const FilLimbEdge *a = &edges[draw (state, n_edges)], *b = &edges[draw (state, n_edges)], *c;

  if (find_gap (a, b) < apart)
    return FALSE;
  if (!fit_radius)
    return through_two (a, b, radius_px, circle);

  c = &edges[draw (state, n_edges)];
  if (find_gap (a, c) < apart || find_gap (b, c) < apart || !through_three (a, b, c, circle))
    return FALSE;

  return !(radius_px > 0.0) ||
         (circle->radius > radius_px / RADIUS_SPAN && circle->radius < radius_px * RADIUS_SPAN);
}

/**
 * fil_limb_find_circle:
 * @radius_px: known, or with @fit_radius a guess, 0: none
 * @tolerance_px: how far off the circle edges may lie
 * @circle: (out)
 *
 * Returns: whether any ten edges agree upon one
 */
gboolean
fil_limb_find_circle (const FilLimbEdge *edges,
                      int                n_edges,
                      double             radius_px,
                      gboolean           fit_radius,
                      double             tolerance_px,
                      FilLimbCircle     *circle)
{
  guint32 state = 2463534242u;
  double apart, best = 0.0, off;

  if (n_edges < MIN_EDGES)
    return FALSE;

  apart = MIN_APART * MIN (find_span (edges, n_edges), fit_radius ? G_MAXDOUBLE : 2.0 * radius_px);
  for (int i = 0; i < N_DRAWS; i++)
    {
      FilLimbCircle drawn;
      double got;

      if (!draw_circle (edges, n_edges, apart, radius_px, fit_radius, &state, &drawn))
        continue;
      got = score (edges, n_edges, tolerance_px, &drawn);
      if (got <= best)
        continue;
      best = got;
      *circle = drawn;
    }

  circle->n_edges = 0;
  circle->tolerance = tolerance_px;
  for (int i = 0; best > 0.0 && i < n_edges; i++)
    circle->n_edges += lies_on (&edges[i], circle, tolerance_px, &off);

  return circle->n_edges >= MIN_EDGES;
}

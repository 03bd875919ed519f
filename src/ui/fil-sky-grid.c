/* fil-sky-grid.c: heliographic latitude and longitude as lines on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-sky-lines.h"

#define SAMPLES  9      /* along each side of the region, to learn what it shows */
#define FEWEST   2      /* lines of each kind that have to be in view */
#define COARSE   5.0    /* first step along a line, degrees */
#define POLE_CAP 10.0   /* of latitude, that most meridians stop short of */

static const double steps_deg[] = { 10, 5, 2, 1 };

/* What of the Sun is in view, so far as samples tell. */
typedef struct
{
  gboolean whole;   /* all samples are on the disc */
  double   latitude[2], longitude[2];   /* least and most, degrees */
} Extent;

static gboolean
parallel_curve (const FilSkyView *view,
                gconstpointer     data,
                double            t,
                FilSkyPoint      *point)
{
  double latitude_deg = *(const double *) data, x, y, mu;
  gboolean seen = fil_disc_to_angle (&view->sun, latitude_deg, t, &x, &y, &mu);

  return fil_sky_from_angle (view, x, y, point) && seen;
}

static gboolean
meridian_curve (const FilSkyView *view,
                gconstpointer     data,
                double            t,
                FilSkyPoint      *point)
{
  double longitude_deg = *(const double *) data, x, y, mu;
  gboolean seen = fil_disc_to_angle (&view->sun, t, longitude_deg, &x, &y, &mu);

  return fil_sky_from_angle (view, x, y, point) && seen;
}

static void
widen (double range[2],
       double value)
{
  range[0] = MIN (range[0], value);
  range[1] = MAX (range[1], value);
}

static void
find_extent (const FilSkyView *view,
             Extent           *extent)
{
  *extent = (Extent) { TRUE, { HUGE_VAL, -HUGE_VAL }, { HUGE_VAL, -HUGE_VAL } };
  for (int i = 0; i < SAMPLES * SAMPLES; i++)
    {
      double across = (double) (i % SAMPLES) / (SAMPLES - 1);
      double down = (double) (i / SAMPLES) / (SAMPLES - 1);
      FilSkyPoint at = { view->region.x + across * view->region.width,
                         view->region.y + down * view->region.height };
      FilSkyPlace place;

      if (!fil_sky_get_place (view, &at, &place) || !place.on_disc)
        {
          extent->whole = FALSE;
          continue;
        }
      widen (extent->latitude, place.latitude_deg);
      widen (extent->longitude, place.longitude_deg);
    }
}

/* Lines of the grid within a range. */
static double
count_lines (const double range[2],
             double       step_deg)
{
  return MAX (floor (range[1] / step_deg) - ceil (range[0] / step_deg) + 1.0, 0.0);
}

/* The widest step with which a few lines of each kind are in view. */
static double
choose_step (const Extent *extent)
{
  gsize i = 0;

  if (!(extent->latitude[0] <= extent->latitude[1]))
    return steps_deg[0];
  while (i + 1 < G_N_ELEMENTS (steps_deg) &&
         (count_lines (extent->latitude, steps_deg[i]) < FEWEST ||
          count_lines (extent->longitude, steps_deg[i]) < FEWEST))
    i++;

  return steps_deg[i];
}

/* A line that surely lies outside of the view needn't be followed. Samples
 * miss what is between them, and near a pole longitude turns about. */
static gboolean
may_be_seen (const Extent *extent,
             const double  range[2],
             double        value,
             double        step_deg)
{
  double margin = (range[1] - range[0]) / 4.0 + step_deg;

  if (!extent->whole || extent->latitude[1] > 75.0 || extent->latitude[0] < -75.0)
    return TRUE;

  return value >= range[0] - margin && value <= range[1] + margin;
}

static gboolean
has_label (const FilSkyLines *self,
           guint              from)
{
  return self->labels->len > from;
}

/* The name of a line that never leaves the region: parallels have theirs at
 * both ends, where the limb is; meridians where they cross the equator. */
static void
add_end_label (FilSkyLines      *self,
               const FilSkyView *view,
               const FilSkyLine *line,
               guint             point)
{
  FilSkyLabel label = { line->kind, line->value_deg, { 0.0, 0.0 }, FIL_SKY_SIDE_NONE,
                        { 0.0, 0.0 } };
  FilSkyPoint centre;
  double length;

  label.at = g_array_index (self->points, FilSkyPoint, point);
  if (!fil_sky_from_angle (view, 0.0, 0.0, &centre))
    return;
  length = hypot (label.at.x - centre.x, label.at.y - centre.y);
  if (length > 0.0)
    label.away = (FilSkyPoint) { (label.at.x - centre.x) / length,
                                 (label.at.y - centre.y) / length };
  g_array_append_val (self->labels, label);
}

static void
add_equator_label (FilSkyLines      *self,
                   const FilSkyView *view,
                   const FilSkyLine *line)
{
  FilSkyLabel label = { line->kind, line->value_deg, { 0.0, 0.0 }, FIL_SKY_SIDE_NONE,
                        { 0.0, 0.0 } };
  const FilRegion *region = &view->region;

  if (meridian_curve (view, &line->value_deg, 0.0, &label.at) &&
      label.at.x >= region->x && label.at.x <= region->x + region->width &&
      label.at.y >= region->y && label.at.y <= region->y + region->height)
    g_array_append_val (self->labels, label);
}

static void
add_inner_labels (FilSkyLines      *self,
                  const FilSkyView *view,
                  guint             first_line)
{
  for (guint i = first_line; i < self->lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (self->lines, FilSkyLine, i);

      if (line->kind == FIL_SKY_LINE_PARALLEL)
        {
          add_end_label (self, view, line, line->first);
          add_end_label (self, view, line, line->first + line->n_points - 1);
        }
      else
        add_equator_label (self, view, line);
    }
}

static void
add_line (FilSkyLines      *self,
          const FilSkyView *view,
          FilSkyLineKind    kind,
          double            value_deg)
{
  FilSkyLine like = { .kind = kind, .value_deg = value_deg, .strong = value_deg == 0.0 };
  guint n_labels = self->labels->len, n_lines = self->lines->len;

  if (kind == FIL_SKY_LINE_PARALLEL)
    fil_sky_lines_add_curve (self, view, &like, parallel_curve, &value_deg, -180.0, 180.0,
                             (guint) (360.0 / COARSE));
  else
    {
      /* All of them in one point would be a blot: every third goes on. */
      double most = 90.0 - (fmod (value_deg, 30.0) == 0.0 ? 0.0 : POLE_CAP);

      fil_sky_lines_add_curve (self, view, &like, meridian_curve, &value_deg, -most, most,
                               (guint) (2.0 * most / COARSE));
    }
  if (!has_label (self, n_labels))
    add_inner_labels (self, view, n_lines);
}

/**
 * fil_sky_lines_add_grid:
 *
 * Adds parallels and meridians of the side that is seen, every 10°, or 5°, 2°,
 * 1° where less of the Sun is in view, so that there are a few of each. Nothing
 * is added where the picture's coordinates are unknown.
 */
void
fil_sky_lines_add_grid (FilSkyLines      *self,
                        const FilSkyView *view)
{
  Extent extent;
  double step;

  g_return_if_fail (self != NULL && view != NULL);

  if (!fil_sky_view_is_known (view))
    return;

  find_extent (view, &extent);
  step = self->step_deg = choose_step (&extent);
  for (double latitude = -90.0 + step; latitude < 90.0; latitude += step)
    if (may_be_seen (&extent, extent.latitude, latitude, step))
      add_line (self, view, FIL_SKY_LINE_PARALLEL, latitude);
  for (double longitude = -180.0 + step; longitude <= 180.0; longitude += step)
    if (may_be_seen (&extent, extent.longitude, longitude, step))
      add_line (self, view, FIL_SKY_LINE_MERIDIAN, longitude);
}

/* What stands on the plate: "N 20°", "E 30°", "equator", "meridian 0°". */
char *
fil_sky_label_dup_text (const FilSkyLabel *label)
{
  double value = fabs (label->value_deg);

  if (label->kind == FIL_SKY_LINE_PARALLEL)
    {
      if (value == 0.0)
        return g_strdup (_("equator"));
      /* Translators: heliographic latitude, north or south. */
      return g_strdup_printf (label->value_deg > 0.0 ? _("N %.0f°") : _("S %.0f°"), value);
    }
  if (value == 0.0)
    return g_strdup (_("meridian 0°"));
  /* Translators: heliographic longitude, west or east of the central meridian. */
  return g_strdup_printf (label->value_deg > 0.0 ? _("W %.0f°") : _("E %.0f°"), value);
}

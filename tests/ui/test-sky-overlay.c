/* test-sky-overlay.c: compass, grid, limb and pointer on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Golden values by sunpy and astropy.wcs, see sky-golden.py. */

#include <math.h>

#include "fil-place.h"
#include "fil-sky-lines.h"
#include "sky-golden.h"

#define ONE_PIXEL 1.0   /* of the screen: what every overlay has to keep to */

static FilSkyView
view_of (const GoldenSet *set)
{
  FilSkyView view = { .sun = golden_sun, .width = GOLDEN_WIDTH, .height = GOLDEN_HEIGHT,
                      .region = { 0, 0, GOLDEN_WIDTH, GOLDEN_HEIGHT }, .zoom = 1.0 };
  FilPlace place = { .plate_scale_arcsec_per_px = set->scale, .plate_scale_error = NAN,
                     .position_angle_deg = set->turn, .mirrored = set->mirrored != 0,
                     .oriented = TRUE, .placed = TRUE,
                     .centre_x = set->x, .centre_y = set->y };

  fil_wcs_from_place (&place, &golden_sun, &view.wcs);

  return view;
}

/* So much of the frame that a place lies in it, away from its middle. */
static void
zoom_to (FilSkyView        *view,
         const FilSkyPoint *at,
         double             zoom)
{
  view->zoom = zoom;
  view->region.width = 1280.0 / zoom;
  view->region.height = 537.0 / zoom;
  view->region.x = at->x - 0.3 * view->region.width;
  view->region.y = at->y - 0.6 * view->region.height;
}

static double
distance_to_chord (const FilSkyPoint *from,
                   const FilSkyPoint *to,
                   const FilSkyPoint *at)
{
  double dx = to->x - from->x, dy = to->y - from->y;
  double length2 = dx * dx + dy * dy, share = 0.0;

  if (length2 > 0.0)
    share = CLAMP (((at->x - from->x) * dx + (at->y - from->y) * dy) / length2, 0.0, 1.0);

  return hypot (from->x + share * dx - at->x, from->y + share * dy - at->y);
}

/* From a place to the nearest of the lines of a kind, picture pixels. */
static double
distance_to_line (const FilSkyLines *lines,
                  FilSkyLineKind     kind,
                  double             value_deg,
                  const FilSkyPoint *at)
{
  double least = HUGE_VAL;

  for (guint i = 0; i < lines->lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (lines->lines, FilSkyLine, i);

      if (line->kind != kind || line->value_deg != value_deg)
        continue;
      for (guint k = line->first; k + 1 < line->first + line->n_points; k++)
        least = MIN (least, distance_to_chord (&g_array_index (lines->points, FilSkyPoint, k),
                                               &g_array_index (lines->points, FilSkyPoint, k + 1),
                                               at));
    }

  return least;
}

static gboolean
is_inside (const FilRegion   *region,
           const FilSkyPoint *at)
{
  return at->x >= region->x && at->x <= region->x + region->width && at->y >= region->y &&
         at->y <= region->y + region->height;
}

static void
assert_lines_inside (const FilSkyLines *lines,
                     const FilSkyView  *view)
{
  guint total = 0;

  for (guint i = 0; i < lines->points->len; i++)
    g_assert_true (is_inside (&view->region, &g_array_index (lines->points, FilSkyPoint, i)));
  for (guint i = 0; i < lines->lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (lines->lines, FilSkyLine, i);

      g_assert_cmpuint (line->n_points, >=, 2);
      g_assert_cmpuint (line->first, ==, total);
      total += line->n_points;
    }
  g_assert_cmpuint (total, ==, lines->points->len);
}

static void
assert_labels_on_lines (const FilSkyLines *lines,
                        const FilSkyView  *view)
{
  const FilRegion *region = &view->region;

  for (guint i = 0; i < lines->labels->len; i++)
    {
      const FilSkyLabel *label = &g_array_index (lines->labels, FilSkyLabel, i);
      double edges[] = { region->x, region->y, region->x + region->width,
                         region->y + region->height };

      g_assert_cmpfloat (distance_to_line (lines, label->kind, label->value_deg, &label->at), <,
                         ONE_PIXEL / view->zoom);
      if (label->side != FIL_SKY_SIDE_NONE)
        g_assert_cmpfloat_with_epsilon (label->side % 2 == 0 ? label->at.x : label->at.y,
                                        edges[label->side], 1e-6);
    }
}

static gboolean
is_on_edge (const FilRegion   *region,
            const FilSkyPoint *at)
{
  return at->x == region->x || at->x == region->x + region->width || at->y == region->y ||
         at->y == region->y + region->height;
}

static gboolean
has_label_at (const FilSkyLines *lines,
              const FilSkyPoint *at)
{
  for (guint i = 0; i < lines->labels->len; i++)
    {
      const FilSkyLabel *label = &g_array_index (lines->labels, FilSkyLabel, i);

      if (label->at.x == at->x && label->at.y == at->y)
        return TRUE;
    }

  return FALSE;
}

/* Wherever a line of the grid leaves the region, its name may stand. */
static void
assert_ends_labelled (const FilSkyLines *lines,
                      const FilSkyView  *view)
{
  for (guint i = 0; i < lines->lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (lines->lines, FilSkyLine, i);
      const FilSkyPoint *points = &g_array_index (lines->points, FilSkyPoint, line->first);
      const FilSkyPoint *last = &points[line->n_points - 1];

      if (line->kind > FIL_SKY_LINE_MERIDIAN)
        continue;
      g_assert_true (!is_on_edge (&view->region, points) || has_label_at (lines, points));
      g_assert_true (!is_on_edge (&view->region, last) || has_label_at (lines, last));
    }
}

static void
check_row (const GoldenRow   *row,
           const FilSkyLines *lines,
           const FilSkyView  *view)
{
  FilSkyPoint at;
  double most = ONE_PIXEL / view->zoom;

  fil_sky_from_fits (view, row->x, row->y, &at);
  if (row->kind == LIMB)
    g_assert_cmpfloat (distance_to_line (lines, FIL_SKY_LINE_LIMB, 0, &at), <, most);
  else
    g_assert_cmpfloat (distance_to_line (lines, FIL_SKY_LINE_PARALLEL, row->latitude, &at), <,
                       most);
  if (row->kind == GRID)
    g_assert_cmpfloat (distance_to_line (lines, FIL_SKY_LINE_MERIDIAN, row->longitude, &at), <,
                       most);
}

/* A parallel ends where its place on the Sun goes behind the limb. */
static void
check_end (const GoldenRow   *row,
           const FilSkyLines *lines,
           const FilSkyView  *view)
{
  double least = HUGE_VAL;
  FilSkyPoint at;

  fil_sky_from_fits (view, row->x, row->y, &at);
  for (guint i = 0; i < lines->lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (lines->lines, FilSkyLine, i);
      const FilSkyPoint *points = &g_array_index (lines->points, FilSkyPoint, line->first);
      const FilSkyPoint *last = &points[line->n_points - 1];

      if (line->kind != FIL_SKY_LINE_PARALLEL || line->value_deg != row->latitude)
        continue;
      least = MIN (least, hypot (points->x - at.x, points->y - at.y));
      least = MIN (least, hypot (last->x - at.x, last->y - at.y));
    }
  g_assert_cmpfloat (least, <, ONE_PIXEL / view->zoom);
}

static void
draw (FilSkyLines      *lines,
      const FilSkyView *view)
{
  fil_sky_lines_clear (lines);
  fil_sky_lines_add_limb (lines, view);
  fil_sky_lines_add_grid (lines, view);
  assert_lines_inside (lines, view);
  assert_labels_on_lines (lines, view);
  assert_ends_labelled (lines, view);
}

/* All of the frame in view. */
static void
test_lines (gconstpointer data)
{
  const GoldenSet *set = data;
  FilSkyView view = view_of (set);
  g_autoptr (FilSkyLines) lines = fil_sky_lines_new ();

  draw (lines, &view);
  g_assert_cmpint (set->n_rows, >=, 10);
  for (int i = 0; i < set->n_rows; i++)
    {
      check_row (&set->rows[i], lines, &view);
      if (set->rows[i].kind == END)
        check_end (&set->rows[i], lines, &view);
    }
}

/* The same places, each seen from near, where a pixel of the screen is a part
 * of one of the picture. */
static void
test_lines_zoomed (gconstpointer data)
{
  static const double zooms[] = { 2.0, 8.0, 32.0 };
  const GoldenSet *set = data;
  g_autoptr (FilSkyLines) lines = fil_sky_lines_new ();

  for (int i = 0; i < set->n_rows; i++)
    for (guint k = 0; k < G_N_ELEMENTS (zooms); k++)
      {
        FilSkyView view = view_of (set);
        FilSkyPoint at;

        fil_sky_from_fits (&view, set->rows[i].x, set->rows[i].y, &at);
        zoom_to (&view, &at, zooms[k]);
        draw (lines, &view);
        check_row (&set->rows[i], lines, &view);
      }
}

/* At the end of an arm as long as the compass is drawn. */
static void
assert_way (const FilSkyPoint *way,
            double             x,
            double             y_up)
{
  const double arm = 100.0;

  g_assert_cmpfloat (hypot (arm * (way->x - x), arm * (way->y + y_up)), <, 0.1 * ONE_PIXEL);
}

static void
test_compass (gconstpointer data)
{
  const GoldenSet *set = data;
  FilSkyView view = view_of (set);
  FilSkyCompass compass;
  double turned;

  g_assert_true (fil_sky_get_compass (&view, FALSE, &compass));
  assert_way (&compass.north, set->ways[0], set->ways[1]);
  assert_way (&compass.east, set->ways[2], set->ways[3]);
  /* With one reflection east lies clockwise of north. */
  turned = compass.north.x * compass.east.y - compass.north.y * compass.east.x;
  g_assert_cmpfloat_with_epsilon (turned, set->mirrored ? 1.0 : -1.0, 1e-9);

  g_assert_true (fil_sky_get_compass (&view, TRUE, &compass));
  assert_way (&compass.north, set->ways[4], set->ways[5]);
  assert_way (&compass.east, set->ways[6], set->ways[7]);
}

static void
test_centre (gconstpointer data)
{
  const GoldenSet *set = data;
  FilSkyView view = view_of (set);
  double dx = set->x - 0.5 * (GOLDEN_WIDTH + 1), dy = set->y - 0.5 * (GOLDEN_HEIGHT + 1);
  FilSkyCentre centre;
  FilSkyPoint at;

  fil_sky_from_fits (&view, set->x, set->y, &at);
  g_assert_true (fil_sky_get_centre (&view, &centre));
  g_assert_cmpfloat_with_epsilon (centre.at.x, at.x, 1e-3);
  g_assert_cmpfloat_with_epsilon (centre.at.y, at.y, 1e-3);
  g_assert_cmpfloat_with_epsilon (centre.distance_arcmin, set->distance_arcmin, 1e-4);
  g_assert_cmpfloat_with_epsilon (centre.distance_fields, hypot (dx, dy) / GOLDEN_WIDTH, 1e-6);
  assert_way (&centre.towards, dx / hypot (dx, dy), dy / hypot (dx, dy));
  g_assert_true (centre.in_frame == (set->scale > 1.0));

  /* Where it is out of sight, the way to it meets the region's edge. */
  if (centre.in_frame)
    {
      g_assert_cmpfloat_with_epsilon (hypot (centre.edge.x - at.x, centre.edge.y - at.y), 0, 1e-3);
      return;
    }
  g_assert_true (is_inside (&view.region, &centre.edge));
  g_assert_cmpint (fabs (centre.edge.x - GOLDEN_WIDTH) < 1e-6 ||
                   fabs (centre.edge.y - GOLDEN_HEIGHT) < 1e-6, ==, TRUE);
  g_assert_cmpfloat_with_epsilon ((at.x - centre.edge.x) * centre.edge_towards.y,
                                  (at.y - centre.edge.y) * centre.edge_towards.x, 1e-6);
}

static void
test_pointer (gconstpointer data)
{
  const GoldenSet *set = data;
  FilSkyView view = view_of (set);
  const double turn_arcsec = 180.0 * 3600.0 / G_PI;
  FilSkyPlace place;
  FilSkyPoint at;

  for (int i = 0; i < set->n_rows; i++)
    {
      const GoldenRow *row = &set->rows[i];
      /* A hundredth of a pixel, seen obliquely, in degrees on the Sun. */
      double most = 0.01 * set->scale / golden_sun.semidiameter_arcsec / 0.05 * 180.0 / G_PI;

      if (row->kind != GRID)
        continue;
      fil_sky_from_fits (&view, row->x, row->y, &at);
      g_assert_true (fil_sky_get_place (&view, &at, &place));
      g_assert_true (place.on_disc);
      g_assert_cmpfloat_with_epsilon (place.latitude_deg, row->latitude, most);
      g_assert_cmpfloat_with_epsilon (place.longitude_deg, row->longitude, most);
      g_assert_cmpfloat_with_epsilon (place.mu, row->mu, 1e-3);
      /* μ seen from the Earth: cos ρ of the angle off the centre, by the sine rule. */
      {
        double off = hypot (place.x_arcsec, place.y_arcsec) / turn_arcsec;
        double sine = sin (off) / sin (golden_sun.semidiameter_arcsec / turn_arcsec);

        g_assert_cmpfloat_with_epsilon (place.mu, sqrt (1.0 - sine * sine), 1e-3);
      }
    }

  at = (FilSkyPoint) { set->x + 1.02 * golden_sun.semidiameter_arcsec / set->scale, 0 };
  at.y = GOLDEN_HEIGHT - set->y;
  g_assert_true (fil_sky_get_place (&view, &at, &place));
  g_assert_false (place.on_disc);
  g_assert_true (isnan (place.latitude_deg) && isnan (place.mu));
}

/* On a tangent plane over its middle the limb is a circle; and each chord
 * keeps to it. */
static void
test_limb_is_a_circle (gconstpointer data)
{
  const GoldenSet *set = data;
  FilSkyView view = view_of (set);
  double radius = tan (golden_sun.semidiameter_arcsec / 3600.0 * G_PI / 180.0) * 180.0 / G_PI *
                  3600.0 / set->scale;
  g_autoptr (FilSkyLines) lines = fil_sky_lines_new ();
  g_autoptr (FilSkyLines) fitted = fil_sky_lines_new ();
  FilSkyPoint centre;

  fil_sky_from_fits (&view, set->x, set->y, &centre);
  fil_sky_lines_add_limb (lines, &view);
  fil_sky_lines_add_fitted (fitted, &view, set->x, set->y, radius);
  g_assert_cmpuint (lines->lines->len, >, 0);
  for (guint i = 0; i < lines->lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (lines->lines, FilSkyLine, i);
      const FilSkyPoint *points = &g_array_index (lines->points, FilSkyPoint, line->first);

      for (guint k = 0; k + 1 < line->n_points; k++)
        {
          FilSkyPoint middle = { (points[k].x + points[k + 1].x) / 2,
                                 (points[k].y + points[k + 1].y) / 2 };

          g_assert_cmpfloat_with_epsilon (hypot (middle.x - centre.x, middle.y - centre.y),
                                          radius, 0.2 * ONE_PIXEL);
          g_assert_cmpfloat (distance_to_line (fitted, FIL_SKY_LINE_FITTED, 0, &middle), <,
                             0.2 * ONE_PIXEL);
        }
    }
}

/* Ten degrees, and less the nearer one looks; enough lines until the finest. */
static void
test_step (void)
{
  const GoldenSet *set = &golden_sets[0], *wide = &golden_sets[G_N_ELEMENTS (golden_sets) - 1];
  static const double zooms[] = { 1, 2, 4, 8, 16 };
  g_autoptr (FilSkyLines) lines = fil_sky_lines_new ();
  FilSkyView view = view_of (wide);
  FilSkyPoint at;
  double before;

  draw (lines, &view);
  g_assert_cmpfloat (lines->step_deg, ==, 10.0);
  g_assert_cmpuint (lines->lines->len, >=, 30);
  view = view_of (set);
  draw (lines, &view);
  before = lines->step_deg;
  fil_sky_from_fits (&view, set->rows[0].x, set->rows[0].y, &at);
  for (guint i = 0; i < G_N_ELEMENTS (zooms); i++)
    {
      guint n[2] = { 0, 0 };

      zoom_to (&view, &at, zooms[i]);
      draw (lines, &view);
      g_assert_cmpfloat (lines->step_deg, <=, before);
      before = lines->step_deg;
      for (guint k = 0; k < lines->lines->len; k++)
        {
          const FilSkyLine *line = &g_array_index (lines->lines, FilSkyLine, k);

          if (line->kind <= FIL_SKY_LINE_MERIDIAN)
            n[line->kind]++;
        }
      g_assert_true ((n[0] >= 2 && n[1] >= 2) || lines->step_deg == 1.0);
    }
  g_assert_cmpfloat (before, ==, 1.0);
}

static void
test_texts (void)
{
  static const struct { FilSkyLineKind kind; double value; const char *text; } cases[] = {
    { FIL_SKY_LINE_PARALLEL, 20, "N 20°" },   { FIL_SKY_LINE_PARALLEL, -5, "S 5°" },
    { FIL_SKY_LINE_PARALLEL, 0, "equator" },  { FIL_SKY_LINE_MERIDIAN, 0, "meridian 0°" },
    { FIL_SKY_LINE_MERIDIAN, 30, "W 30°" },   { FIL_SKY_LINE_MERIDIAN, -30, "E 30°" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FilSkyLabel label = { .kind = cases[i].kind, .value_deg = cases[i].value };
      g_autofree char *text = fil_sky_label_dup_text (&label);

      g_assert_cmpstr (text, ==, cases[i].text);
    }
}

/* FITS counts from the middle of the first pixel of the lowest row. */
static void
test_fits (void)
{
  FilSkyView view = view_of (&golden_sets[0]);
  FilSkyPoint at;
  double x, y;

  fil_sky_from_fits (&view, 1, 1, &at);
  g_assert_cmpfloat (at.x, ==, 0.5);
  g_assert_cmpfloat (at.y, ==, GOLDEN_HEIGHT - 0.5);
  fil_sky_from_fits (&view, GOLDEN_WIDTH, GOLDEN_HEIGHT, &at);
  g_assert_cmpfloat (at.x, ==, GOLDEN_WIDTH - 0.5);
  g_assert_cmpfloat (at.y, ==, 0.5);
  fil_sky_to_fits (&view, &at, &x, &y);
  g_assert_cmpfloat (x, ==, GOLDEN_WIDTH);
  g_assert_cmpfloat (y, ==, GOLDEN_HEIGHT);
}

/* Without a plate scale, or with an absurd place, nothing is drawn. */
static void
test_unknown (void)
{
  FilSkyView view = view_of (&golden_sets[0]);
  FilSkyView absurd = view, nowhere = view;
  FilSkyPoint at = { 10, 10 };
  FilSkyCentre centre;
  FilSkyCompass compass;
  FilSkyPlace place;
  g_autoptr (FilSkyLines) lines = fil_sky_lines_new ();

  view.wcs.cdelt_arcsec[0] = view.wcs.cdelt_arcsec[1] = NAN;
  absurd.wcs.crpix[0] = INFINITY;
  nowhere.wcs.crpix[1] = 1e12;
  fil_sky_lines_add_limb (lines, &view);
  fil_sky_lines_add_grid (lines, &view);
  fil_sky_lines_add_limb (lines, &absurd);
  fil_sky_lines_add_grid (lines, &absurd);
  fil_sky_lines_add_grid (lines, &nowhere);
  fil_sky_lines_add_limb (lines, &nowhere);
  fil_sky_lines_add_fitted (lines, &view, NAN, 3, 100);
  fil_sky_lines_add_fitted (lines, &view, 3, 3, -1);
  fil_sky_lines_add_fitted (lines, &view, 1e9, 3, 10);
  g_assert_cmpuint (lines->lines->len, ==, 0);
  g_assert_false (fil_sky_get_compass (&view, FALSE, &compass));
  g_assert_false (fil_sky_get_centre (&view, &centre));
  g_assert_false (fil_sky_get_place (&view, &at, &place));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (golden_sets); i++)
    {
      static const struct { const char *name; GTestDataFunc run; } tests[] = {
        { "lines", test_lines },     { "lines-zoomed", test_lines_zoomed },
        { "compass", test_compass }, { "centre", test_centre },
        { "pointer", test_pointer }, { "limb-is-a-circle", test_limb_is_a_circle },
      };
      const GoldenSet *set = &golden_sets[i];

      for (gsize k = 0; k < G_N_ELEMENTS (tests); k++)
        {
          g_autofree char *path =
            g_strdup_printf ("/sky-overlay/%s/%s-%s-%.0f", tests[k].name,
                             set->scale > 1.0 ? "wide" : "narrow",
                             set->mirrored ? "mirrored" : "plain", set->turn);

          g_test_add_data_func (path, set, tests[k].run);
        }
    }
  g_test_add_func ("/sky-overlay/fits", test_fits);
  g_test_add_func ("/sky-overlay/step", test_step);
  g_test_add_func ("/sky-overlay/texts", test_texts);
  g_test_add_func ("/sky-overlay/unknown", test_unknown);

  return g_test_run ();
}

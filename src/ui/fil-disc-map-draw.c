/* fil-disc-map-draw.c: the strokes of the disc map
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-disc-map-private.h"
#include "fil-plot.h"

#define FONT_PX      13.5
#define GRID_FONT_PX 11.5
#define DOT_PX       6.0
#define PATH_STEPS   48
#define PATH_LEAST   14.0   /* pixels a target must have moved for a path */
#define MOST_TAKEN   512
#define FAINT        0.45
#define SHORT_NAME   12     /* letters of a name for which there is little room */

typedef struct
{
  double   x, y, width, height;
  gboolean line;   /* part of one: words stand on it where they must */
} Box;

typedef struct
{
  GtkWidget          *widget;
  cairo_t            *cr;
  const FilDiscScene *scene;
  double              text_scale, line_scale;
  Box                 taken[MOST_TAKEN];   /* by labels and dots */
  guint               n_taken;
} Drawing;

static void
set_color (Drawing    *d,
           const char *name)
{
  fil_plot_set_color (d->cr, d->widget, name);
}

static PangoLayout *
make_text (Drawing    *d,
           const char *text,
           double      font_px,
           gboolean    bold,
           Box        *box)
{
  PangoLayout *layout = gtk_widget_create_pango_layout (d->widget, text);
  g_autoptr (PangoFontDescription) font = pango_font_description_copy (
    pango_context_get_font_description (gtk_widget_get_pango_context (d->widget)));
  int width, height;

  pango_font_description_set_absolute_size (font, font_px * d->text_scale * PANGO_SCALE);
  pango_font_description_set_weight (font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_MEDIUM);
  pango_layout_set_font_description (layout, font);
  pango_layout_get_pixel_size (layout, &width, &height);
  box->width = width;
  box->height = height;

  return layout;
}

static gboolean
is_free (const Drawing *d,
         const Box     *box,
         gboolean       over_lines)
{
  if (box->x < 2.0 || box->y < 2.0 ||
      box->x + box->width > gtk_widget_get_width (d->widget) - 2.0 ||
      box->y + box->height > gtk_widget_get_height (d->widget) - 2.0)
    return FALSE;

  for (guint i = 0; i < d->n_taken; i++)
    {
      const Box *other = &d->taken[i];

      if (!(over_lines && other->line) && box->x < other->x + other->width && other->x < box->x + box->width &&
          box->y < other->y + other->height && other->y < box->y + box->height)
        return FALSE;
    }

  return TRUE;
}

static void
take (Drawing   *d,
      const Box *box)
{
  if (d->n_taken < MOST_TAKEN)
    d->taken[d->n_taken++] = *box;
}

static void
take_dot (Drawing *d,
          double   x,
          double   y)
{
  double half = 1.4 * DOT_PX * d->line_scale;

  take (d, &(Box) { x - half, y - half, 2.0 * half, 2.0 * half, FALSE });
}

/* No word stands on a line that means something. */
static void
take_line (Drawing           *d,
           const FilSkyPoint *from,
           const FilSkyPoint *to)
{
  double length = hypot (to->x - from->x, to->y - from->y), half = 2.5 * d->line_scale;
  int n = (int) (length / 8.0) + 1;

  for (int i = 0; i <= n; i++)
    take (d, &(Box) { from->x + (to->x - from->x) * i / n - half,
                      from->y + (to->y - from->y) * i / n - half, 2.0 * half, 2.0 * half, TRUE });
}

/* A solid plate beneath, so that lines don't run through the words. */
static void
show_plate (Drawing     *d,
            PangoLayout *layout,
            const Box   *box,
            const char  *color)
{
  set_color (d, "window_bg_color");
  cairo_rectangle (d->cr, box->x, box->y, box->width, box->height);
  cairo_fill (d->cr);
  set_color (d, color);
  cairo_move_to (d->cr, box->x + 3.0, box->y);
  pango_cairo_show_layout (d->cr, layout);
  take (d, box);
}

/* How much of a label lies to the left of its point, where the left comes
 * first, and whether it is above (−1), beside or below (1). */
static const double sides[][2] = {
  { 1, 0 }, { 0, 0 }, { 0.5, -1 }, { 0.5, 1 }, { 1, -1 }, { 1, 1 }, { 0, -1 }, { 0, 1 },
};

#define N_SIDES ((int) G_N_ELEMENTS (sides))

/* Beside a point, on the side where there is room: towards the middle first,
 * or away from it. Returns whether there is room: where there is none the list
 * beside the map still has it. */
static gboolean
label_point (Drawing    *d,
             const char *text,
             double      x,
             double      y,
             double      gap,
             gboolean    bold,
             gboolean    outward,
             const char *color)
{
  Box box = { 0 };
  g_autoptr (PangoLayout) layout = make_text (d, text, FONT_PX, bold, &box);
  gboolean left_first = (x > d->scene->left + d->scene->view.width / 2.0) != outward;

  box.width += 6.0;
  for (int i = 0; i < 2 * N_SIDES; i++)
    {
      int side = i % N_SIDES;
      double share = sides[side][0];

      if (!left_first)
        share = 1.0 - share;
      box.x = x - share * box.width;
      box.y = y - (1.0 - sides[side][1]) * box.height / 2.0 + sides[side][1] * gap;
      if (sides[side][1] == 0.0)
        box.x += share > 0.5 ? -gap : gap;
      if (is_free (d, &box, i >= N_SIDES))
        {
          show_plate (d, layout, &box, color);
          return TRUE;
        }
    }

  return FALSE;
}

/* In the middle of a point, whatever is there; outside of the disc nothing is. */
static void
label_centred (Drawing    *d,
               const char *text,
               double      x,
               double      y,
               double      font_px,
               gboolean    bold,
               const char *color)
{
  Box box = { 0 };
  g_autoptr (PangoLayout) layout = make_text (d, text, font_px, bold, &box);

  box.width += 6.0;
  box.x = x - box.width / 2.0;
  box.y = y - box.height / 2.0;
  show_plate (d, layout, &box, color);
}

/* Square and lines ------------------------------------------------------- */

static void
to_widget (const FilDiscScene *scene,
           FilSkyPoint        *point)
{
  point->x += scene->left;
  point->y += scene->top;
}

static void
get_centre (const FilDiscScene *scene,
            FilSkyPoint        *centre)
{
  fil_sky_from_angle (&scene->view, 0.0, 0.0, centre);
  to_widget (scene, centre);
}

static void
fill_disc (Drawing *d)
{
  FilSkyPoint centre;

  get_centre (d->scene, &centre);
  cairo_arc (d->cr, centre.x, centre.y, d->scene->radius, 0.0, 2.0 * G_PI);
  set_color (d, "raised_bg");
  cairo_fill (d->cr);
}

static void
stroke_limb (Drawing *d)
{
  FilSkyPoint centre;

  get_centre (d->scene, &centre);
  cairo_arc (d->cr, centre.x, centre.y, d->scene->radius, 0.0, 2.0 * G_PI);
  cairo_set_line_width (d->cr, 2.0 * d->line_scale);
  set_color (d, "trace_color");
  cairo_stroke (d->cr);
}

static void
stroke_line (Drawing          *d,
             const FilSkyLine *line)
{
  for (guint i = 0; i < line->n_points; i++)
    {
      FilSkyPoint at = g_array_index (d->scene->lines->points, FilSkyPoint, line->first + i);

      to_widget (d->scene, &at);
      cairo_line_to (d->cr, at.x, at.y);
    }
  cairo_set_line_width (d->cr, (line->strong ? 1.6 : 1.0) * d->line_scale);
  set_color (d, line->strong ? "quiet_fg" : "dot_color");
  /* Every third line carries a number; the others stand back. */
  if (!line->strong && fmod (line->value_deg, 30.0) != 0.0)
    {
      cairo_push_group (d->cr);
      cairo_stroke (d->cr);
      cairo_pop_group_to_source (d->cr);
      cairo_paint_with_alpha (d->cr, FAINT);
    }
  else
    cairo_stroke (d->cr);
}

static void
stroke_grid (Drawing *d)
{
  for (guint i = 0; i < d->scene->lines->lines->len; i++)
    stroke_line (d, &g_array_index (d->scene->lines->lines, FilSkyLine, i));
}

/* Where solar directions point, from the disc's centre, on the widget. */
static FilSkyPoint
direction (const FilDiscScene *scene,
           double              west_arcsec,
           double              north_arcsec)
{
  FilSkyPoint centre, at;
  double length;

  get_centre (scene, &centre);
  fil_sky_from_angle (&scene->view, west_arcsec, north_arcsec, &at);
  to_widget (scene, &at);
  length = hypot (at.x - centre.x, at.y - centre.y);

  return (FilSkyPoint) { (at.x - centre.x) / length, (at.y - centre.y) / length };
}

/* The axis stands out of the limb at both ends. */
static void
stroke_axis (Drawing *d)
{
  FilSkyPoint centre, north = direction (d->scene, 0.0, 100.0);
  double from = d->scene->radius, to = from + 9.0 * d->line_scale;

  get_centre (d->scene, &centre);
  cairo_set_line_width (d->cr, 3.0 * d->line_scale);
  set_color (d, "trace_color");
  for (int sign = -1; sign <= 1; sign += 2)
    {
      cairo_move_to (d->cr, centre.x + sign * from * north.x, centre.y + sign * from * north.y);
      cairo_line_to (d->cr, centre.x + sign * to * north.x, centre.y + sign * to * north.y);
    }
  cairo_stroke (d->cr);
}

/* Solar directions around the limb, and celestial north where it isn't up. */
static void
label_directions (Drawing *d)
{
  const char *const names[] = { C_("solar north", "N"), C_("solar west", "W"),
                                C_("solar south", "S"), C_("solar east", "E") };
  static const double ways[4][2] = { { 0, 100 }, { 100, 0 }, { 0, -100 }, { -100, 0 } };
  double out = d->scene->radius + 9.0 * d->line_scale + 11.0 * d->text_scale;
  FilSkyPoint centre;

  get_centre (d->scene, &centre);
  for (int i = 0; i < 4; i++)
    {
      FilSkyPoint way = direction (d->scene, ways[i][0], ways[i][1]);

      label_centred (d, names[i], centre.x + out * way.x, centre.y + out * way.y, FONT_PX + 1.0,
                     TRUE, "window_fg_color");
    }
}

/* An arrow of its own: north in the sky is P away from the axis. */
static void
draw_sky_north (Drawing *d)
{
  double p = d->scene->view.sun.p_deg * G_PI / 180.0;
  FilSkyPoint centre, way = direction (d->scene, 100.0 * sin (p), 100.0 * cos (p));
  double from = d->scene->radius + 3.0, to = from + 15.0 * d->line_scale;
  double tip_x, tip_y, head = 5.0 * d->line_scale;

  get_centre (d->scene, &centre);
  tip_x = centre.x + to * way.x;
  tip_y = centre.y + to * way.y;
  cairo_set_line_width (d->cr, 1.6 * d->line_scale);
  set_color (d, "quiet_fg");
  cairo_move_to (d->cr, centre.x + from * way.x, centre.y + from * way.y);
  cairo_line_to (d->cr, tip_x, tip_y);
  cairo_move_to (d->cr, tip_x - head * (way.x + 0.7 * way.y), tip_y - head * (way.y - 0.7 * way.x));
  cairo_line_to (d->cr, tip_x, tip_y);
  cairo_line_to (d->cr, tip_x - head * (way.x - 0.7 * way.y), tip_y - head * (way.y + 0.7 * way.x));
  cairo_stroke (d->cr);
  take_line (d, &(FilSkyPoint) { centre.x + from * way.x, centre.y + from * way.y },
             &(FilSkyPoint) { tip_x, tip_y });
  label_point (d, _("sky north"), tip_x, tip_y, 6.0, FALSE, TRUE, "quiet_fg");
}

/* Numbers of the grid: parallels along the central meridian's left, meridians
 * along the equator, every 30°. */
static void
label_grid (Drawing *d)
{
  for (int value = -60; value <= 60; value += 30)
    for (int parallel = 0; parallel < 2; parallel++)
      {
        Box box = { 0 };
        g_autofree char *text = g_strdup_printf ("%d°", ABS (value));
        g_autoptr (PangoLayout) layout = NULL;
        FilSkyPoint at;

        if (value == 0 || !fil_disc_view_from_disc (&d->scene->view, parallel ? value : 0.0,
                                                    parallel ? 0.0 : value, &at))
          continue;
        to_widget (d->scene, &at);
        layout = make_text (d, text, GRID_FONT_PX, FALSE, &box);
        box = (Box) { at.x - box.width / 2.0 - 2.0, at.y - box.height / 2.0, box.width + 4.0,
                      box.height, FALSE };
        if (!is_free (d, &box, FALSE))
          continue;
        set_color (d, "raised_bg");
        cairo_rectangle (d->cr, box.x, box.y, box.width, box.height);
        cairo_fill (d->cr);
        set_color (d, "quiet_fg");
        cairo_move_to (d->cr, box.x + 2.0, box.y);
        pango_cairo_show_layout (d->cr, layout);
        take (d, &box);
      }
}

/* The camera's field ------------------------------------------------------ */

static void
draw_field (Drawing *d)
{
  static const double dashes[] = { 6.0, 4.0 };
  const FilPlace *place = d->scene->place;
  gboolean known = place != NULL && place->placed && place->oriented;
  FilSkyPoint corners[4];

  if (place == NULL || !fil_disc_view_get_field (&d->scene->view, place, d->scene->width,
                                                 d->scene->height, corners))
    return;

  for (int i = 0; i < 4; i++)
    {
      to_widget (d->scene, &corners[i]);
      cairo_line_to (d->cr, corners[i].x, corners[i].y);
    }
  cairo_close_path (d->cr);
  if (!known)
    cairo_set_dash (d->cr, dashes, 2, 0.0);
  cairo_set_line_width (d->cr, 4.0 * d->line_scale);
  set_color (d, "window_bg_color");
  cairo_stroke_preserve (d->cr);
  cairo_set_line_width (d->cr, 2.0 * d->line_scale);
  set_color (d, "trace_color");
  cairo_stroke (d->cr);
  cairo_set_dash (d->cr, NULL, 0, 0.0);
  for (int i = 0; i < 4; i++)
    take_line (d, &corners[i], &corners[(i + 1) % 4]);
  /* The side along the picture's top is the thick one. */
  cairo_move_to (d->cr, corners[0].x, corners[0].y);
  cairo_line_to (d->cr, corners[1].x, corners[1].y);
  cairo_set_line_width (d->cr, 4.0 * d->line_scale);
  cairo_stroke (d->cr);
}

static void
label_field (Drawing *d)
{
  const FilPlace *place = d->scene->place;
  gboolean known = place != NULL && place->placed && place->oriented;
  FilSkyPoint corners[4], centre;
  double x = 0.0, lowest = 0.0;

  if (place == NULL || !fil_disc_view_get_field (&d->scene->view, place, d->scene->width,
                                                 d->scene->height, corners))
    return;
  for (int i = 0; i < 4; i++)
    {
      to_widget (d->scene, &corners[i]);
      x += corners[i].x / 4.0;
      lowest = MAX (lowest, corners[i].y);
    }
  get_centre (d->scene, &centre);
  label_point (d, known ? _("the camera’s field") : _("the camera’s field, its place not known"),
               x, lowest + 4.0 + 8.0 * d->text_scale, 2.0, FALSE, FALSE, "window_fg_color");
}

/* Targets ----------------------------------------------------------------- */

static FilSkyPoint
point_of (const FilDiscScene   *scene,
          const FilTargetPlace *place)
{
  FilSkyPoint at;

  fil_sky_from_angle (&scene->view, 60.0 * place->west_arcmin, 60.0 * place->north_arcmin, &at);
  to_widget (scene, &at);

  return at;
}

/* What is behind the limb stands outside of it, on its side. */
static FilSkyPoint
hidden_point (const FilDiscScene   *scene,
              const FilTargetPlace *place)
{
  FilSkyPoint centre, way = direction (scene, place->west_arcmin, place->north_arcmin);

  get_centre (scene, &centre);

  return (FilSkyPoint) { centre.x + (scene->radius + 12.0) * way.x,
                         centre.y + (scene->radius + 12.0) * way.y };
}

static void
draw_head (Drawing           *d,
           const FilSkyPoint *from,
           const FilSkyPoint *to)
{
  double length = hypot (to->x - from->x, to->y - from->y), size = 7.0 * d->line_scale;
  double x = (to->x - from->x) / length, y = (to->y - from->y) / length;

  if (!(length > 0.0))
    return;
  cairo_move_to (d->cr, to->x - size * (x + 0.6 * y), to->y - size * (y - 0.6 * x));
  cairo_line_to (d->cr, to->x, to->y);
  cairo_line_to (d->cr, to->x - size * (x - 0.6 * y), to->y - size * (y + 0.6 * x));
  cairo_stroke (d->cr);
}

/* Along its parallel, from where it was seen to where it is now. */
static void
draw_path (Drawing           *d,
           const FilDiscMark *mark)
{
  double turned = mark->now.longitude_deg - mark->then.longitude_deg;
  double gap = (DOT_PX + 3.0) * d->line_scale;   /* the arrow ends before the dot */
  FilSkyPoint at = { 0 }, before = { 0 }, end = point_of (d->scene, &mark->now);

  cairo_set_line_width (d->cr, 2.0 * d->line_scale);
  set_color (d, mark->current ? "crest_color" : "trace_color");
  for (int i = 0; i <= PATH_STEPS; i++)
    {
      double share = (double) i / PATH_STEPS;
      FilSkyPoint next;

      if (!fil_disc_view_from_disc (&d->scene->view, mark->now.latitude_deg,
                                    mark->then.longitude_deg + share * turned, &next))
        break;
      to_widget (d->scene, &next);
      if (i > 0 && hypot (next.x - end.x, next.y - end.y) < gap)
        break;
      before = i > 0 ? at : next;
      take_line (d, &before, &next);
      at = next;
      cairo_line_to (d->cr, at.x, at.y);
    }
  cairo_stroke (d->cr);
  draw_head (d, &before, &at);
}

static void
draw_ring (Drawing           *d,
           const FilSkyPoint *at,
           gboolean           current,
           gboolean           filled)
{
  cairo_arc (d->cr, at->x, at->y, DOT_PX * d->line_scale, 0.0, 2.0 * G_PI);
  set_color (d, filled ? (current ? "crest_color" : "trace_color") : "window_bg_color");
  cairo_fill_preserve (d->cr);
  cairo_set_line_width (d->cr, 2.0 * d->line_scale);
  set_color (d, filled ? "window_bg_color" : current ? "crest_color" : "trace_color");
  cairo_stroke (d->cr);
}

static gboolean
has_path (const FilDiscScene *scene,
          const FilDiscMark  *mark)
{
  FilSkyPoint from, to;

  if (!mark->then.seen || !mark->now.seen ||
      mark->now.longitude_deg <= mark->then.longitude_deg)
    return FALSE;
  from = point_of (scene, &mark->then);
  to = point_of (scene, &mark->now);

  return hypot (to.x - from.x, to.y - from.y) >= PATH_LEAST;
}

static void
draw_mark (Drawing           *d,
           const FilDiscMark *mark)
{
  FilSkyPoint at = mark->now.seen ? point_of (d->scene, &mark->now)
                                  : hidden_point (d->scene, &mark->now), then;

  if (has_path (d->scene, mark))
    {
      then = point_of (d->scene, &mark->then);
      draw_path (d, mark);
      draw_ring (d, &then, mark->current, FALSE);
      take_dot (d, then.x, then.y);
    }
  draw_ring (d, &at, mark->current, mark->now.seen);
  take_dot (d, at.x, at.y);
}

static void
label_mark (Drawing           *d,
            const FilDiscMark *mark)
{
  FilSkyPoint at = mark->now.seen ? point_of (d->scene, &mark->now)
                                  : hidden_point (d->scene, &mark->now);

  double gap = 3.0 + 1.4 * DOT_PX * d->line_scale;
  const char *color = mark->current ? "crest_color" : "window_fg_color";

  /* Half a name tells more than none. */
  if (!label_point (d, mark->name, at.x, at.y, gap, TRUE, !mark->now.seen, color) &&
      g_utf8_strlen (mark->name, -1) > SHORT_NAME)
    {
      g_autofree char *start = g_utf8_substring (mark->name, 0, SHORT_NAME - 2);
      g_autofree char *shorter = g_strconcat (g_strchomp (start), "…", NULL);

      label_point (d, shorter, at.x, at.y, gap, TRUE, !mark->now.seen, color);
    }
}

static void
label_then (Drawing           *d,
            const FilDiscMark *mark)
{
  FilSkyPoint then;

  if (!has_path (d->scene, mark))
    return;
  then = point_of (d->scene, &mark->then);
  label_point (d, mark->ago, then.x, then.y, 3.0 + 1.4 * DOT_PX * d->line_scale, FALSE,
               FALSE, "quiet_fg");
}

/* All marks first, then all words: no word lies under a line. The current
 * target comes last, and its name first. */
void
fil_disc_map_draw (GtkWidget          *widget,
                   cairo_t            *cr,
                   const FilDiscScene *scene)
{
  Drawing d = { .widget = widget, .cr = cr, .scene = scene,
                .text_scale = fil_plot_text_scale (widget),
                .line_scale = fil_plot_line_scale (widget) };

  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  fill_disc (&d);
  stroke_grid (&d);
  stroke_limb (&d);
  stroke_axis (&d);
  draw_field (&d);
  for (int current = 0; current < 2; current++)
    for (guint i = 0; i < scene->marks->len; i++)
      {
        const FilDiscMark *mark = g_ptr_array_index (scene->marks, i);

        if (mark->current == (current == 1))
          draw_mark (&d, mark);
      }
  label_directions (&d);
  for (int other = 0; other < 2; other++)
    for (guint i = 0; i < scene->marks->len; i++)
      {
        const FilDiscMark *mark = g_ptr_array_index (scene->marks, i);

        if (mark->current == (other == 0))
          label_mark (&d, mark);
      }
  for (guint i = 0; i < scene->marks->len; i++)
    label_then (&d, g_ptr_array_index (scene->marks, i));
  if (scene->up != FIL_DISC_UP_NORTH)
    draw_sky_north (&d);
  label_field (&d);
  label_grid (&d);
}

/* fil-picture-sky-draw.c: grid, limb and the way to the disc's centre, drawn
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Frames come thirty times a second, and lines change once in a while: they
 * are drawn once into an image, and that is put over each frame. */

#include <math.h>

#include "fil-overlay.h"
#include "fil-picture-sky-private.h"
#include "fil-plot.h"

#define OUTLINE 2.0   /* the dark outside of a line, added on both sides together */
#define CENTRE  9.0   /* half of the mark in the disc's centre */
#define ROUND   4.0   /* corners of a plate */

typedef enum
{
  GRID,
  STRONG,
  LIMB,
  N_PENS,
} PenKind;

static const struct
{
  double      width;
  const char *colour;
} pens[N_PENS] = {
  [GRID] = { 1.0, FIL_OVERLAY_EARTH },
  [STRONG] = { 2.0, FIL_OVERLAY_EARTH },
  [LIMB] = { 2.0, FIL_OVERLAY_WHITE },
};

static void
set_colour (cairo_t    *cr,
            const char *name)
{
  GdkRGBA colour = { 0 };

  gdk_rgba_parse (&colour, name);
  gdk_cairo_set_source_rgba (cr, &colour);
}

static PenKind
get_pen (const FilSkyLine *line)
{
  if (line->kind == FIL_SKY_LINE_LIMB || line->kind == FIL_SKY_LINE_FITTED)
    return LIMB;

  return line->strong ? STRONG : GRID;
}

static void
trace_line (FilPicture       *self,
            cairo_t          *cr,
            const FilSkyLine *line)
{
  const GArray *points = self->sky.lines->points;

  for (guint i = 0; i < line->n_points; i++)
    {
      double x, y;

      fil_picture_from_point (self, &g_array_index (points, FilSkyPoint, line->first + i), &x, &y);
      if (i == 0)
        cairo_move_to (cr, x, y);
      else
        cairo_line_to (cr, x, y);
    }
}

/* Each by itself: a path of all would be slow where they cross. */
static void
stroke_lines (FilPicture *self,
              cairo_t    *cr,
              PenKind     pen)
{
  const GArray *lines = self->sky.lines->lines;

  for (guint i = 0; i < lines->len; i++)
    {
      const FilSkyLine *line = &g_array_index (lines, FilSkyLine, i);

      if (get_pen (line) != pen)
        continue;
      trace_line (self, cr, line);
      cairo_stroke (cr);
    }
}

/* All outlines first, so that none is drawn over a line. What is nominal is
 * dashed; the limb is drawn only once its place is known. */
static void
draw_lines (FilPicture *self,
            cairo_t    *cr)
{
  static const double dashes[] = { 9.0, 7.0 };
  const FilPictureSky *sky = &self->sky;
  gboolean nominal = sky->known && (!sky->place.oriented || !sky->place.placed);

  cairo_set_line_join (cr, CAIRO_LINE_JOIN_BEVEL);
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_FAST);
  for (int dark = 1; dark >= 0; dark--)
    for (int pen = GRID; pen < N_PENS; pen++)
      {
        cairo_set_dash (cr, dashes, nominal && pen != LIMB ? G_N_ELEMENTS (dashes) : 0, 0.0);
        cairo_set_line_width (cr, pens[pen].width + (dark ? OUTLINE : 0.0));
        set_colour (cr, dark ? FIL_OVERLAY_DARK : pens[pen].colour);
        stroke_lines (self, cr, (PenKind) pen);
      }
  cairo_set_dash (cr, NULL, 0, 0.0);
}

static void
draw_centre (FilPicture *self,
             cairo_t    *cr)
{
  double x, y;

  fil_picture_from_point (self, &self->sky.centre.at, &x, &y);
  for (int dark = 1; dark >= 0; dark--)
    {
      double half = CENTRE + dark;

      cairo_move_to (cr, x - half, y);
      cairo_line_to (cr, x + half, y);
      cairo_move_to (cr, x, y - half);
      cairo_line_to (cr, x, y + half);
      set_colour (cr, dark ? FIL_OVERLAY_DARK : FIL_OVERLAY_WHITE);
      cairo_set_line_width (cr, dark ? 2.0 + 2 * OUTLINE : 2.0);
      cairo_stroke (cr);
    }
}

static void
trace_arrow (const FilPictureSky *sky,
             cairo_t             *cr)
{
  const double length = (double) FIL_ARROW_LENGTH, head = 20.0, wing = 13.0, stem = 4.5;
  const double outline[][2] = { { 0, 0 },           { head, wing },    { head, stem },
                                { length, stem },   { length, -stem }, { head, -stem },
                                { head, -wing } };
  const FilSkyPoint *way = &sky->centre.edge_towards;

  for (gsize i = 0; i < G_N_ELEMENTS (outline); i++)
    cairo_line_to (cr, sky->arrow_x - outline[i][0] * way->x - outline[i][1] * way->y,
                   sky->arrow_y - outline[i][0] * way->y + outline[i][1] * way->x);
  cairo_close_path (cr);
}

/* Over all else, the patch too, as plates are. */
void
fil_picture_sky_append_arrow (FilPicture  *self,
                              GtkSnapshot *snapshot)
{
  const FilPictureSky *sky = &self->sky;
  const float reach = FIL_ARROW_LENGTH + 4.0f;
  cairo_t *cr;

  if (!sky->arrow_shown)
    return;

  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT ((float) sky->arrow_x - reach,
                                                                 (float) sky->arrow_y - reach,
                                                                 2 * reach, 2 * reach));
  trace_arrow (sky, cr);
  set_colour (cr, FIL_OVERLAY_DARK);
  cairo_set_line_width (cr, 2 * OUTLINE);
  cairo_stroke_preserve (cr);
  set_colour (cr, FIL_OVERLAY_AMBER);
  cairo_fill (cr);
  cairo_destroy (cr);
}

static void
draw_plate (cairo_t               *cr,
            const graphene_rect_t *at)
{
  fil_plot_round_rectangle (cr, (double) at->origin.x, (double) at->origin.y,
                            (double) at->size.width, (double) at->size.height, ROUND);
  set_colour (cr, FIL_OVERLAY_DARK);
  cairo_fill (cr);
}

static void
draw_names (FilPicture *self,
            cairo_t    *cr)
{
  const GArray *texts = self->sky.texts;
  PangoLayout *layout = gtk_widget_create_pango_layout (self->sky.name, NULL);

  for (guint i = 0; i < texts->len; i++)
    {
      const FilSkyText *text = &g_array_index (texts, FilSkyText, i);

      draw_plate (cr, &text->at);
      pango_layout_set_text (layout, text->text, -1);
      cairo_move_to (cr, (double) (text->at.origin.x + FIL_NAME_PADDING),
                     (double) text->at.origin.y);
      set_colour (cr, FIL_OVERLAY_WHITE);
      pango_cairo_show_layout (cr, layout);
    }
  g_object_unref (layout);
}

static gboolean
has_anything (const FilPictureSky *sky)
{
  return sky->lines->lines->len > 0 || sky->centre_shown;
}

static void
draw_all (FilPicture            *self,
          const graphene_rect_t *shown,
          cairo_surface_t       *image)
{
  cairo_t *cr = cairo_create (image);

  cairo_translate (cr, -(double) shown->origin.x, -(double) shown->origin.y);
  draw_lines (self, cr);
  if (self->sky.centre_shown)
    draw_centre (self, cr);
  draw_names (self, cr);
  cairo_destroy (cr);
}

static GskRenderNode *
node_new (FilPicture            *self,
          const graphene_rect_t *shown)
{
  int scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  cairo_surface_t *image =
    cairo_image_surface_create (CAIRO_FORMAT_ARGB32,
                                (int) ceilf (shown->size.width * (float) scale),
                                (int) ceilf (shown->size.height * (float) scale));
  GskRenderNode *node = gsk_cairo_node_new (shown);
  cairo_t *cr = gsk_cairo_node_get_draw_context (node);

  cairo_surface_set_device_scale (image, scale, scale);
  draw_all (self, shown, image);
  cairo_set_source_surface (cr, image, (double) shown->origin.x, (double) shown->origin.y);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (image);

  return node;
}

/* Draws anew only what isn't right any more. */
void
fil_picture_sky_append (FilPicture  *self,
                        GtkSnapshot *snapshot)
{
  FilPictureSky *sky = &self->sky;
  graphene_rect_t shown;

  if (sky->node_stale)
    {
      g_clear_pointer (&sky->node, gsk_render_node_unref);
      if (has_anything (sky) && fil_picture_get_shown (self, &shown))
        sky->node = node_new (self, &shown);
      sky->node_stale = FALSE;
    }
  if (sky->node != NULL)
    gtk_snapshot_append_node (snapshot, sky->node);
}

/* fil-light-shapes.c: what each kind of element looks like in section
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The shapes are those of textbook ray diagrams. Each is drawn about the
 * origin, which its caller puts on the axis; h is half its height. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-light-shapes.h"
#include "fil-plot.h"

#define LINE_PX   1.6
#define WHOLE_ALPHA 0.62   /* of light that nothing has weakened */

typedef struct
{
  cairo_t   *cr;
  GtkWidget *widget;
} Pen;

static void
stroke (const Pen *pen)
{
  cairo_set_line_width (pen->cr, LINE_PX * fil_plot_line_scale (pen->widget));
  fil_plot_set_color (pen->cr, pen->widget, "window_fg_color");
  cairo_stroke (pen->cr);
}

static void
fill_and_stroke (const Pen  *pen,
                 const char *color_name)
{
  fil_plot_set_color (pen->cr, pen->widget, color_name);
  cairo_fill_preserve (pen->cr);
  stroke (pen);
}

/* A rough colour for a wavelength, for a tint and nothing else: hue from
 * violet at 400 nm to red at 650 nm. */
static void
get_tint (double   wavelength_nm,
          GdkRGBA *color)
{
  float hue = (float) (0.76 * CLAMP ((650.0 - wavelength_nm) / 250.0, 0.0, 1.0));

  gtk_hsv_to_rgb (hue, 0.75f, 0.85f, &color->red, &color->green, &color->blue);
  color->alpha = 0.8f;
}

static void
set_beam_color (const Pen          *pen,
                const FilDrawnBeam *beam)
{
  GdkRGBA color;

  if (isnan (beam->wavelength_nm))
    gtk_style_context_lookup_color (gtk_widget_get_style_context (pen->widget), "light_color",
                                    &color);
  else
    get_tint (beam->wavelength_nm, &color);
  color.alpha = (float) (WHOLE_ALPHA * MAX (beam->strength, 0.4));
  gdk_cairo_set_source_rgba (pen->cr, &color);
}

static void
trace_beam (cairo_t               *cr,
            const FilLightDrawing *drawing,
            double                 sign)
{
  for (guint i = 0; i < drawing->beams->len; i++)
    {
      const FilDrawnBeam *beam = &g_array_index (drawing->beams, FilDrawnBeam, i);

      if (i == 0)
        cairo_move_to (cr, beam->x0, drawing->axis_y + sign * beam->r0);
      cairo_line_to (cr, beam->x1, drawing->axis_y + sign * beam->r1);
    }
}

/* A beam's corner, on its rim. @side: −1: the upper one, 1: the lower one */
static void
corner (const Pen          *pen,
        const FilDrawnBeam *beam,
        double              axis_y,
        gboolean            end,
        double              side)
{
  double fall = (beam->r1 - beam->r0) / MAX (beam->x1 - beam->x0, 1.0);
  /* Whole pixels: the seams between beams don't show. */
  double x = round (end ? beam->x1 : beam->x0), r = end ? beam->r1 : beam->r0;
  double aside = side * r * (end ? beam->slant1 : beam->slant0);

  cairo_line_to (pen->cr, x + aside, axis_y + side * (r + fall * aside));
}

/**
 * fil_light_shapes_draw_beam:
 *
 * The cone, lighter behind filters and tinted behind a bandpass, its rim, and
 * the axis.
 */
void
fil_light_shapes_draw_beam (cairo_t               *cr,
                            GtkWidget             *widget,
                            const FilLightDrawing *drawing)
{
  const Pen pen = { cr, widget };

  for (guint i = 0; i < drawing->beams->len; i++)
    {
      const FilDrawnBeam *beam = &g_array_index (drawing->beams, FilDrawnBeam, i);

      corner (&pen, beam, drawing->axis_y, FALSE, -1.0);
      corner (&pen, beam, drawing->axis_y, TRUE, -1.0);
      corner (&pen, beam, drawing->axis_y, TRUE, 1.0);
      corner (&pen, beam, drawing->axis_y, FALSE, 1.0);
      cairo_close_path (cr);
      set_beam_color (&pen, beam);
      cairo_fill (cr);
    }

  trace_beam (cr, drawing, -1.0);
  trace_beam (cr, drawing, 1.0);
  cairo_set_line_width (cr, fil_plot_line_scale (widget));
  fil_plot_set_color (cr, widget, "ray_color");
  cairo_stroke (cr);
}

/* The Sun's disc, cut off by the edge of the picture. */
void
fil_light_shapes_draw_sun (cairo_t               *cr,
                           GtkWidget             *widget,
                           const FilDrawnElement *sky,
                           double                 axis_y)
{
  const Pen pen = { cr, widget };

  cairo_arc (cr, sky->x, axis_y, 0.42 * sky->radius, 0.0, 2.0 * G_PI);
  fill_and_stroke (&pen, "light_color");
  cairo_new_sub_path (cr);
  cairo_arc (cr, sky->x + 0.1 * sky->radius, axis_y - 0.08 * sky->radius, 2.2, 0.0, 2.0 * G_PI);
  fil_plot_set_color (cr, widget, "window_fg_color");
  cairo_fill (cr);
}

/* A face of glass from top to bottom; @bulge > 0: outwards to the right. */
static void
face (const Pen *pen,
      double     x,
      double     from,
      double     to,
      double     bulge)
{
  cairo_curve_to (pen->cr, x + bulge, from + (to - from) * 0.28, x + bulge,
                  from + (to - from) * 0.72, x, to);
}

/* Crown and flint, the crown towards the sky. */
static void
draw_lens (const Pen *pen,
           double     h)
{
  double bulge = 5.0 + h / 12.0;

  cairo_move_to (pen->cr, -3.0, -h);
  face (pen, -3.0, -h, h, -1.2 * bulge);
  cairo_line_to (pen->cr, 1.0, h);
  face (pen, 1.0, h, -h, bulge);
  cairo_close_path (pen->cr);
  fill_and_stroke (pen, "glass_color");

  cairo_move_to (pen->cr, 1.0, -h);
  face (pen, 1.0, -h, h, bulge);
  cairo_line_to (pen->cr, 9.0, h);
  face (pen, 9.0, h, -h, 0.25 * bulge);
  cairo_close_path (pen->cr);
  fill_and_stroke (pen, "glass_dark_color");
}

/* A concave mirror, unfolded like everything else: its back hatched. */
static void
draw_mirror (const Pen *pen,
             double     h)
{
  double depth = 6.0 + h / 8.0;

  cairo_move_to (pen->cr, -4.0, -h);
  face (pen, -4.0, -h, h, depth);
  cairo_line_to (pen->cr, 10.0, h);
  cairo_line_to (pen->cr, 10.0, -h);
  cairo_close_path (pen->cr);
  fill_and_stroke (pen, "glass_color");
  for (double y = -h + 4.0; y < h - 4.0; y += 7.0)
    {
      cairo_move_to (pen->cr, 10.0, y);
      cairo_line_to (pen->cr, 15.0, y + 6.0);
    }
  stroke (pen);
}

static void
draw_obstruction (const Pen *pen,
                  double     h)
{
  cairo_rectangle (pen->cr, -34.0, -h, 5.0, 2.0 * h);
  fil_plot_set_color (pen->cr, pen->widget, "window_fg_color");
  cairo_fill (pen->cr);
}

static void
draw_objective (const Pen        *pen,
                const FilElement *element,
                double            radius,
                double            h)
{
  if (element->type == FIL_OBJECTIVE_MIRROR)
    draw_mirror (pen, h);
  else
    draw_lens (pen, h);
  if (element->obstruction_mm > 0.0 && element->aperture_mm > 0.0)
    draw_obstruction (pen, CLAMP (radius * element->obstruction_mm / element->aperture_mm, 3.0,
                                  radius));
}

static void
draw_plate (const Pen  *pen,
            double      half_width,
            double      h,
            const char *color_name)
{
  cairo_rectangle (pen->cr, -half_width, -h, 2.0 * half_width, 2.0 * h);
  fill_and_stroke (pen, color_name);
}

/* In its cell, which sits over the tube's end. */
static void
draw_front_filter (const Pen        *pen,
                   const FilElement *element,
                   double            h)
{
  gboolean film = g_strcmp0 (element->material, "film") == 0;

  draw_plate (pen, film ? 2.0 : 4.5, h, "smoke_color");
  cairo_move_to (pen->cr, -9.0, -h - 4.0);
  cairo_line_to (pen->cr, 16.0, -h - 4.0);
  cairo_move_to (pen->cr, -9.0, h + 4.0);
  cairo_line_to (pen->cr, 16.0, h + 4.0);
  stroke (pen);
}

static void
arrow_head (const Pen *pen,
            double     x,
            double     y)
{
  cairo_move_to (pen->cr, x - 4.5, y - 8.0);
  cairo_line_to (pen->cr, x, y);
  cairo_line_to (pen->cr, x + 4.5, y - 8.0);
}

/* The prism across the beam, and the heat that leaves through it. */
static void
draw_wedge (const Pen *pen,
            double     radius,
            double     h)
{
  double reach = MAX (h, 22.0), spread = CLAMP (radius, 7.0, 16.0);
  double bottom = reach + 22.0;

  for (int i = -1; i <= 1; i++)
    {
      double x = 12.0 + i * spread * 0.6;

      cairo_move_to (pen->cr, x - 4.0, 0.0);
      cairo_line_to (pen->cr, x, bottom);
      arrow_head (pen, x, bottom);
    }
  cairo_set_line_width (pen->cr, LINE_PX * fil_plot_line_scale (pen->widget));
  fil_plot_set_color (pen->cr, pen->widget, "quiet_fg");
  cairo_stroke (pen->cr);
  fil_plot_text (pen->cr, pen->widget, _("heat"), 5.0 - spread, bottom - 7.0, 1.0, FALSE);

  cairo_move_to (pen->cr, -FIL_DRAWN_SLANT * reach, -reach);
  cairo_line_to (pen->cr, FIL_DRAWN_SLANT * reach, reach);
  cairo_line_to (pen->cr, FIL_DRAWN_SLANT * reach + 15.0, reach - 5.0);
  cairo_line_to (pen->cr, -FIL_DRAWN_SLANT * reach + 4.0, -reach - 3.0);
  cairo_close_path (pen->cr);
  fill_and_stroke (pen, "glass_color");
}

/* A plane mirror across the beam, hatched behind. */
static void
draw_diagonal (const Pen *pen,
               double     h)
{
  double reach = MAX (h, 20.0);

  cairo_move_to (pen->cr, -FIL_DRAWN_SLANT * reach, -reach);
  cairo_line_to (pen->cr, FIL_DRAWN_SLANT * reach, reach);
  for (double t = -0.85; t < 1.0; t += 0.28)
    {
      cairo_move_to (pen->cr, FIL_DRAWN_SLANT * t * reach, t * reach);
      cairo_line_to (pen->cr, FIL_DRAWN_SLANT * t * reach + 8.0, t * reach - 2.0);
    }
  stroke (pen);
}

/* Thinner in the middle: it makes the cone slimmer. */
static void
draw_diverging (const Pen *pen,
                double     h)
{
  cairo_move_to (pen->cr, -8.0, -h);
  face (pen, -8.0, -h, h, 7.0);
  cairo_line_to (pen->cr, 8.0, h);
  face (pen, 8.0, h, -h, -7.0);
  cairo_close_path (pen->cr);
  fill_and_stroke (pen, "glass_color");
}

static void
draw_converging (const Pen *pen,
                 double     h)
{
  cairo_move_to (pen->cr, -1.0, -h);
  face (pen, -1.0, -h, h, -9.0);
  cairo_line_to (pen->cr, 1.0, h);
  face (pen, 1.0, h, -h, 9.0);
  cairo_close_path (pen->cr);
  fill_and_stroke (pen, "glass_color");
}

/* A telecentric amplifier lets the rays go on side by side: a second lens. */
static void
draw_amplifier (const Pen        *pen,
                const FilElement *element,
                double            h)
{
  draw_diverging (pen, h);
  if (!element->telecentric)
    return;

  cairo_save (pen->cr);
  cairo_translate (pen->cr, 26.0, 0.0);
  draw_converging (pen, h);
  cairo_restore (pen->cr);
}

static void
draw_bandpass (const Pen        *pen,
               const FilElement *element,
               double            h)
{
  GdkRGBA color = { 0.5f, 0.5f, 0.5f, 0.5f };

  if (isfinite (element->centre_nm))
    get_tint (element->centre_nm, &color);
  cairo_rectangle (pen->cr, -5.0, -h, 10.0, 2.0 * h);
  gdk_cairo_set_source_rgba (pen->cr, &color);
  cairo_fill_preserve (pen->cr);
  stroke (pen);
}

static void
draw_blocker (const Pen        *pen,
              const FilElement *element,
              double            h)
{
  GdkRGBA color;

  get_tint (g_strcmp0 (element->blocks, "ultraviolet") == 0 ? 410.0 : 650.0, &color);
  color.alpha = 0.35f;
  cairo_rectangle (pen->cr, -4.0, -h, 8.0, 2.0 * h);
  gdk_cairo_set_source_rgba (pen->cr, &color);
  cairo_fill_preserve (pen->cr);
  stroke (pen);
}

/* The lines stand for the direction of the field. */
static void
draw_polariser (const Pen *pen,
                double     h)
{
  draw_plate (pen, 6.0, h, "glass_color");
  for (double y = -h + 5.0; y < h - 2.0; y += 5.0)
    {
      cairo_move_to (pen->cr, -6.0, y);
      cairo_line_to (pen->cr, 6.0, y);
    }
  stroke (pen);
}

/* The chip behind its window, in its housing. */
static void
draw_camera (const Pen *pen)
{
  double h = 24.0;

  cairo_rectangle (pen->cr, -9.0, -h, 34.0, 2.0 * h);
  fill_and_stroke (pen, "glass_dark_color");
  cairo_rectangle (pen->cr, -1.5, -13.0, 5.0, 26.0);
  fil_plot_set_color (pen->cr, pen->widget, "window_fg_color");
  cairo_fill (pen->cr);
  cairo_move_to (pen->cr, 25.0, 0.0);
  cairo_curve_to (pen->cr, 38.0, 0.0, 32.0, 14.0, 46.0, 14.0);
  stroke (pen);
}

static void
draw_shape (const Pen             *pen,
            const FilDrawnElement *drawn,
            const FilElement      *element)
{
  double h = drawn->half_height;

  switch (element->kind)
    {
    case FIL_ELEMENT_OBJECTIVE:
      draw_objective (pen, element, drawn->radius, h);
      break;
    case FIL_ELEMENT_FRONT_FILTER:
      draw_front_filter (pen, element, h);
      break;
    case FIL_ELEMENT_WEDGE:
      draw_wedge (pen, drawn->radius, h);
      break;
    case FIL_ELEMENT_DIAGONAL:
      draw_diagonal (pen, h);
      break;
    case FIL_ELEMENT_DENSITY:
      draw_plate (pen, 4.5, h, "smoke_color");
      break;
    case FIL_ELEMENT_AMPLIFIER:
      draw_amplifier (pen, element, h);
      break;
    case FIL_ELEMENT_REDUCER:
      draw_converging (pen, h);
      break;
    case FIL_ELEMENT_BANDPASS:
      draw_bandpass (pen, element, h);
      break;
    case FIL_ELEMENT_BLOCKER:
      draw_blocker (pen, element, h);
      break;
    case FIL_ELEMENT_POLARISER:
      draw_polariser (pen, h);
      break;
    case FIL_ELEMENT_CAMERA:
    default:
      draw_camera (pen);
      break;
    }
}

/* What no light reaches is drawn faintly. */
void
fil_light_shapes_draw_element (cairo_t               *cr,
                               GtkWidget             *widget,
                               const FilDrawnElement *drawn,
                               const FilElement      *element,
                               double                 axis_y)
{
  const Pen pen = { cr, widget };

  cairo_save (cr);
  cairo_translate (cr, round (drawn->x) + 0.5, round (axis_y) + 0.5);
  if (!drawn->lit)
    cairo_push_group (cr);
  draw_shape (&pen, drawn, element);
  if (!drawn->lit)
    {
      cairo_pop_group_to_source (cr);
      cairo_paint_with_alpha (cr, 0.45);
    }
  cairo_restore (cr);
}

/* fil-sun-sketch.c: how the Sun's axis and equator lie on the sky
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * As the sky shows it without a mirror: celestial north up, east left. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-disc.h"
#include "fil-plot.h"
#include "fil-sun-sketch.h"

#define ROOM_PX 30.0   /* around the disc, for its letters */
#define DEG     (G_PI / 180.0)

struct _FilSunSketch
{
  GtkWidget parent_instance;

  FilSun    sun;
  gboolean  has_sun;
};

typedef struct
{
  double x, y, radius;
} Circle;

G_DEFINE_FINAL_TYPE (FilSunSketch, fil_sun_sketch, GTK_TYPE_WIDGET)

/* A place on the Sun in pixels. Returns: whether it faces us */
static gboolean
place_of (FilSunSketch *self,
          const Circle *disc,
          double        latitude_deg,
          double        longitude_deg,
          double       *x,
          double       *y)
{
  double west, north, mu, p = self->sun.p_deg * DEG;
  gboolean seen = fil_disc_to_angle (&self->sun, latitude_deg, longitude_deg, &west, &north, &mu);
  double unit = disc->radius / self->sun.semidiameter_arcsec;

  *x = disc->x + unit * (west * cos (p) - north * sin (p));
  *y = disc->y - unit * (west * sin (p) + north * cos (p));

  return seen;
}

static void
trace_line (FilSunSketch *self,
            cairo_t      *cr,
            const Circle *disc,
            double        fixed_deg,
            gboolean      meridian)
{
  gboolean down = FALSE;

  for (double at = -90.0; at <= 90.0; at += 3.0)
    {
      double x, y;
      gboolean seen = place_of (self, disc, meridian ? at : fixed_deg, meridian ? fixed_deg : at,
                                &x, &y);

      if (seen && down)
        cairo_line_to (cr, x, y);
      else if (seen)
        cairo_move_to (cr, x, y);
      down = seen;
    }
  cairo_stroke (cr);
}

static void
draw_disc (FilSunSketch *self,
           cairo_t      *cr,
           const Circle *disc)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double thick = fil_plot_line_scale (widget);

  fil_plot_set_color (cr, widget, "raised_bg");
  cairo_arc (cr, disc->x, disc->y, disc->radius, 0.0, 2.0 * G_PI);
  cairo_fill (cr);

  fil_plot_set_color (cr, widget, "dot_color");
  cairo_set_line_width (cr, thick);
  for (double at = -60.0; at <= 60.0; at += 30.0)
    {
      trace_line (self, cr, disc, at, TRUE);
      if (at != 0.0)
        trace_line (self, cr, disc, at, FALSE);
    }

  fil_plot_set_color (cr, widget, "trace_color");
  cairo_set_line_width (cr, 2.0 * thick);
  trace_line (self, cr, disc, 0.0, FALSE);
  cairo_arc (cr, disc->x, disc->y, disc->radius, 0.0, 2.0 * G_PI);
  cairo_stroke (cr);
}

/* The axis sticks out of both poles; the part within the Sun isn't seen. The
 * name stands beside its northern end, away from celestial north. */
static void
draw_axis (FilSunSketch *self,
           cairo_t      *cr,
           const Circle *disc)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double scale = fil_plot_text_scale (widget), p = self->sun.p_deg * DEG;
  double out = disc->radius + 14.0 * scale;
  double side = p > 0.0 ? -1.0 : 1.0;

  fil_plot_set_color (cr, widget, "crest_color");
  cairo_set_line_width (cr, 2.6 * fil_plot_line_scale (widget));
  for (int end = 1; end >= -1; end -= 2)
    {
      double x, y;

      place_of (self, disc, end * 90.0, 0.0, &x, &y);
      cairo_move_to (cr, x, y);
      cairo_line_to (cr, disc->x - end * out * sin (p), disc->y - end * out * cos (p));
      cairo_stroke (cr);
    }
  fil_plot_text (cr, widget, _("solar N"), disc->x - out * sin (p) + 6.0 * side,
                 disc->y - out * cos (p) - 2.0, p > 0.0 ? 1.0 : 0.0, TRUE);
}

/* Celestial directions by short lines at the edge; north makes room where the
 * axis is. */
static void
draw_letters (FilSunSketch *self,
              cairo_t      *cr,
              const Circle *disc)
{
  static const struct { double angle_deg; const char *letter; } ends[] = {
    { 0.0, NC_("compass", "N") }, { 90.0, NC_("compass", "E") },
    { 180.0, NC_("compass", "S") }, { 270.0, NC_("compass", "W") },
  };
  GtkWidget *widget = GTK_WIDGET (self);
  double scale = fil_plot_text_scale (widget), far = disc->radius + 19.0 * scale;
  double tip = disc->radius * sin (fabs (self->sun.p_deg) * DEG);
  double aside = MAX (12.0 * scale - tip, 0.0) * (self->sun.p_deg > 0.0 ? 1.0 : -1.0);

  fil_plot_set_color (cr, widget, "quiet_fg");
  cairo_set_line_width (cr, 1.5 * fil_plot_line_scale (widget));
  for (guint i = 0; i < G_N_ELEMENTS (ends); i++)
    {
      double east = sin (ends[i].angle_deg * DEG), north = cos (ends[i].angle_deg * DEG);

      cairo_move_to (cr, disc->x - disc->radius * east, disc->y - disc->radius * north);
      cairo_rel_line_to (cr, -8.0 * east, -8.0 * north);
      cairo_stroke (cr);
      fil_plot_text (cr, widget, g_dpgettext2 (NULL, "compass", ends[i].letter),
                     disc->x - far * east + aside * north, disc->y - far * north, 0.5, FALSE);
    }
}

static void
fil_sun_sketch_snapshot (GtkWidget   *widget,
                         GtkSnapshot *snapshot)
{
  FilSunSketch *self = FIL_SUN_SKETCH (widget);
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  Circle disc = { width / 2.0, height / 2.0,
                  MIN (width, height) / 2.0 - ROOM_PX * fil_plot_text_scale (widget) };
  cairo_t *cr;

  if (!self->has_sun || disc.radius < 20.0)
    return;

  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  draw_disc (self, cr, &disc);
  draw_axis (self, cr, &disc);
  draw_letters (self, cr, &disc);
  cairo_destroy (cr);
}

static void
tell (FilSunSketch *self)
{
  g_autofree char *words = NULL;

  words = g_strdup_printf (
    self->sun.p_deg >= 0.0
      ? _("Celestial north is up, east is left. Solar north is %.1f° towards east from north; "
          "the disc’s centre has latitude %.1f°.")
      : _("Celestial north is up, east is left. Solar north is %.1f° towards west from north; "
          "the disc’s centre has latitude %.1f°."),
    fabs (self->sun.p_deg), self->sun.b0_deg);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  words, -1);
}

static void
fil_sun_sketch_class_init (FilSunSketchClass *klass)
{
  GTK_WIDGET_CLASS (klass)->snapshot = fil_sun_sketch_snapshot;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "sunsketch");
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_sun_sketch_init (FilSunSketch *self)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("The Sun’s axis on the sky"), -1);
}

/* Redrawn, and told anew, only where a tenth of a degree has changed. */
void
fil_sun_sketch_set_sun (FilSunSketch *self,
                        const FilSun *sun)
{
  gboolean same;

  g_return_if_fail (FIL_IS_SUN_SKETCH (self) && sun != NULL);

  same = self->has_sun && fabs (sun->p_deg - self->sun.p_deg) < 0.05 &&
         fabs (sun->b0_deg - self->sun.b0_deg) < 0.05;
  if (same)
    return;

  self->sun = *sun;
  self->has_sun = TRUE;
  tell (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

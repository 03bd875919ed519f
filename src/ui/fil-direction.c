/* fil-direction.c: an arrow that points any way
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-direction.h"
#include "fil-plot.h"

#define SIZE 72

struct _FilDirection
{
  GtkWidget parent_instance;

  double    angle_deg;   /* from the right, counter-clockwise; NaN: none */
};

G_DEFINE_FINAL_TYPE (FilDirection, fil_direction, GTK_TYPE_WIDGET)

static void
fil_direction_snapshot (GtkWidget   *widget,
                        GtkSnapshot *snapshot)
{
  FilDirection *self = FIL_DIRECTION (widget);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  double r = 0.46 * MIN (width, height);
  cairo_t *cr;

  if (!isfinite (self->angle_deg))
    return;

  cr = gtk_snapshot_append_cairo (snapshot,
                                  &GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height));
  cairo_translate (cr, width / 2.0, height / 2.0);
  cairo_rotate (cr, -self->angle_deg * G_PI / 180.0);
  cairo_move_to (cr, r, 0.0);
  cairo_line_to (cr, 0.1 * r, 0.72 * r);
  cairo_line_to (cr, 0.1 * r, 0.26 * r);
  cairo_line_to (cr, -0.95 * r, 0.26 * r);
  cairo_line_to (cr, -0.95 * r, -0.26 * r);
  cairo_line_to (cr, 0.1 * r, -0.26 * r);
  cairo_line_to (cr, 0.1 * r, -0.72 * r);
  cairo_close_path (cr);
  fil_plot_set_color (cr, widget, "crest_color");
  cairo_fill (cr);
  cairo_destroy (cr);
}

static void
fil_direction_measure (GtkWidget      *widget,
                       GtkOrientation  orientation,
                       int             for_size,
                       int            *minimum,
                       int            *natural,
                       int            *minimum_baseline,
                       int            *natural_baseline)
{
  *minimum = *natural = SIZE;
}

static void
fil_direction_class_init (FilDirectionClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  widget_class->snapshot = fil_direction_snapshot;
  widget_class->measure = fil_direction_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_direction_init (FilDirection *self)
{
  self->angle_deg = NAN;
}

/* @angle_deg: from the right, counter-clockwise; NaN: no arrow, its room stays */
void
fil_direction_set (FilDirection *self,
                   double        angle_deg)
{
  g_return_if_fail (FIL_IS_DIRECTION (self));

  if (self->angle_deg == angle_deg || (isnan (self->angle_deg) && isnan (angle_deg)))
    return;

  self->angle_deg = angle_deg;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

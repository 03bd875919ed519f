/* fil-glow-bar.c: how much light there is, from darkness to the disc
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logarithmic, to be read from two metres: a filled bar, a line for the most
 * there was in the last seconds, and a mark where the disc is expected. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-glow-bar.h"
#include "fil-plot.h"

#define BAR_HEIGHT   26.0
#define LABEL_HEIGHT 20.0
#define ROUND        7.0
#define HOLD_US      (4 * G_USEC_PER_SEC)
#define SMALLEST_STEP 0.002   /* of the length: less isn't seen */

struct _FilGlowBar
{
  GtkWidget parent_instance;

  double    place;        /* 0 to 1 */
  double    disc;         /* where the disc is expected; NaN: not known */
  double    most;         /* of the last HOLD_US */
  gint64    most_us;
};

G_DEFINE_FINAL_TYPE (FilGlowBar, fil_glow_bar, GTK_TYPE_WIDGET)

static void
draw_bar (FilGlowBar *self,
          cairo_t    *cr,
          double      width)
{
  GtkWidget *widget = GTK_WIDGET (self);

  fil_plot_set_color (cr, widget, "raised_bg");
  fil_plot_round_rectangle (cr, 0.0, 0.0, width, BAR_HEIGHT, ROUND);
  cairo_fill_preserve (cr);
  fil_plot_set_color (cr, widget, "bar_color");
  cairo_set_line_width (cr, fil_plot_line_scale (widget));
  cairo_stroke (cr);

  if (self->place > 0.0)
    {
      fil_plot_round_rectangle (cr, 0.0, 0.0, MAX (self->place * width, 10.0), BAR_HEIGHT, ROUND);
      cairo_fill (cr);
    }

  if (self->most > self->place + SMALLEST_STEP)
    {
      cairo_set_line_width (cr, 3.0 * fil_plot_line_scale (widget));
      cairo_move_to (cr, self->most * width - 1.5, 3.0);
      cairo_line_to (cr, self->most * width - 1.5, BAR_HEIGHT - 3.0);
      cairo_stroke (cr);
    }
}

static void
draw_labels (FilGlowBar *self,
             cairo_t    *cr,
             double      width)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double y = BAR_HEIGHT + LABEL_HEIGHT / 2.0 + 3.0;
  double x = self->disc * width;

  fil_plot_set_color (cr, widget, "quiet_fg");
  fil_plot_text (cr, widget, _("dark"), 0.0, y, 0.0, FALSE);
  if (!isfinite (self->disc))
    return;

  fil_plot_text (cr, widget, _("the disc"), CLAMP (x, 40.0, width - 40.0), y, 0.5, TRUE);
  fil_plot_set_color (cr, widget, "crest_color");
  cairo_set_line_width (cr, 3.0 * fil_plot_line_scale (widget));
  cairo_move_to (cr, x, 0.0);
  cairo_line_to (cr, x, BAR_HEIGHT + 3.0);
  cairo_stroke (cr);
}

static void
fil_glow_bar_snapshot (GtkWidget   *widget,
                       GtkSnapshot *snapshot)
{
  FilGlowBar *self = FIL_GLOW_BAR (widget);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  cairo_t *cr = gtk_snapshot_append_cairo (
    snapshot, &GRAPHENE_RECT_INIT (-2.0f, -2.0f, (float) width + 4.0f, (float) height + 4.0f));

  draw_bar (self, cr, width);
  draw_labels (self, cr, width);
  cairo_destroy (cr);
}

static void
fil_glow_bar_measure (GtkWidget      *widget,
                      GtkOrientation  orientation,
                      int             for_size,
                      int            *minimum,
                      int            *natural,
                      int            *minimum_baseline,
                      int            *natural_baseline)
{
  int height = (int) (BAR_HEIGHT + LABEL_HEIGHT * fil_plot_text_scale (widget) + 4.0);

  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 220 : height;
}

static void
fil_glow_bar_class_init (FilGlowBarClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  widget_class->snapshot = fil_glow_bar_snapshot;
  widget_class->measure = fil_glow_bar_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_METER);
}

static void
fil_glow_bar_init (FilGlowBar *self)
{
  self->disc = NAN;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self),
                                  GTK_ACCESSIBLE_PROPERTY_LABEL, _("Light of the sky"),
                                  GTK_ACCESSIBLE_PROPERTY_VALUE_MIN, 0.0,
                                  GTK_ACCESSIBLE_PROPERTY_VALUE_MAX, 100.0, -1);
}

/**
 * fil_glow_bar_set:
 * @place: 0 dark to 1
 * @disc: where the disc is expected, 0 to 1; NaN: not known
 */
void
fil_glow_bar_set (FilGlowBar *self,
                  double      place,
                  double      disc)
{
  gint64 now_us = g_get_monotonic_time ();

  g_return_if_fail (FIL_IS_GLOW_BAR (self));

  if (place >= self->most || now_us - self->most_us > HOLD_US)
    {
      self->most = place;
      self->most_us = now_us;
    }
  self->place = CLAMP (place, 0.0, 1.0);
  self->disc = disc;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_VALUE_NOW,
                                  100.0 * self->place, -1);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

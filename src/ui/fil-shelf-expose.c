/* fil-shelf-expose.c: an exposure that neither clips nor smears
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-histogram-graph.h"
#include "fil-pace.h"
#include "fil-shelf-expose.h"
#include "fil-slider.h"

struct _FilShelfExpose
{
  GtkBox             parent_instance;

  FilLive           *live;
  gint64             shown_us;          /* when the reading was last shown */
  FilControl        *exposure, *gain;   /* as they stood last; NULL: none */
  double             black, white;      /* shown as black and white, share of full */

  GtkLabel          *mean_label, *range_label, *full_label;
  FilHistogramGraph *histogram;
  FilSlider         *exposure_slider, *gain_slider, *black_slider, *white_slider;
  GtkToggleButton   *auto_button, *log_button;
};

enum
{
  SIGNAL_STRETCH_CHANGED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilShelfExpose, fil_shelf_expose, GTK_TYPE_BOX)

static void
tell_stretch (FilShelfExpose *self)
{
  g_autofree char *black = g_strdup_printf (_("%.0f %%"), 100.0 * self->black);
  g_autofree char *white = g_strdup_printf (_("%.0f %%"), 100.0 * self->white);

  fil_slider_set_text (self->black_slider, black);
  fil_slider_set_text (self->white_slider, white);
  fil_histogram_graph_set_stretch (self->histogram, self->black, self->white);
  g_signal_emit (self, signals[SIGNAL_STRETCH_CHANGED], 0, self->black, self->white);
}

/* The share of pixels that lies at or below a bin, as that bin's lower edge. */
static double
quantile (const guint32 *counts,
          double         share)
{
  double total = 0.0, sum = 0.0;

  for (int i = 0; i < FIL_HISTOGRAM_BINS; i++)
    total += counts[i];
  for (int i = 0; i < FIL_HISTOGRAM_BINS; i++)
    {
      sum += counts[i];
      if (sum >= share * total)
        return (double) i / FIL_HISTOGRAM_BINS;
    }

  return 1.0;
}

/* Follows the picture slowly and only when it has really changed: a picture
 * whose brightness flickers with every frame can't be judged. */
static void
stretch_automatically (FilShelfExpose       *self,
                       const FilLiveReading *reading)
{
  /* An umbra is a small share of the picture and must not drown in black. */
  double low = quantile (reading->histogram, 0.0003);
  double high = quantile (reading->histogram, 0.999) + 1.0 / FIL_HISTOGRAM_BINS;
  double margin = MAX (0.01, 0.06 * (high - low));
  double black = MAX (0.0, low - margin), white = MIN (1.0, high + margin);

  if (fabs (black - self->black) < 0.02 && fabs (white - self->white) < 0.02)
    return;

  self->black = black;
  self->white = MAX (white, black + 0.02);
  fil_slider_set_value (self->black_slider, self->black);
  fil_slider_set_value (self->white_slider, self->white);
  tell_stretch (self);
}

static void
show_reading (FilShelfExpose       *self,
              const FilLiveReading *reading)
{
  g_autofree char *mean = g_strdup_printf ("%.0f", 100.0 * reading->figures.mean /
                                                     reading->full_count);
  g_autofree char *range = g_strdup_printf (_("of full · %.0f to %.0f counts"),
                                            reading->figures.min, reading->figures.max);
  g_autofree char *full = g_strdup_printf (_("full pixels %.3f %% · empty %.3f %%"),
                                           100.0 * reading->figures.full_fraction,
                                           100.0 * reading->figures.empty_fraction);

  gtk_label_set_text (self->mean_label, mean);
  gtk_label_set_text (self->range_label, range);
  gtk_label_set_text (self->full_label, full);
  fil_histogram_graph_set_counts (self->histogram, reading->histogram);
}

static void
update_reading (FilShelfExpose *self)
{
  FilLiveReading reading;

  if (!fil_pace_is_due (&self->shown_us))
    return;

  fil_live_get_reading (self->live, &reading);
  if (!isfinite (reading.figures.mean) || !(reading.full_count > 0.0))
    return;

  if (gtk_toggle_button_get_active (self->auto_button))
    stretch_automatically (self, &reading);
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    show_reading (self, &reading);
}

static void
show_exposure (FilShelfExpose *self)
{
  FilSource *source = fil_live_get_source (self->live);
  double ms = source != NULL ? fil_source_get_exposure_ms (source) : NAN;
  g_autofree char *text = NULL;

  if (isfinite (ms))
    text = g_strdup_printf (ms < 10.0 ? _("%.2f ms") : _("%.1f ms"), ms);
  else if (self->exposure != NULL)
    text = g_strdup_printf (_("%.0f (the driver’s unit)"),
                            fil_slider_get_value (self->exposure_slider));
  fil_slider_set_text (self->exposure_slider, text != NULL ? text : _("the driver has none"));
}

static void
show_gain (FilShelfExpose *self)
{
  g_autofree char *text = NULL;

  if (self->gain != NULL)
    text = g_strdup_printf ("%.*f%s%s", self->gain->type == FIL_CONTROL_REAL ? 2 : 0,
                            fil_slider_get_value (self->gain_slider),
                            self->gain->unit != NULL ? " " : "",
                            self->gain->unit != NULL ? self->gain->unit : "");
  fil_slider_set_text (self->gain_slider, text != NULL ? text : _("the driver has none"));
}

static void
take_control (FilControl **held,
              FilControl  *control,
              FilSlider   *slider)
{
  gboolean usable = control != NULL &&
                    (control->flags & (FIL_CONTROL_READ_ONLY | FIL_CONTROL_INACTIVE)) == 0;

  g_clear_pointer (held, fil_control_free);
  *held = control;
  gtk_widget_set_sensitive (GTK_WIDGET (slider), usable);
  if (control == NULL)
    return;

  fil_slider_set_range (slider, control->min, control->max,
                        control->min > 0.0 && control->max > 50.0 * control->min);
  fil_slider_set_value (slider, fil_control_get_number (control));
}

static void
send_control (FilShelfExpose   *self,
              const FilControl *control,
              double            value)
{
  g_autoptr (GError) error = NULL;
  GVariant *variant;

  if (control == NULL)
    return;

  variant = control->type == FIL_CONTROL_REAL ? g_variant_new_double (value)
                                              : g_variant_new_int64 ((gint64) llround (value));
  if (!fil_live_set_control (self->live, control->id, variant, &error))
    g_message ("%s", error->message);
}

static void
exposure_moved_cb (FilShelfExpose *self,
                   double          value)
{
  send_control (self, self->exposure, value);
  show_exposure (self);
}

static void
gain_moved_cb (FilShelfExpose *self,
               double          value)
{
  send_control (self, self->gain, value);
  show_gain (self);
}

static void
stretch_moved_cb (FilShelfExpose *self)
{
  gtk_toggle_button_set_active (self->auto_button, FALSE);
  self->black = MIN (fil_slider_get_value (self->black_slider), 0.98);
  self->white = MAX (fil_slider_get_value (self->white_slider), self->black + 0.01);
  tell_stretch (self);
}

static void
auto_toggled_cb (FilShelfExpose *self)
{
  if (self->live != NULL)
    update_reading (self);
}

static void
log_changed_cb (FilShelfExpose *self)
{
  fil_histogram_graph_set_logarithmic (self->histogram,
                                       gtk_toggle_button_get_active (self->log_button));
}

static void
fil_shelf_expose_dispose (GObject *object)
{
  FilShelfExpose *self = FIL_SHELF_EXPOSE (object);

  g_clear_object (&self->live);
  g_clear_pointer (&self->exposure, fil_control_free);
  g_clear_pointer (&self->gain, fil_control_free);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_SHELF_EXPOSE);

  G_OBJECT_CLASS (fil_shelf_expose_parent_class)->dispose (object);
}

static void
fil_shelf_expose_class_init (FilShelfExposeClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_shelf_expose_dispose;

  signals[SIGNAL_STRETCH_CHANGED] =
    g_signal_new ("stretch-changed", FIL_TYPE_SHELF_EXPOSE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                  NULL, G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);

  g_type_ensure (FIL_TYPE_HISTOGRAM_GRAPH);
  g_type_ensure (FIL_TYPE_SLIDER);
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-shelf-expose.ui");
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, mean_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, range_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, full_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, histogram);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, exposure_slider);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, gain_slider);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, black_slider);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, white_slider);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, auto_button);
  gtk_widget_class_bind_template_child (widget_class, FilShelfExpose, log_button);
  gtk_widget_class_bind_template_callback (widget_class, exposure_moved_cb);
  gtk_widget_class_bind_template_callback (widget_class, gain_moved_cb);
  gtk_widget_class_bind_template_callback (widget_class, stretch_moved_cb);
  gtk_widget_class_bind_template_callback (widget_class, auto_toggled_cb);
}

static void
fil_shelf_expose_init (FilShelfExpose *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));

  self->white = 1.0;
  fil_slider_set_range (self->black_slider, 0.0, 1.0, FALSE);
  fil_slider_set_range (self->white_slider, 0.0, 1.0, FALSE);
  fil_slider_set_value (self->white_slider, 1.0);
  g_signal_connect_object (self->log_button, "toggled", G_CALLBACK (log_changed_cb), self,
                           G_CONNECT_SWAPPED);
}

void
fil_shelf_expose_set_live (FilShelfExpose *self,
                           FilLive        *live)
{
  g_return_if_fail (FIL_IS_SHELF_EXPOSE (self) && self->live == NULL);

  self->live = g_object_ref (live);
  g_signal_connect_object (live, "reading", G_CALLBACK (update_reading), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (live, "control-changed",
                           G_CALLBACK (fil_shelf_expose_update_controls), self,
                           G_CONNECT_SWAPPED);
}

void
fil_shelf_expose_set_settings (FilShelfExpose *self,
                               GSettings      *settings)
{
  g_return_if_fail (FIL_IS_SHELF_EXPOSE (self));

  g_settings_bind (settings, "histogram-log", self->log_button, "active",
                   G_SETTINGS_BIND_DEFAULT);
  log_changed_cb (self);
}

/* Asks the source for its exposure and gain again; a new source, or a change. */
void
fil_shelf_expose_update_controls (FilShelfExpose *self)
{
  FilSource *source;

  g_return_if_fail (FIL_IS_SHELF_EXPOSE (self));

  source = fil_live_get_source (self->live);
  take_control (&self->exposure,
                source != NULL ? fil_source_dup_role (source, FIL_ROLE_EXPOSURE) : NULL,
                self->exposure_slider);
  take_control (&self->gain,
                source != NULL ? fil_source_dup_role (source, FIL_ROLE_GAIN) : NULL,
                self->gain_slider);
  show_exposure (self);
  show_gain (self);
}

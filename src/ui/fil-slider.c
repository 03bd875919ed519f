/* fil-slider.c: a named value on a scale, in the shelf
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-slider.h"

struct _FilSlider
{
  GtkBox    parent_instance;

  GtkLabel *title, *text;
  GtkScale *scale;
  gboolean  logarithmic;
  gboolean  setting;      /* the program moves it, not the user */
};

enum
{
  PROP_0,
  PROP_TITLE,
  N_PROPS
};

enum
{
  SIGNAL_MOVED,
  N_SIGNALS
};

static GParamSpec *properties[N_PROPS];
static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilSlider, fil_slider, GTK_TYPE_BOX)

static double
to_scale (FilSlider *self,
          double     value)
{
  return self->logarithmic ? log (value) : value;
}

static void
value_changed_cb (FilSlider *self)
{
  if (!self->setting)
    g_signal_emit (self, signals[SIGNAL_MOVED], 0, fil_slider_get_value (self));
}

static void
fil_slider_set_property (GObject      *object,
                         guint         prop_id,
                         const GValue *value,
                         GParamSpec   *pspec)
{
  switch (prop_id)
    {
    case PROP_TITLE:
      fil_slider_set_title (FIL_SLIDER (object), g_value_get_string (value));
      break;

    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
    }
}

static void
fil_slider_class_init (FilSliderClass *klass)
{
  G_OBJECT_CLASS (klass)->set_property = fil_slider_set_property;

  properties[PROP_TITLE] = g_param_spec_string ("title", NULL, NULL, NULL,
                                                G_PARAM_WRITABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (G_OBJECT_CLASS (klass), N_PROPS, properties);

  signals[SIGNAL_MOVED] = g_signal_new ("moved", FIL_TYPE_SLIDER, G_SIGNAL_RUN_LAST, 0, NULL,
                                        NULL, NULL, G_TYPE_NONE, 1, G_TYPE_DOUBLE);
}

static void
fil_slider_init (FilSlider *self)
{
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);

  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_widget_set_hexpand (GTK_WIDGET (self), FALSE);

  self->title = GTK_LABEL (gtk_label_new (NULL));
  gtk_label_set_xalign (self->title, 0.0);
  gtk_widget_set_hexpand (GTK_WIDGET (self->title), TRUE);
  gtk_widget_add_css_class (GTK_WIDGET (self->title), "caption");
  self->text = GTK_LABEL (gtk_label_new (NULL));
  gtk_widget_add_css_class (GTK_WIDGET (self->text), "slider-value");
  gtk_box_append (GTK_BOX (head), GTK_WIDGET (self->title));
  gtk_box_append (GTK_BOX (head), GTK_WIDGET (self->text));

  self->scale = GTK_SCALE (gtk_scale_new_with_range (GTK_ORIENTATION_HORIZONTAL, 0.0, 1.0, 0.001));
  gtk_scale_set_draw_value (self->scale, FALSE);
  g_signal_connect_object (self->scale, "value-changed", G_CALLBACK (value_changed_cb), self,
                           G_CONNECT_SWAPPED);

  gtk_box_append (GTK_BOX (self), head);
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->scale));
}

void
fil_slider_set_title (FilSlider  *self,
                      const char *title)
{
  g_return_if_fail (FIL_IS_SLIDER (self));

  gtk_label_set_text (self->title, title);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->scale), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  title, -1);
}

/* @logarithmic: only honoured where @min is above 0 */
void
fil_slider_set_range (FilSlider *self,
                      double     min,
                      double     max,
                      gboolean   logarithmic)
{
  double low, high;

  g_return_if_fail (FIL_IS_SLIDER (self));

  if (!isfinite (min) || !isfinite (max) || max <= min)
    return;

  self->logarithmic = logarithmic && min > 0.0;
  low = to_scale (self, min);
  high = to_scale (self, max);
  self->setting = TRUE;
  gtk_range_set_range (GTK_RANGE (self->scale), low, high);
  gtk_range_set_increments (GTK_RANGE (self->scale), (high - low) / 100.0,
                            (high - low) / 20.0);
  self->setting = FALSE;
}

/* Moves the knob without a signal. */
void
fil_slider_set_value (FilSlider *self,
                      double     value)
{
  g_return_if_fail (FIL_IS_SLIDER (self));

  if (!isfinite (value) || (self->logarithmic && value <= 0.0))
    return;

  self->setting = TRUE;
  gtk_range_set_value (GTK_RANGE (self->scale), to_scale (self, value));
  self->setting = FALSE;
}

/* @text: the value with its unit */
void
fil_slider_set_text (FilSlider  *self,
                     const char *text)
{
  g_return_if_fail (FIL_IS_SLIDER (self));

  gtk_label_set_text (self->text, text);
}

double
fil_slider_get_value (FilSlider *self)
{
  double value;

  g_return_val_if_fail (FIL_IS_SLIDER (self), 0.0);

  value = gtk_range_get_value (GTK_RANGE (self->scale));

  return self->logarithmic ? exp (value) : value;
}

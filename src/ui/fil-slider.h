/* fil-slider.h: a named value on a scale, in the shelf
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define FIL_TYPE_SLIDER (fil_slider_get_type ())
G_DECLARE_FINAL_TYPE (FilSlider, fil_slider, FIL, SLIDER, GtkBox)

/* Signals: "moved" (double value), by the user only. */
void   fil_slider_set_title (FilSlider  *self,
                             const char *title);
void   fil_slider_set_range (FilSlider  *self,
                             double      min,
                             double      max,
                             gboolean    logarithmic);
void   fil_slider_set_value (FilSlider  *self,
                             double      value);
void   fil_slider_set_text  (FilSlider  *self,
                             const char *text);
double fil_slider_get_value (FilSlider  *self);

G_END_DECLS

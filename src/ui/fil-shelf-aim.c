/* fil-shelf-aim.c: finding the Sun and framing it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-optics.h"
#include "fil-pace.h"
#include "fil-shelf-aim.h"

struct _FilShelfAim
{
  GtkBox    parent_instance;

  FilLive  *live;
  gint64    shown_us;      /* when the reading was last shown */
  GtkLabel *signal_label, *exposure_label;
  GtkLabel *field_label, *share_label, *pixel_label;
};

G_DEFINE_FINAL_TYPE (FilShelfAim, fil_shelf_aim, GTK_TYPE_BOX)

static void
update_reading (FilShelfAim *self)
{
  FilLiveReading reading;
  g_autofree char *signal = NULL, *exposure = NULL;

  if (!gtk_widget_get_mapped (GTK_WIDGET (self)) || !fil_pace_is_due (&self->shown_us))
    return;

  fil_live_get_reading (self->live, &reading);
  if (isfinite (reading.figures.mean) && reading.full_count > 0.0)
    signal = g_strdup_printf ("%.0f", 100.0 * reading.figures.mean / reading.full_count);
  if (isfinite (reading.exposure_ms))
    exposure = g_strdup_printf (_("at %.2f ms"), reading.exposure_ms);
  gtk_label_set_text (self->signal_label, signal != NULL ? signal : "–");
  gtk_label_set_text (self->exposure_label, exposure != NULL ? exposure : "");
}

static void
fil_shelf_aim_dispose (GObject *object)
{
  FilShelfAim *self = FIL_SHELF_AIM (object);

  g_clear_object (&self->live);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_SHELF_AIM);

  G_OBJECT_CLASS (fil_shelf_aim_parent_class)->dispose (object);
}

static void
fil_shelf_aim_class_init (FilShelfAimClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_shelf_aim_dispose;
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-shelf-aim.ui");
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, signal_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, exposure_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, field_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, share_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, pixel_label);
}

static void
fil_shelf_aim_init (FilShelfAim *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

void
fil_shelf_aim_set_live (FilShelfAim *self,
                        FilLive     *live)
{
  g_return_if_fail (FIL_IS_SHELF_AIM (self) && self->live == NULL);

  self->live = g_object_ref (live);
  g_signal_connect_object (live, "reading", G_CALLBACK (update_reading), self,
                           G_CONNECT_SWAPPED);
}

/* @rig: (nullable): whose field is shown */
void
fil_shelf_aim_set_rig (FilShelfAim *self,
                       FilRig      *rig)
{
  g_autofree char *field = NULL, *share = NULL, *pixel = NULL;
  FilOptics optics;

  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  if (rig == NULL)
    return;

  fil_optics_compute (rig, &optics);
  if (isfinite (optics.field_width_arcsec))
    {
      field = g_strdup_printf (_("%.1f′ × %.1f′"), optics.field_width_arcsec / 60.0,
                               optics.field_height_arcsec / 60.0);
      /* 2 × 959.23″: the Sun's width at 1 au with the IAU 2015 radius */
      share = g_strdup_printf (_("%.0f %%"), 100.0 * optics.field_width_arcsec / 1918.46);
    }
  if (isfinite (optics.plate_scale_arcsec_per_px))
    pixel = g_strdup_printf (_("%.3f″ · %.0f km"), optics.plate_scale_arcsec_per_px,
                             optics.km_per_px);
  gtk_label_set_text (self->field_label, field != NULL ? field : "–");
  gtk_label_set_text (self->share_label, share != NULL ? share : "–");
  gtk_label_set_text (self->pixel_label, pixel != NULL ? pixel : "–");
}

/* fil-shelf-aim.c: finding the Sun, and knowing which way is north
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-aim-run.h"
#include "fil-direction.h"
#include "fil-glow-bar.h"
#include "fil-pace.h"
#include "fil-shelf-aim.h"
#include "fil-target-text.h"
#include "fil-tone.h"


struct _FilShelfAim
{
  GtkBox          parent_instance;

  FilLive        *live;
  FilRig         *rig;
  GSettings      *settings;
  FilAimSearch   *search;            /* once live is known */
  FilTone        *tone;
  gint64          shown_us;
  FilPlace        place;
  FilSun          sun;
  gboolean        has_sun;
  gint64          run_us;            /* when a run was begun */
  gboolean        checking;          /* the run only compares with what is known */
  gboolean        sound_told;        /* why there is no tone was said once */

  GtkLabel       *figure_label, *unit_label, *caption_label, *second_caption_label;
  GtkLabel       *title_label, *text_label;
  GtkLabel       *angle_label, *angle_note_label, *place_label, *place_note_label;
  FilDirection   *direction;
  FilGlowBar     *glow_bar;
  GtkWidget      *buttons_box;
  GtkButton      *primary_button, *secondary_button;
  GtkToggleButton *sound_button;
};

enum
{
  SIGNAL_ORIENTED,
  SIGNAL_MESSAGE,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilShelfAim, fil_shelf_aim, GTK_TYPE_BOX)

/* Texts ------------------------------------------------------------------- */

/* Labels that are set anew to the same text are laid out anew. */
static void
set_text (GtkLabel   *label,
          const char *text)
{
  if (g_strcmp0 (gtk_label_get_text (label), text != NULL ? text : "") != 0)
    gtk_label_set_text (label, text != NULL ? text : "");
}

static void
show_buttons (FilShelfAim *self,
              const char  *primary,
              const char  *secondary)
{
  gtk_widget_set_visible (self->buttons_box, primary != NULL || secondary != NULL);
  gtk_widget_set_visible (GTK_WIDGET (self->primary_button), primary != NULL);
  gtk_widget_set_visible (GTK_WIDGET (self->secondary_button), secondary != NULL);
  if (primary != NULL && g_strcmp0 (gtk_button_get_label (self->primary_button), primary) != 0)
    gtk_button_set_label (self->primary_button, primary);
  if (secondary != NULL &&
      g_strcmp0 (gtk_button_get_label (self->secondary_button), secondary) != 0)
    gtk_button_set_label (self->secondary_button, secondary);
}

static void
show_view (FilShelfAim       *self,
           const FilAimView  *view)
{
  set_text (self->figure_label, view->figure);
  set_text (self->unit_label, view->unit);
  set_text (self->caption_label, view->caption);
  set_text (self->second_caption_label, view->second_caption);
  set_text (self->title_label, view->title);
  set_text (self->text_label, view->text);
  fil_direction_set (self->direction, view->arrow_deg);
  gtk_widget_set_visible (GTK_WIDGET (self->glow_bar), view->shows_bar);
  show_buttons (self, view->primary, view->secondary);
}

/* On a mount that turns about a vertical axis the picture turns; NaN: it doesn't,
 * or nobody knows. */
static double
get_turning (FilShelfAim *self)
{
  double latitude_deg, longitude_deg, height_m;

  if (self->rig == NULL || !self->has_sun || !fil_rig_get_altazimuth (self->rig) ||
      !fil_rig_get_site (self->rig, &latitude_deg, &longitude_deg, &height_m))
    return NAN;

  return fil_sun_field_rotation_deg_per_min (&self->sun, latitude_deg);
}

static void
show_angle (FilShelfAim *self)
{
  g_autofree char *angle = NULL, *note = NULL;
  double turning = get_turning (self);

  if (!self->place.oriented)
    {
      set_text (self->angle_label, _("not measured"));
      if (isfinite (self->place.plate_scale_arcsec_per_px))
        note = g_strdup_printf (_("%.3f″ a pixel by the rig"),
                                self->place.plate_scale_arcsec_per_px);
    }
  else
    {
      angle = g_strdup_printf (_("%.2f° ± %.2f°"), self->place.position_angle_deg,
                               self->place.position_angle_error_deg);
      note = g_strdup_printf (_("%.4f″ ± %.4f″ a pixel"), self->place.plate_scale_arcsec_per_px,
                              self->place.plate_scale_error);
      set_text (self->angle_label, angle);
    }
  if (isfinite (turning))
    {
      g_free (note);
      note = g_strdup_printf (_("turns by %+.2f° a minute"), turning);
    }
  set_text (self->angle_note_label, note);
}

static void
show_place (FilShelfAim *self)
{
  g_autofree char *place = NULL, *note = NULL;
  double latitude, longitude, mu;
  FilSourceMode mode;
  FilRect patch;

  fil_live_get_patch (self->live, &patch);
  fil_live_get_mode (self->live, &mode);
  if (!fil_aim_knows (&self->place, self->has_sun ? &self->sun : NULL, &patch, mode.height))
    {
      set_text (self->place_label, _("not known"));
      set_text (self->place_note_label, !self->place.oriented ? _("measure the angle first")
                                        : _("by the limb, or by a spot"));
      return;
    }

  if (fil_aim_patch (&self->place, &self->sun, &patch, mode.height, &latitude, &longitude, &mu))
    {
      place = fil_target_text_place (latitude, longitude);
      note = g_strdup_printf ("μ %.2f", mu);
    }
  set_text (self->place_label, place != NULL ? place : _("beside the disc"));
  set_text (self->place_note_label, note);
}

/* Readings ------------------------------------------------------------------ */

static void
sound (FilShelfAim       *self,
       const FilAimLight *light)
{
  gboolean wanted = gtk_toggle_button_get_active (self->sound_button) &&
                    light->state == FIL_AIM_SEARCHING;
  const char *problem;

  fil_tone_set (self->tone, wanted ? light->bar : NAN);
  problem = fil_tone_get_problem (self->tone);
  if (problem != NULL && wanted && !self->sound_told)
    {
      self->sound_told = TRUE;
      g_signal_emit (self, signals[SIGNAL_MESSAGE], 0, problem);
    }
}

static void
show_reading (FilShelfAim          *self,
              const FilLiveReading *reading,
              const FilAimLight    *light)
{
  FilAimFacts facts = {
    .light = *light,
    .mean_percent = 100.0 * reading->figures.mean / reading->full_count,
    .exposure_ms = reading->exposure_ms,
    .limb = reading->limb,
    .place = self->place,
    .sun = self->has_sun ? &self->sun : NULL,
    .altazimuth = self->rig != NULL && fil_rig_get_altazimuth (self->rig),
  };
  FilSourceMode mode;
  FilLiveDrift run;
  FilAimView view;
  double since_s;

  fil_live_get_mode (self->live, &mode);
  facts.width = mode.width;
  facts.height = mode.height;
  fil_live_get_drift (self->live, &run);
  since_s = (double) (g_get_monotonic_time () - self->run_us) / G_USEC_PER_SEC;
  if (!fil_aim_run_view (&run, &self->place, self->rig, self->checking, since_s, &view))
    fil_aim_view_init (&view, &facts);
  show_view (self, &view);
  fil_aim_view_clear (&view);
  fil_glow_bar_set (self->glow_bar, light->bar, light->disc);
  show_angle (self);
  show_place (self);
}

static void
update_reading (FilShelfAim *self)
{
  FilLiveReading reading;
  FilAimLight light;

  if (!fil_pace_is_due (&self->shown_us))
    return;

  fil_live_get_reading (self->live, &reading);
  if (!fil_aim_search_take (self->search, &reading, &light) ||
      !gtk_widget_get_mapped (GTK_WIDGET (self)))
    return;

  fil_aim_search_follow (self->search);
  sound (self, &light);
  show_reading (self, &reading, &light);
}

/* The widget ----------------------------------------------------------------- */

static void
unmap_cb (FilShelfAim *self)
{
  fil_tone_silence (self->tone);
}

static void
fil_shelf_aim_dispose (GObject *object)
{
  FilShelfAim *self = FIL_SHELF_AIM (object);

  g_clear_pointer (&self->search, fil_aim_search_free);
  g_clear_object (&self->live);
  g_clear_object (&self->settings);
  g_clear_pointer (&self->rig, fil_rig_unref);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_SHELF_AIM);

  G_OBJECT_CLASS (fil_shelf_aim_parent_class)->dispose (object);
}

static void
fil_shelf_aim_finalize (GObject *object)
{
  FilShelfAim *self = FIL_SHELF_AIM (object);

  fil_tone_free (self->tone);

  G_OBJECT_CLASS (fil_shelf_aim_parent_class)->finalize (object);
}

static void
bind_children (GtkWidgetClass *widget_class)
{
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, figure_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, unit_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, caption_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, second_caption_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, title_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, text_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, angle_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, angle_note_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, place_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, place_note_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, direction);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, glow_bar);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, buttons_box);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, primary_button);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, secondary_button);
  gtk_widget_class_bind_template_child (widget_class, FilShelfAim, sound_button);
}

static void
fil_shelf_aim_class_init (FilShelfAimClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_shelf_aim_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_shelf_aim_finalize;

  signals[SIGNAL_ORIENTED] =
    g_signal_new ("oriented", FIL_TYPE_SHELF_AIM, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 1, G_TYPE_POINTER);
  signals[SIGNAL_MESSAGE] =
    g_signal_new ("message", FIL_TYPE_SHELF_AIM, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 1, G_TYPE_STRING);

  g_type_ensure (FIL_TYPE_DIRECTION);
  g_type_ensure (FIL_TYPE_GLOW_BAR);
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-shelf-aim.ui");
  bind_children (widget_class);
}

static void
fil_shelf_aim_init (FilShelfAim *self)
{
  self->tone = fil_tone_new (NULL);
  self->place.plate_scale_arcsec_per_px = NAN;
  gtk_widget_init_template (GTK_WIDGET (self));
  g_signal_connect (self, "unmap", G_CALLBACK (unmap_cb), NULL);
}

void
fil_shelf_aim_set_live (FilShelfAim *self,
                        FilLive     *live)
{
  g_return_if_fail (FIL_IS_SHELF_AIM (self) && self->live == NULL);

  self->live = g_object_ref (live);
  self->search = fil_aim_search_new (live);
  g_signal_connect_object (live, "reading", G_CALLBACK (update_reading), self,
                           G_CONNECT_SWAPPED);
}

void
fil_shelf_aim_set_settings (FilShelfAim *self,
                            GSettings   *settings)
{
  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  g_set_object (&self->settings, settings);
  g_settings_bind (settings, "sound", self->sound_button, "active", G_SETTINGS_BIND_DEFAULT);
}

/* @rig: (nullable): tells roughly how bright the disc will be */
void
fil_shelf_aim_set_rig (FilShelfAim *self,
                       FilRig      *rig)
{
  g_return_if_fail (FIL_IS_SHELF_AIM (self) && self->search != NULL);

  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig != NULL ? fil_rig_ref (rig) : NULL;
  fil_aim_search_set_rig (self->search, rig);
}

/* @sun: (nullable): not known */
void
fil_shelf_aim_set_place (FilShelfAim    *self,
                         const FilPlace *place,
                         const FilSun   *sun)
{
  g_return_if_fail (FIL_IS_SHELF_AIM (self) && place != NULL);

  self->place = *place;
  self->has_sun = sun != NULL;
  if (sun != NULL)
    self->sun = *sun;
}

/* Another source: nothing is known of its light. */
void
fil_shelf_aim_restart (FilShelfAim *self)
{
  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  fil_aim_search_restart (self->search);
}

/* The guided run: drive off, twenty seconds, drive on. */
void
fil_shelf_aim_begin_run (FilShelfAim *self)
{
  g_autoptr (GError) error = NULL;

  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  self->checking = FALSE;
  self->run_us = g_get_monotonic_time ();
  if (!fil_live_begin_drift (self->live, &error))
    g_signal_emit (self, signals[SIGNAL_MESSAGE], 0, error->message);
}

/* A short run: is the angle of before still right? */
void
fil_shelf_aim_begin_check (FilShelfAim *self)
{
  g_autoptr (GError) error = NULL;

  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  self->checking = TRUE;
  self->run_us = g_get_monotonic_time ();
  if (!fil_live_begin_drift_for (self->live, FIL_LIVE_DRIFT_CHECK_S, &error))
    g_signal_emit (self, signals[SIGNAL_MESSAGE], 0, error->message);
}

/**
 * fil_shelf_aim_back:
 *
 * Leaves a run, or what it has measured.
 *
 * Returns: %FALSE where there is none
 */
gboolean
fil_shelf_aim_back (FilShelfAim *self)
{
  FilLiveDrift run;

  g_return_val_if_fail (FIL_IS_SHELF_AIM (self), FALSE);

  fil_live_get_drift (self->live, &run);
  if (run.state == FIL_LIVE_DRIFT_IDLE)
    return FALSE;
  fil_live_cancel_drift (self->live);

  return TRUE;
}

/**
 * fil_shelf_aim_next:
 *
 * What the button in the accent colour does.
 *
 * Returns: %FALSE where there is none
 */
gboolean
fil_shelf_aim_next (FilShelfAim *self)
{
  FilLiveDrift run;

  g_return_val_if_fail (FIL_IS_SHELF_AIM (self), FALSE);

  fil_live_get_drift (self->live, &run);
  if (run.state == FIL_LIVE_DRIFT_FAILED)
    {
      if (self->checking)
        fil_shelf_aim_begin_check (self);
      else
        fil_shelf_aim_begin_run (self);
      return TRUE;
    }
  if (run.state == FIL_LIVE_DRIFT_DONE)
    {
      fil_live_cancel_drift (self->live);
      if (self->checking)
        {
          if (!fil_drift_agrees (&run.drift, &self->place, NULL, NULL))
            fil_shelf_aim_begin_run (self);
          return TRUE;
        }
      g_signal_emit (self, signals[SIGNAL_ORIENTED], 0, &run.drift);
      return TRUE;
    }
  if (run.state != FIL_LIVE_DRIFT_IDLE)
    return FALSE;

  return fil_aim_search_next (self->search);
}

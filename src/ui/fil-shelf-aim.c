/* fil-shelf-aim.c: finding the Sun, and knowing which way is north
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-aim-run.h"
#include "fil-direction.h"
#include "fil-glow-bar.h"
#include "fil-pace.h"
#include "fil-shelf-aim.h"
#include "fil-tone.h"

#define USUAL_FULL_WELL_E 12000.0   /* of a small pixel; from memory */
#define DISC_ON_BAR       0.85      /* of the bar's length */
#define LONGEST_MS        100.0     /* a longer exposure would answer the hand too late */
#define FOLLOW_S          4.0       /* after the disc was found, the exposure comes to rest */

struct _FilShelfAim
{
  GtkBox          parent_instance;

  FilLive        *live;
  FilRig         *rig;
  GSettings      *settings;
  FilGlow        *glow;
  FilAimGuide    *guide;
  FilTone        *tone;
  gint64          shown_us;
  gint64          found_us;          /* when the search ended; 0: it goes on, or there was none */
  double          shortest_ms, longest_ms;
  double          disc_per_ms;       /* the rig's estimate, shares of full; NaN: none */
  FilPlace        place;
  FilSun          sun;
  gboolean        has_sun;
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

/* "N 12.3° W 34.5°" */
static char *
describe_place (double latitude_deg,
                double longitude_deg)
{
  return g_strdup_printf ("%s %.1f° %s %.1f°",
                          latitude_deg >= 0.0 ? C_("heliographic", "N") : C_("heliographic", "S"),
                          fabs (latitude_deg),
                          longitude_deg >= 0.0 ? C_("heliographic", "W") : C_("heliographic", "E"),
                          fabs (longitude_deg));
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
      place = describe_place (latitude, longitude);
      note = g_strdup_printf ("μ %.2f", mu);
    }
  set_text (self->place_label, place != NULL ? place : _("beside the disc"));
  set_text (self->place_note_label, note);
}

/* Light ------------------------------------------------------------------- */

/* The level that one pixel in a thousand exceeds, counts. */
static double
find_bright (const FilLiveReading *reading)
{
  double total = 0.0, sum = 0.0;

  for (guint i = 0; i < G_N_ELEMENTS (reading->histogram); i++)
    total += reading->histogram[i];
  for (guint i = 0; i < G_N_ELEMENTS (reading->histogram); i++)
    {
      sum += reading->histogram[i];
      if (sum >= 0.999 * total)
        return (i + 0.5) / G_N_ELEMENTS (reading->histogram) * (reading->full_count + 1.0);
    }

  return reading->full_count;
}

static gboolean
take_light (FilShelfAim          *self,
            const FilLiveReading *reading,
            FilGlowReading       *glow)
{
  double black = fil_live_get_black_level (self->live);
  FilGlowSample sample = {
    .time_ns = g_get_monotonic_time () * 1000,
    .mean = reading->figures.mean - black,
    .bright = fmax (find_bright (reading), reading->figures.mean) - black,
    .full = reading->full_count - black,
    .full_fraction = reading->figures.full_fraction,
    .exposure_ms = isfinite (reading->exposure_ms) && reading->exposure_ms > 0.0
                     ? reading->exposure_ms : 1.0,   /* unknown, but hardly wandering */
    .gain = reading->gain,
  };

  if (!isfinite (sample.mean) || !(sample.full > 0.0))
    return FALSE;
  fil_glow_add (self->glow, &sample, glow);

  return TRUE;
}

/* While the Sun is searched for, and until it is well lit once it is found. */
static void
follow_with_exposure (FilShelfAim          *self,
                      FilAimState           state,
                      const FilGlowReading *glow)
{
  gboolean searching = state == FIL_AIM_SEARCHING || state == FIL_AIM_OVERDUE;
  gint64 now_us = g_get_monotonic_time ();
  g_autoptr (GError) error = NULL;

  if (searching)
    self->found_us = now_us;
  if (!searching && (double) (now_us - self->found_us) > FOLLOW_S * G_USEC_PER_SEC)
    return;
  if (!isfinite (glow->wanted_ms) || fil_live_is_recording (self->live))
    return;

  if (!fil_live_set_exposure_ms (self->live, glow->wanted_ms, &error))
    g_debug ("the exposure doesn’t follow: %s", error->message);
}

/* The bar ends a little above the disc, where it is known how bright that will
 * be: what a camera could measure beyond is of no use here.
 *
 * Returns: how much longer the bar is than the whole range */
static double
get_bar_stretch (FilShelfAim *self)
{
  double disc = isfinite (self->disc_per_ms) ? fil_glow_place (self->glow, self->disc_per_ms)
                                             : 0.0;

  return disc > 0.0 ? DISC_ON_BAR / disc : 1.0;
}

static void
sound (FilShelfAim          *self,
       FilAimState           state,
       const FilGlowReading *glow)
{
  gboolean wanted = gtk_toggle_button_get_active (self->sound_button) &&
                    gtk_widget_get_mapped (GTK_WIDGET (self)) && state == FIL_AIM_SEARCHING;
  const char *problem;

  fil_tone_set (self->tone, wanted ? glow->place * get_bar_stretch (self) : NAN);
  problem = fil_tone_get_problem (self->tone);
  if (problem != NULL && wanted && !self->sound_told)
    {
      self->sound_told = TRUE;
      g_signal_emit (self, signals[SIGNAL_MESSAGE], 0, problem);
    }
}

static void
learn_limits (FilShelfAim *self)
{
  double shortest_ms, longest_ms;

  if (!fil_live_get_exposure_range_ms (self->live, &shortest_ms, &longest_ms))
    return;

  longest_ms = MAX (MIN (longest_ms, LONGEST_MS), shortest_ms);
  if (shortest_ms == self->shortest_ms && longest_ms == self->longest_ms)
    return;

  self->shortest_ms = shortest_ms;
  self->longest_ms = longest_ms;
  fil_glow_set_limits (self->glow, shortest_ms, longest_ms);
}

/* Readings ------------------------------------------------------------------ */

static void
show_reading (FilShelfAim          *self,
              const FilLiveReading *reading,
              const FilGlowReading *glow)
{
  FilAimFacts facts = {
    .state = fil_aim_guide_get_state (self->guide),
    .glow = *glow,
    .left_s = fil_aim_guide_get_left_s (self->guide, g_get_monotonic_time () * 1000),
    .mean_percent = 100.0 * reading->figures.mean / reading->full_count,
    .exposure_ms = reading->exposure_ms,
    .shortest_ms = self->shortest_ms,
    .longest_ms = self->longest_ms,
    .limb = reading->limb,
    .place = self->place,
    .sun = self->has_sun ? &self->sun : NULL,
    .altazimuth = self->rig != NULL && fil_rig_get_altazimuth (self->rig),
  };
  FilSourceMode mode;
  FilLiveDrift run;
  FilAimView view;

  fil_live_get_mode (self->live, &mode);
  facts.width = mode.width;
  facts.height = mode.height;
  fil_live_get_drift (self->live, &run);
  if (!fil_aim_run_view (&run, &self->place, self->rig, self->checking, &view))
    fil_aim_view_init (&view, &facts);
  show_view (self, &view);
  fil_aim_view_clear (&view);
  fil_glow_bar_set (self->glow_bar, glow->place * get_bar_stretch (self),
                    isfinite (self->disc_per_ms) ? DISC_ON_BAR : NAN);
  show_angle (self);
  show_place (self);
}

static void
update_reading (FilShelfAim *self)
{
  FilLiveReading reading;
  FilGlowReading glow;
  FilAimSample sample;

  if (!fil_pace_is_due (&self->shown_us))
    return;

  fil_live_get_reading (self->live, &reading);
  learn_limits (self);
  if (!take_light (self, &reading, &glow))
    return;

  sample = (FilAimSample) { g_get_monotonic_time () * 1000, glow.bright, glow.signal, glow.place,
                            reading.limb.seen };
  fil_aim_guide_add (self->guide, &sample);
  if (!gtk_widget_get_mapped (GTK_WIDGET (self)))
    {
      fil_tone_silence (self->tone);
      return;
    }

  follow_with_exposure (self, fil_aim_guide_get_state (self->guide), &glow);
  sound (self, fil_aim_guide_get_state (self->guide), &glow);
  show_reading (self, &reading, &glow);
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
  fil_glow_free (self->glow);
  fil_aim_guide_free (self->guide);

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
  self->glow = fil_glow_new ();
  self->guide = fil_aim_guide_new ();
  self->tone = fil_tone_new (NULL);
  self->disc_per_ms = NAN;
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
  const FilElement *camera;
  FilOptics optics;

  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig != NULL ? fil_rig_ref (rig) : NULL;
  self->disc_per_ms = NAN;
  if (rig != NULL)
    {
      camera = fil_rig_find (rig, FIL_ELEMENT_CAMERA);
      fil_optics_compute (rig, &optics);
      self->disc_per_ms = optics.electrons_per_ms /
                          (camera != NULL && camera->full_well_e > 0.0 ? camera->full_well_e
                                                                       : USUAL_FULL_WELL_E);
    }
  fil_aim_guide_set_expected (self->guide, self->disc_per_ms);
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

  fil_glow_reset (self->glow);
  fil_aim_guide_reset (self->guide);
  self->found_us = 0;
}

FilAimState
fil_shelf_aim_get_state (FilShelfAim *self)
{
  g_return_val_if_fail (FIL_IS_SHELF_AIM (self), FIL_AIM_CAPPED);

  return fil_aim_guide_get_state (self->guide);
}

/* The guided run: drive off, twenty seconds, drive on. */
void
fil_shelf_aim_begin_run (FilShelfAim *self)
{
  g_autoptr (GError) error = NULL;

  g_return_if_fail (FIL_IS_SHELF_AIM (self));

  self->checking = FALSE;
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

  switch (fil_aim_guide_get_state (self->guide))
    {
    case FIL_AIM_CAPPED:
      fil_aim_guide_cap_off (self->guide, g_get_monotonic_time () * 1000);
      return TRUE;

    case FIL_AIM_SEARCHING:
    case FIL_AIM_OVERDUE:
      fil_aim_guide_cap_on (self->guide);
      return TRUE;

    case FIL_AIM_LIMB:
    case FIL_AIM_DISC:
    default:
      return FALSE;
    }
}

/* fil-window-sky.c: where the Sun stands, and how the picture lies on it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-drift.h"
#include "fil-orientation-file.h"
#include "fil-spot-dialog.h"
#include "fil-window-private.h"

#define NS_PER_US        G_GINT64_CONSTANT (1000)
#define LIMB_KEEPS_S     10       /* a centre found by the limb holds so long without it */
#define CLICK_ERROR_PX   4.0      /* how well somebody hits the middle of a spot */
#define FULL_DISC_SHARE  1.05     /* of the field's height: more is no whole disc */

/* The Sun ------------------------------------------------------------------- */

/* The day that the source shows: today, or the day that is simulated or played
 * again. */
gint64
fil_window_get_sky_time_ns (FilWindow *self)
{
  FilSource *source = fil_live_get_source (self->live);
  FilSourceInfo info;

  if (source != NULL)
    {
      fil_source_get_info (source, &info);
      if (info.sky_utc_ns != 0)
        return info.sky_utc_ns;
    }

  return g_get_real_time () * NS_PER_US;
}

/* From the rig's site, where it has one. */
static gboolean
compute_sun (FilWindow *self,
             gint64     utc_ns,
             FilSun    *sun)
{
  double latitude_deg = NAN, longitude_deg = NAN, height_m = NAN;

  fil_rig_get_site (self->rig, &latitude_deg, &longitude_deg, &height_m);

  return fil_sun_compute (utc_ns, latitude_deg, longitude_deg,
                          isfinite (height_m) ? height_m : 0.0, sun, NULL);
}

/* On a mount that counts by altitude the camera keeps its angle to the zenith,
 * and the sky turns: the angle of now. */
static void
turn_with_the_sky (FilWindow *self)
{
  FilSun then;

  if (!self->kept.oriented || !self->has_sun || !fil_rig_get_altazimuth (self->rig) ||
      !isfinite (self->sun.parallactic_angle_deg) ||
      !compute_sun (self, self->kept.oriented_utc_ns, &then))
    return;

  self->place.position_angle_deg =
    fmod (self->kept.position_angle_deg + self->sun.parallactic_angle_deg -
            then.parallactic_angle_deg + 720.0, 360.0);
}

/* Place --------------------------------------------------------------------- */

static gboolean
is_aiming (FilWindow *self)
{
  return g_strcmp0 (gtk_stack_get_visible_child_name (self->shelf_stack), "aim") == 0;
}

/* Over a clip lies the clip's own sky, where its header tells of one. */
static void
show_clip_sky (FilWindow *self)
{
  FilPlace place;
  FilSun sun;

  fil_picture_set_limb (self->picture, NULL);
  fil_picture_set_centre_arrow (self->picture, FALSE);
  if (fil_shelf_review_get_sky (self->review, &place, &sun))
    fil_picture_set_sky (self->picture, &place, &sun);
  else
    fil_picture_set_sky (self->picture, NULL, NULL);
}

static void
show_place (FilWindow *self)
{
  const FilSun *sun = self->has_sun ? &self->sun : NULL;

  fil_shelf_aim_set_place (self->aim, &self->place, sun);
  fil_live_set_place (self->live, &self->place);
  if (self->reviewing)
    {
      show_clip_sky (self);
      return;
    }

  fil_picture_set_sky (self->picture, &self->place, sun);
  fil_picture_set_centre_arrow (self->picture, is_aiming (self));
}

/* The Sun's radius in pixels, for whoever looks for its limb; 0: not known. */
static double
get_radius_px (FilWindow *self)
{
  double radius = self->sun.semidiameter_arcsec / self->place.plate_scale_arcsec_per_px;

  return self->has_sun && radius >= FIL_LIMB_MIN_RADIUS_PX && radius <= FIL_LIMB_MAX_RADIUS_PX
           ? radius : 0.0;
}

static void
ask_for_limb (FilWindow *self)
{
  double radius_px = is_aiming (self) ? get_radius_px (self) : 0.0;
  FilSourceMode mode;

  fil_live_get_mode (self->live, &mode);
  fil_live_set_limb_wanted (self->live, radius_px,
                            radius_px > 0.0 && 2.0 * radius_px < FULL_DISC_SHARE * mode.height);
}

static char *
dup_camera_name (FilWindow *self)
{
  FilSource *source = fil_live_get_source (self->live);
  FilSourceInfo info;

  if (source == NULL)
    return NULL;
  fil_source_get_info (source, &info);

  return g_strdup (info.name);
}

/* By the rig, and by the driver's flips, which are controls like others. */
static gboolean
is_mirrored (FilWindow *self)
{
  FilSource *source = fil_live_get_source (self->live);
  FilSourceInfo info = { 0 };
  FilOptics optics;

  if (source != NULL)
    fil_source_get_info (source, &info);
  fil_optics_compute (self->rig, &optics);

  return fil_place_is_mirrored (optics.reflections, info.flip_x, info.flip_y);
}

/* Another rig, source or size of picture: what was measured before comes back
 * where it still holds; where on the disc we are has to be found again. */
void
fil_window_reset_place (FilWindow *self)
{
  g_autofree char *camera = dup_camera_name (self), *path = fil_orientation_path ();
  FilSourceMode mode;
  FilOptics optics;

  if (self->rig == NULL)
    return;

  fil_live_get_mode (self->live, &mode);
  fil_optics_compute (self->rig, &optics);
  fil_place_init (&self->place, &optics, is_mirrored (self), MAX (mode.width, 1),
                  MAX (mode.height, 1));
  if (camera != NULL)
    fil_orientation_load (path, self->rig, camera, &self->place);
  self->kept = self->place;
  self->limb_us = 0;
  fil_window_update_sky (self);
}

/* Each second, and when the step changes. */
void
fil_window_update_sky (FilWindow *self)
{
  if (self->rig == NULL)
    return;

  if (is_mirrored (self) != self->place.mirrored)
    {
      fil_window_reset_place (self);   /* comes back here */
      return;
    }
  self->has_sun = compute_sun (self, fil_window_get_sky_time_ns (self), &self->sun);
  turn_with_the_sky (self);
  if (self->limb_us != 0 &&
      g_get_monotonic_time () - self->limb_us > LIMB_KEEPS_S * G_USEC_PER_SEC)
    {
      self->limb_us = 0;
      self->place.placed = FALSE;
    }
  show_place (self);
  fil_window_show_scale (self);
  ask_for_limb (self);
  fil_window_show_targets (self);
}

/* A newer reading: a limb tells where the disc's centre is. */
void
fil_window_take_limb (FilWindow *self)
{
  FilLiveReading reading;

  fil_live_get_reading (self->live, &reading);
  if (!self->reviewing)
    fil_picture_set_limb (self->picture, reading.limb.seen ? &reading.limb : NULL);
  if (!reading.limb.seen ||
      (self->place.placed && self->place.centre_x == reading.limb.centre_x &&
       self->place.centre_y == reading.limb.centre_y))
    return;

  self->limb_us = g_get_monotonic_time ();
  self->place.placed = TRUE;
  self->place.centre_x = reading.limb.centre_x;
  self->place.centre_y = reading.limb.centre_y;
  self->place.centre_error_px = reading.limb.error_px;
  show_place (self);
}

/* A spot ---------------------------------------------------------------------- */

static void
picked_cb (FilWindow *self,
           double     x,
           double     y)
{
  if (!self->has_sun ||
      !fil_place_put_spot (&self->place, &self->sun, x, y, self->spot_latitude_deg,
                           self->spot_longitude_deg, CLICK_ERROR_PX))
    {
      fil_window_toast (self, _("That place is on the far side of the Sun today."));
      return;
    }

  self->limb_us = 0;
  show_place (self);
  fil_window_toast (self, _("The place on the disc is known, until the telescope is moved."));
}

static void
spot_cb (FilWindow *self,
         double     latitude_deg,
         double     longitude_deg)
{
  self->spot_latitude_deg = latitude_deg;
  self->spot_longitude_deg = longitude_deg;
  fil_picture_set_picking (self->picture, TRUE);
  fil_window_toast (self, _("Click the middle of the spot. By keyboard: arrows, then Enter."));
}

/* The current target, where there is one, is what will be clicked. */
void
fil_window_place_by_spot (FilWindow *self)
{
  const char *name = NULL;
  FilTargetPlace place;
  FilSpotDialog *dialog;

  if (!self->place.oriented)
    {
      fil_window_toast (self, _("Measure the angle first: without it nobody knows which way "
                                "the Sun’s north is."));
      return;
    }

  dialog = fil_spot_dialog_new (GTK_WINDOW (self));
  if (fil_window_get_target (self, &place, &name) && place.seen)
    fil_spot_dialog_set_spot (dialog, name, place.latitude_deg, place.longitude_deg);
  g_signal_connect_object (dialog, "spot", G_CALLBACK (spot_cb), self, G_CONNECT_SWAPPED);
  gtk_window_present (GTK_WINDOW (dialog));
}

/* The angle -------------------------------------------------------------------- */

/* The observer takes over what a run has measured. */
static void
oriented_cb (FilWindow      *self,
             const FilDrift *drift)
{
  g_autofree char *camera = dup_camera_name (self), *path = fil_orientation_path ();
  g_autoptr (GError) error = NULL;

  self->place.plate_scale_arcsec_per_px = drift->plate_scale_arcsec_per_px;
  self->place.plate_scale_error = drift->plate_scale_error;
  self->place.position_angle_deg = drift->position_angle_deg;
  self->place.position_angle_error_deg = drift->position_angle_error_deg;
  self->place.oriented = TRUE;
  self->place.oriented_utc_ns = fil_window_get_sky_time_ns (self);
  self->kept = self->place;
  fil_window_update_sky (self);

  if (camera != NULL && !fil_orientation_save (path, self->rig, camera, &self->place, &error))
    fil_window_toast (self, error->message);
}

/* The camera was turned: what was measured holds no more. */
void
fil_window_forget_angle (FilWindow *self)
{
  g_autofree char *camera = dup_camera_name (self), *path = fil_orientation_path ();
  g_autoptr (GError) error = NULL;

  if (camera != NULL && !fil_orientation_forget (path, self->rig, camera, &error))
    fil_window_toast (self, error->message);
  fil_window_reset_place (self);
}

void
fil_window_init_sky (FilWindow *self)
{
  g_signal_connect_object (self->live, "reading", G_CALLBACK (fil_window_take_limb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->picture, "picked", G_CALLBACK (picked_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->aim, "oriented", G_CALLBACK (oriented_cb), self,
                           G_CONNECT_SWAPPED);
}

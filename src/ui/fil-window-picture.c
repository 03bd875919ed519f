/* fil-window-picture.c: what the picture shows, and how
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-optics.h"
#include "fil-sun.h"
#include "fil-window-private.h"

/* The patch of a new picture size: the largest centred square of the figure. */
static void
place_patch (FilWindow      *self,
             const FilFrame *frame)
{
  FilRect patch;

  if (self->patch_placed && frame->width == self->frame_width &&
      frame->height == self->frame_height)
    return;

  self->frame_width = frame->width;
  self->frame_height = frame->height;
  self->patch_placed = TRUE;
  fil_window_reset_place (self);
  if (!fil_sharpness_default_patch (frame->width, frame->height, &patch))
    return;

  if (patch.width > 256)
    {
      patch.x += (patch.width - 256) / 2;
      patch.y += (patch.height - 256) / 2;
      patch.width = patch.height = 256;
    }
  fil_picture_set_patch (self->picture, &patch);
  fil_live_set_patch (self->live, &patch);
}

static void
show_live_frame (FilWindow *self)
{
  g_autoptr (FilFrame) frame = fil_live_dup_frame (self->live);
  FilLiveReading reading;

  if (frame == NULL)
    return;

  place_patch (self, frame);
  fil_live_get_reading (self->live, &reading);
  if (reading.full_count > 0.0 && reading.full_count != self->look.full)
    {
      double ratio = reading.full_count / self->look.full;

      self->look.full = reading.full_count;
      self->look.black *= ratio;
      self->look.white *= ratio;
      fil_window_show_look (self);
    }
  fil_picture_set_frame (self->picture, frame);
}

/* The scale of what is shown: the rig's, or the clip's own, which may have been
 * recorded by another rig; without one there is no scale bar. */
void
fil_window_show_scale (FilWindow *self)
{
  const double km_per_arcsec = FIL_AU_KM * G_PI / (180.0 * 3600.0);  /* at 1 au */
  FilOptics optics;

  if (self->reviewing)
    {
      double scale = fil_shelf_review_get_scale (self->review);

      fil_picture_set_scale (self->picture, scale, scale * km_per_arcsec);
      return;
    }
  if (self->rig == NULL)
    return;

  fil_optics_compute (self->rig, &optics);
  fil_picture_set_scale (self->picture, optics.plate_scale_arcsec_per_px, optics.km_per_px);
}

static void
show_clip_frame (FilWindow *self)
{
  double full = NAN;
  g_autoptr (FilFrame) frame = fil_shelf_review_dup_frame (self->review, &full);
  const char *path = fil_shelf_review_get_path (self->review);

  if (frame == NULL)
    return;

  fil_picture_set_frame (self->picture, frame);
  if (g_strcmp0 (path, self->reviewed) != 0)
    {
      FilLook look = self->look;

      g_free (self->reviewed);
      self->reviewed = g_strdup (path);
      fil_window_update_sky (self);
      look.full = isfinite (full) ? full : 0.0;
      fil_picture_set_look (self->picture, &look);
      fil_picture_stretch (self->picture);
    }
}

/* Shows the newest frame of whatever the picture shows. */
void
fil_window_show_frame (FilWindow *self)
{
  if (self->reviewing)
    show_clip_frame (self);
  else
    show_live_frame (self);
}

/* Gives the picture the live look again. */
void
fil_window_show_look (FilWindow *self)
{
  self->look.curve = (FilCurve) g_settings_get_enum (self->settings, "stretch-curve");
  self->look.paint_full = g_settings_get_boolean (self->settings, "full-pixels");
  self->look.mosaic = g_settings_get_boolean (self->settings, "raw-view");
  if (!self->reviewing)
    fil_picture_set_look (self->picture, &self->look);
}

/* @black, @white: shares of full */
void
fil_window_set_stretch (FilWindow *self,
                        double     black,
                        double     white)
{
  self->look.black = black * self->look.full;
  self->look.white = white * self->look.full;
  fil_window_show_look (self);
}

/* Between the source's frames and those of a clip. */
void
fil_window_set_reviewing (FilWindow *self,
                          gboolean   reviewing)
{
  if (reviewing == self->reviewing)
    return;

  self->reviewing = reviewing;
  g_clear_pointer (&self->reviewed, g_free);
  g_object_set (self->picture, "show-patch", !reviewing, NULL);
  if (!reviewing)
    fil_window_show_look (self);
  fil_window_update_sky (self);
  fil_window_show_state (self);
  fil_window_show_frame (self);
}

/* Brings the patch to the middle of what is shown. */
void
fil_window_centre_patch (FilWindow *self)
{
  FilRegion region;
  FilRect patch;

  fil_picture_get_region (self->picture, &region);
  fil_picture_get_patch (self->picture, &patch);
  if (patch.width == 0 || self->frame_width == 0)
    return;

  patch.x = (int) lround (region.x + region.width / 2.0 - patch.width / 2.0);
  patch.y = (int) lround (region.y + region.height / 2.0 - patch.height / 2.0);
  patch.x = CLAMP (patch.x, 0, self->frame_width - patch.width);
  patch.y = CLAMP (patch.y, 0, self->frame_height - patch.height);
  fil_picture_set_patch (self->picture, &patch);
  fil_live_set_patch (self->live, &patch);
}

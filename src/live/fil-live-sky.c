/* fil-live-sky.c: how the picture lies on the sky, and what is observed
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whoever measures the place sets it; here it is kept as long as it holds, and
 * passed to clips. A place holds for one source, one sense of its flips and
 * one scale; a region read from the same sensor moves it.
 */

#include <math.h>

#include "fil-live-private.h"
#include "fil-optics.h"

/* Flips are controls of the driver and may have been changed meanwhile. */
static void
get_flips (FilLive  *self,
           gboolean *flip_x,
           gboolean *flip_y)
{
  FilSourceInfo info = { 0 };

  if (self->source != NULL)
    fil_source_get_info (self->source, &info);
  *flip_x = info.flip_x;
  *flip_y = info.flip_y;
}

static void
init_nominal (FilLive  *self,
              gboolean  flip_x,
              gboolean  flip_y,
              FilPlace *place)
{
  FilOptics optics = { .plate_scale_arcsec_per_px = NAN };

  if (self->rig != NULL)
    fil_optics_compute (self->rig, &optics);
  fil_place_init (place, &optics, fil_place_is_mirrored (optics.reflections, flip_x, flip_y),
                  MAX (self->mode.width, 1), MAX (self->mode.height, 1));
}

/**
 * fil_live_set_place:
 * @place: (nullable): how the picture lies on the sky now, by FITS pixels of
 *   the whole picture as it comes; %NULL: nothing was measured
 *
 * Goes into every clip that begins from now on. Forgotten when it can't hold
 * any longer: see fil_live_get_place().
 */
void
fil_live_set_place (FilLive        *self,
                    const FilPlace *place)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  self->sky.known = place != NULL;
  if (place == NULL)
    return;
  self->sky.place = *place;
  get_flips (self, &self->sky.flip_x, &self->sky.flip_y);
}

/**
 * fil_live_get_place:
 * @place: (out caller-allocates): the one that was set, or the nominal one
 *
 * A place that was set is forgotten with the source, when the driver's flips
 * change, when another rig mirrors or scales otherwise, and when the picture
 * changes its size, unless it is only another region of the sensor, pixel by
 * pixel: then the disc's centre moves along.
 *
 * Returns: whether it was set; %FALSE: nominal, by the rig and the driver's
 *   flips, and with a scale of NaN where the rig has none
 */
gboolean
fil_live_get_place (FilLive  *self,
                    FilPlace *place)
{
  gboolean flip_x, flip_y;

  g_return_val_if_fail (FIL_IS_LIVE (self) && place != NULL, FALSE);

  get_flips (self, &flip_x, &flip_y);
  if (self->sky.known && (flip_x != self->sky.flip_x || flip_y != self->sky.flip_y))
    self->sky.known = FALSE;
  if (self->sky.known)
    *place = self->sky.place;
  else
    init_nominal (self, flip_x, flip_y, place);

  return self->sky.known;
}

/* @name: (nullable): what is observed, for the headers of clips */
void
fil_live_set_target (FilLive    *self,
                     const char *name)
{
  char *held;

  g_return_if_fail (FIL_IS_LIVE (self));

  held = name != NULL && name[0] != '\0' ? g_strdup (name) : NULL;
  g_free (self->sky.target);
  self->sky.target = held;
}

/* Returns: (nullable) (transfer none) */
const char *
fil_live_get_target (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->sky.target;
}

/* @place: (out caller-allocates): what @info->place borrows, where one was set */
void
fil_live_fill_sky (FilLive     *self,
                   FilPlace    *place,
                   FilClipInfo *info)
{
  get_flips (self, &info->flip_x, &info->flip_y);
  info->place = fil_live_get_place (self, place) ? place : NULL;
  info->target = self->sky.target;
  fil_live_get_patch (self, &info->patch);
}

/* The part of the sensor that comes, where it comes pixel by pixel. */
static gboolean
get_region (const FilSourceMode *mode,
            FilRect             *region)
{
  *region = mode->roi;
  if (mode->roi.width == 0)
    *region = (FilRect) { 0, 0, mode->width, mode->height };

  return region->width == mode->width && region->height == mode->height;
}

/* The picture has another size, or shows another part of the sensor. Binning
 * and scaling look like a whole sensor of another size. */
void
fil_live_move_sky (FilLive             *self,
                   const FilSourceMode *before,
                   const FilSourceMode *now)
{
  FilRect from, to;

  if (before->width == now->width && before->height == now->height &&
      before->roi.x == now->roi.x && before->roi.y == now->roi.y &&
      before->roi.width == now->roi.width && before->roi.height == now->roi.height)
    return;

  if (!get_region (before, &from) || !get_region (now, &to) ||
      (before->roi.width == 0 && now->roi.width == 0))
    {
      self->sky.known = FALSE;
      return;
    }
  /* FITS rows count from the bottom. */
  self->sky.place.centre_x += from.x - to.x;
  self->sky.place.centre_y += (to.y + to.height) - (from.y + from.height);
}

/* Another rig: a place that was measured with the old one holds where both
 * mirror and scale alike. */
void
fil_live_check_sky (FilLive      *self,
                    const FilRig *before,
                    const FilRig *now)
{
  FilOptics old = { .plate_scale_arcsec_per_px = NAN }, new = old;

  if (before != NULL)
    fil_optics_compute (before, &old);
  if (now != NULL)
    fil_optics_compute (now, &new);
  if (old.reflections % 2 != new.reflections % 2 ||
      !(fabs (old.plate_scale_arcsec_per_px - new.plate_scale_arcsec_per_px) <=
        1e-6 * new.plate_scale_arcsec_per_px))
    self->sky.known = FALSE;
}

/* With the source goes all that was known of its place. */
void
fil_live_forget_sky (FilLive *self)
{
  self->sky.known = FALSE;
}

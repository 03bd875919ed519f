/* fil-live-info.c: what a clip's header says of the running instrument
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-live-info.h"
#include "fil-live-private.h"

static double
read_role (FilLive        *self,
           FilControlRole  role)
{
  g_autoptr (FilControl) control = fil_source_dup_role (self->source, role);

  return control != NULL ? fil_control_get_number (control) : NAN;
}

/* A region that the sensor was read in, and a cut of what it delivered. */
static FilRect
region (const FilRect *roi,
        const FilRect *cut)
{
  if (cut->width == 0)
    return *roi;
  if (roi->width == 0)
    return *cut;

  return (FilRect) { roi->x + cut->x, roi->y + cut->y, cut->width, cut->height };
}

/* Fills @info; its strings live as long as the source, the rig and the pass,
 * and it borrows @place. */
void
fil_live_fill_info (FilLive                  *self,
                    const FilRecorderOptions *options,
                    FilPlace                 *place,
                    FilClipInfo              *info)
{
  const FilPixelFormat *format = fil_pixel_format_from_fourcc (self->mode.fourcc);

  *info = (FilClipInfo) {
    .width = self->mode.width,
    .height = self->mode.height,
    .raw = self->info.raw,
    .fourcc = format != NULL ? format->name : NULL,
    .rig = self->rig,
    .exposure_ms = fil_source_get_exposure_ms (self->source),
    .gain = read_role (self, FIL_ROLE_GAIN),
    .black_level = NAN,
    .fps_nominal = self->mode.fps > 0.0 ? self->mode.fps : NAN,
    .detector = self->info.name,
    .driver = self->info.driver,
    .roi = region (&self->mode.roi, &options->cut),
    .confirmed_utc_ns = G_MININT64,
    .sky_utc_ns = self->info.sky_utc_ns,
  };

  fil_live_fill_sky (self, place, info);
  if (self->pass != NULL)
    {
      info->filter_confirmed = fil_gate_pass_get_confirmed (self->pass);
      info->confirmed_utc_ns = fil_gate_pass_get_confirmed_utc_ns (self->pass);
    }
  if (!self->info.live)
    info->simulated = g_str_has_prefix (self->source_name, "sim:") ? "simulated Sun" : "replay";

  pthread_mutex_lock (&self->lock);
  info->depth = self->depth;
  info->sharp_cutoff_cycles_per_px = self->cutoff_cycles_per_px;
  if (self->black_level > 0.0)
    info->black_level = self->black_level;
  pthread_mutex_unlock (&self->lock);
}

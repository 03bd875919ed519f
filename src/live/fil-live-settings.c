/* fil-live-settings.c: what the source is set to
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-live-private.h"

/**
 * fil_live_set_mode:
 *
 * Another format, size, rate or region of the same source; it goes on
 * streaming if it did. Not while recording.
 */
gboolean
fil_live_set_mode (FilLive             *self,
                   const FilSourceMode *mode,
                   GError             **error)
{
  gboolean was_streaming = self->streaming;
  FilSourceMode got = self->mode;
  gboolean taken;

  g_return_val_if_fail (FIL_IS_LIVE (self) && mode != NULL, FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;
  if (fil_live_is_recording (self))
    {
      g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_RECORDING,
                           _("A clip is being recorded; end it first"));
      return FALSE;
    }

  fil_live_halt (self);
  taken = fil_source_set_mode (self->source, mode, &got, error);
  if (taken)
    {
      fil_live_move_sky (self, &self->mode, &got);
      self->mode = got;
      fil_source_get_info (self->source, &self->info);
      pthread_mutex_lock (&self->lock);
      self->depth = (FilDepth) { 0 };
      pthread_mutex_unlock (&self->lock);
    }

  /* A mode that was refused leaves the old one, which goes on. */
  if (was_streaming && !fil_live_start (self, NULL, taken ? error : NULL))
    return FALSE;

  return taken;
}

/* In counts where the source is one of ours; a driver's own control has a
 * unit of the driver's own, so that a camera's black level is unknown. */
void
fil_live_read_black_level (FilLive *self)
{
  g_autoptr (FilControl) control = NULL;
  double counts = self->info.black_level;

  if (!self->info.live)
    control = fil_source_dup_role (self->source, FIL_ROLE_BLACK_LEVEL);
  if (control != NULL && control->value != NULL &&
      g_variant_is_of_type (control->value, G_VARIANT_TYPE_DOUBLE))
    counts = g_variant_get_double (control->value);

  pthread_mutex_lock (&self->lock);
  self->black_level = counts;
  pthread_mutex_unlock (&self->lock);
}

static void
count_setting (FilLive *self)
{
  pthread_mutex_lock (&self->lock);
  self->settings_serial++;
  pthread_mutex_unlock (&self->lock);
}

/* As fil_source_set_control(); what is set here is no cause for an alarm. */
gboolean
fil_live_set_control (FilLive  *self,
                      guint32   id,
                      GVariant *value,
                      GError  **error)
{
  g_autoptr (GVariant) held = value != NULL ? g_variant_ref_sink (value) : NULL;

  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;
  count_setting (self);

  return fil_source_set_control (self->source, id, held, error);
}

/* As fil_source_set_exposure_ms(); what is set here is no cause for an alarm. */
gboolean
fil_live_set_exposure_ms (FilLive *self,
                          double   exposure_ms,
                          GError **error)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;
  count_setting (self);

  return fil_source_set_exposure_ms (self->source, exposure_ms, error);
}

double
fil_live_get_black_level (FilLive *self)
{
  double counts;

  g_return_val_if_fail (FIL_IS_LIVE (self), 0.0);

  pthread_mutex_lock (&self->lock);
  counts = self->black_level;
  pthread_mutex_unlock (&self->lock);

  return counts;
}

/**
 * fil_live_get_exposure_range_ms:
 * @shortest_ms: (out): above 0
 * @longest_ms: (out)
 *
 * Within which exposures may be set in the present mode, by the driver's own
 * range and by what the present exposure tells of its unit.
 *
 * Returns: %FALSE, outputs untouched, where there is no such control or its
 *   unit isn't known
 */
gboolean
fil_live_get_exposure_range_ms (FilLive *self,
                                double  *shortest_ms,
                                double  *longest_ms)
{
  g_autoptr (FilControl) control = NULL;
  double exposure_ms, unit_ms;

  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);
  g_return_val_if_fail (shortest_ms != NULL && longest_ms != NULL, FALSE);

  if (self->source == NULL)
    return FALSE;

  control = fil_source_dup_role (self->source, FIL_ROLE_EXPOSURE);
  if (control == NULL)
    return FALSE;

  exposure_ms = fil_source_get_exposure_ms (self->source);
  unit_ms = exposure_ms / fil_control_get_number (control);
  if (!isfinite (unit_ms) || !(unit_ms > 0.0) || !(control->max > 0.0))
    return FALSE;

  *longest_ms = control->max * unit_ms;
  *shortest_ms = MIN (MAX (control->min, control->max * 1e-6) * unit_ms, *longest_ms);

  return TRUE;
}

/* Fills in what the source delivers. */
void
fil_live_get_mode (FilLive       *self,
                   FilSourceMode *mode)
{
  g_return_if_fail (FIL_IS_LIVE (self) && mode != NULL);

  *mode = self->mode;
}

/* fil-live-pass.c: the rig, and the leave that is bound to it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-gate.h"
#include "fil-live-private.h"
#include "fil-optics.h"

/* Keeps @rig, and what follows from it for the other threads. */
void
fil_live_take_rig (FilLive *self,
                   FilRig  *rig)
{
  FilOptics optics = { .cutoff_cycles_per_px = NAN };

  if (rig != NULL)
    fil_optics_compute (fil_rig_ref (rig), &optics);
  fil_live_check_sky (self, self->rig, rig);
  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig;

  pthread_mutex_lock (&self->lock);
  self->cutoff_cycles_per_px = isfinite (optics.cutoff_cycles_per_px)
                                 ? optics.cutoff_cycles_per_px : FIL_LIVE_NO_RIG_CUTOFF;
  pthread_mutex_unlock (&self->lock);
}

/* Keeps a pass; its deadline counts from now on. */
void
fil_live_take_pass (FilLive     *self,
                    FilGatePass *pass)
{
  fil_gate_pass_ref (pass);
  g_clear_pointer (&self->pass, fil_gate_pass_unref);
  self->pass = pass;
  self->noticed = FALSE;
  self->expired_us = 0;
  fil_live_emit (self, "pass-changed");
}

/* Whatever the pass was bound to has changed: the gate is closed. */
void
fil_live_forget_pass (FilLive *self)
{
  if (self->pass == NULL)
    return;

  g_clear_pointer (&self->pass, fil_gate_pass_unref);
  if (self->info.identity != NULL)
    fil_gate_forget (self->info.identity);
  fil_live_emit (self, "pass-changed");
}

/**
 * fil_live_set_rig:
 * @rig: (nullable): another light path, from now on
 *
 * A pass is bound to a rig: a rig that differs ends it, and stops the camera.
 */
void
fil_live_set_rig (FilLive *self,
                  FilRig  *rig)
{
  const char *digest;

  g_return_if_fail (FIL_IS_LIVE (self));

  digest = rig != NULL ? fil_rig_get_digest (rig) : NULL;
  if (self->pass != NULL && g_strcmp0 (digest, fil_gate_pass_get_rig_digest (self->pass)) != 0)
    {
      fil_live_halt (self);
      fil_live_forget_pass (self);
      fil_live_set_state (self, FIL_LIVE_GATE_CLOSED,
                          _("Another rig was chosen, so the gate is closed. "
                            "Confirm the filter of this rig to go on."));
    }

  fil_live_take_rig (self, rig);
}

/* For tests: the lesser of the pass's own time and what @remaining says. */
void
fil_live_shorten_pass (FilLive          *self,
                       FilLiveRemaining  remaining)
{
  self->remaining = remaining;
}

/* Returns: seconds until the pass ends, less than 0 within a running clip's
 * grace; −1 where none is held or needed */
gint64
fil_live_get_pass_remaining_s (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), -1);

  if (self->pass == NULL)
    return -1;

  return MIN (self->remaining (self->pass), fil_gate_pass_get_remaining_s (self->pass));
}

FilRig *
fil_live_get_rig (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->rig;
}

/* Returns: (nullable) (transfer none): leave to stream, while it lasts */
FilGatePass *
fil_live_get_pass (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->pass;
}

/* fil-live-drift.h: the guided run that measures scale and angle by the Sun's drift
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-drift.h"
#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_LIVE_DRIFT_S       20.0   /* a whole run */
#define FIL_LIVE_DRIFT_CHECK_S 5.0    /* whether an angle measured before still holds */
#define FIL_LIVE_DRIFT_SKIP_S  2.0    /* left out after the motion was seen */

typedef enum
{
  FIL_LIVE_DRIFT_IDLE,      /* no run, or cancelled */
  FIL_LIVE_DRIFT_WAITING,   /* for the picture to move: stop the drive */
  FIL_LIVE_DRIFT_RUNNING,
  FIL_LIVE_DRIFT_DONE,      /* drift is filled in */
  FIL_LIVE_DRIFT_FAILED,    /* text says why */
} FilLiveDriftState;

/**
 * FilLiveDrift:
 * @seconds: used so far
 * @needed_s: seconds that the run takes; it ends earlier where the Sun leaves
 *   the field
 * @n_frames: followed so far
 * @drift: where DONE
 * @text: where FAILED; translated, for people
 */
typedef struct
{
  FilLiveDriftState state;
  double            seconds;
  double            needed_s;
  guint             n_frames;
  FilDrift          drift;
  char              text[512];
} FilLiveDrift;

gboolean fil_live_begin_drift     (FilLive       *self,
                                   GError       **error);
gboolean fil_live_begin_drift_for (FilLive       *self,
                                   double         seconds,
                                   GError       **error);
void     fil_live_cancel_drift    (FilLive       *self);
gboolean fil_live_get_drift       (FilLive       *self,
                                   FilLiveDrift  *run);

G_END_DECLS

/* limb-print.h: a limb as one line of JSON
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdio.h>

#include "fil-limb.h"

static inline void
limb_print (const FilLimb *limb)
{
  printf ("\"seen\": %s, \"reason\": %d, \"text\": \"%s\", \"x\": %.4f, \"y\": %.4f, \"radius\": %.4f, "
          "\"radius_error\": %.4f, \"error\": %.4f, \"direction\": %.3f, \"across\": %.4f, "
          "\"arc\": %.3f, \"rms\": %.4f, \"blur\": %.4f, \"points\": %d",
          limb->seen ? "true" : "false", limb->reason,
          fil_limb_reason_to_text ((FilLimbReason) limb->reason), limb->centre_x, limb->centre_y,
          limb->radius_px, limb->radius_error_px, limb->error_px, limb->direction_deg,
          limb->error_across_px, limb->arc_deg, limb->rms_px, limb->blur_px, limb->n_points);
}

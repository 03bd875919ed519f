/* fil-limb.h: the Sun's limb in one frame, and where the disc's centre is
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/* Radii that are looked for; rigs have 40 to 20 000. */
#define FIL_LIMB_MIN_RADIUS_PX 12.0
#define FIL_LIMB_MAX_RADIUS_PX 1e6

/* Why no limb was seen. */
typedef enum
{
  FIL_LIMB_SEEN,
  FIL_LIMB_UNREADABLE,     /* the frame's pixels can't be had, or it is too small */
  FIL_LIMB_DARK,           /* hardly any light */
  FIL_LIMB_FEATURELESS,    /* light everywhere: all disc, all cloud, or all full */
  FIL_LIMB_NO_EDGE,        /* light falls nowhere as it does at the limb */
  FIL_LIMB_NOT_A_CIRCLE,   /* edges, but none with the disc's curvature, or not dark beyond */
  FIL_LIMB_UNSURE,         /* perhaps, but too little of it to tell where the centre is */
  FIL_LIMB_N_REASONS,
} FilLimbReason;

/**
 * FilLimb:
 * @seen: whether all else may be used; else only @reason tells something
 * @centre_x: of the disc, FITS pixels: 1 in the middle of the leftmost column
 * @centre_y: 1 in the middle of the bottom row, growing upward
 * @radius_px: pixels, the known one, or the fitted one where that was asked
 * @radius_error_px: 1 σ of a fitted radius, 0 of a known one
 * @error_px: 1 σ of the centre along its worst axis; a wrong radius is not in it
 * @direction_deg: that axis, from +x counter-clockwise, 0 to 180
 * @error_across_px: 1 σ across it
 * @arc_deg: how much of the circle carries points, seen from the centre
 * @rms_px: of the points kept, along the radius
 * @blur_px: σ of the blur found at the limb, pixels
 * @n_points: kept
 * @reason: a FilLimbReason
 */
typedef struct
{
  gboolean seen;
  double   centre_x, centre_y;
  double   radius_px, radius_error_px;
  double   error_px;
  double   direction_deg, error_across_px;
  double   arc_deg;
  double   rms_px;
  double   blur_px;
  int      n_points;
  int      reason;
} FilLimb;

/* Keeps its buffers from frame to frame. Belongs to one thread at a time. */
typedef struct _FilLimbFinder FilLimbFinder;

FilLimbFinder *fil_limb_finder_new    (void);
void           fil_limb_finder_free   (FilLimbFinder  *finder);
gboolean       fil_limb_finder_find   (FilLimbFinder  *finder,
                                       const FilFrame *frame,
                                       double          radius_px,
                                       gboolean        fit_radius,
                                       double          black_level,
                                       FilLimb        *limb);
const char    *fil_limb_reason_to_text (FilLimbReason  reason);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilLimbFinder, fil_limb_finder_free)

G_END_DECLS

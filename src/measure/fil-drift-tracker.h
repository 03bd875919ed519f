/* fil-drift-tracker.h: follows a picture that wanders through the field
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/* Frames with a smaller side than this aren't followed. */
#define FIL_DRIFT_LEAST_SIDE 32

/* Below it, a match of two pictures is chance. */
#define FIL_DRIFT_LEAST_CERTAINTY 10.0

/**
 * FilDriftPoint:
 * @time_s: as given
 * @x: pixels that the picture moved since the first frame, + right
 * @y: the same, + up
 * @certainty: of the match; below FIL_DRIFT_LEAST_CERTAINTY @x and @y mean nothing
 * @level: mean of the frame, counts
 */
typedef struct
{
  double time_s;
  double x, y;
  double certainty;
  double level;
} FilDriftPoint;

/* Belongs to one thread. */
typedef struct _FilDriftTracker FilDriftTracker;

FilDriftTracker *fil_drift_tracker_new       (void);
void             fil_drift_tracker_free      (FilDriftTracker  *tracker);
gboolean         fil_drift_tracker_add       (FilDriftTracker  *tracker,
                                              const FilFrame   *frame,
                                              double            time_s,
                                              GError          **error);
void             fil_drift_tracker_wait_for_motion (FilDriftTracker *tracker);
void             fil_drift_tracker_flush     (FilDriftTracker  *tracker);
gboolean         fil_drift_tracker_has_begun (const FilDriftTracker *tracker);
const FilDriftPoint *fil_drift_tracker_get_points (const FilDriftTracker *tracker,
                                              guint            *n_points);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilDriftTracker, fil_drift_tracker_free)

G_END_DECLS

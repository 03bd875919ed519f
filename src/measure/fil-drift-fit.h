/* fil-drift-fit.h: a straight line in time through places in the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-drift.h"

G_BEGIN_DECLS

/* One place, as the fit sees it. */
typedef struct
{
  double time_s, x, y;
  guint  track;
  double weight;           /* 0: thrown out */
  double along, across;    /* residuals, px: in the direction of motion and left of it */
} FilDriftSample;

/* The mean of neighbours: the air holds them together, blocks are free of each
 * other. */
typedef struct
{
  double time_s;           /* since its track's first frame */
  double along, across;
  guint  track;
} FilDriftBlock;

typedef struct
{
  GArray *samples;         /* of FilDriftSample */
  GArray *blocks;          /* of FilDriftBlock */
  guint   n_tracks;
  double  seconds;         /* of the tracks together */
  double  vx, vy;          /* px/s */
  double  speed;
  double  speed_error;     /* px/s, along the motion */
  double  side_error;      /* px/s, across it */
  double  residual_px;     /* rms distance of those not thrown out */
  double  kept;            /* share of the samples */
} FilDriftFit;

/* The place where motion changes, if it does. */
typedef struct
{
  gboolean found;
  double   time_s;         /* the same */
} FilDriftBreak;

void fil_drift_fit_init       (FilDriftFit         *fit,
                               const FilDriftTrack *tracks,
                               guint                n_tracks,
                               double               skip_s);
void fil_drift_fit_clear      (FilDriftFit         *fit);
void fil_drift_fit_run        (FilDriftFit         *fit);
void fil_drift_fit_find_break (const FilDriftFit   *fit,
                               FilDriftBreak       *found);

G_END_DECLS

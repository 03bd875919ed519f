/* fil-drift-private.h: what the files that follow the picture share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-drift.h"
#include "fil-shift-meter.h"
#include "fil-small-picture.h"

G_BEGIN_DECLS

#define FIL_DRIFT_LEAST_STEP     2.0   /* small pixels: less is no motion */
#define FIL_DRIFT_CERTAIN_TRAVEL 8.0   /* small pixels: the air alone doesn't go so far */

/* All lengths in small pixels, rows upward. */
typedef struct
{
  gboolean     set;
  int          column, row;       /* corner of its window */
  double       x, y;              /* how far the picture had moved by then */
  double       sum_x, sum_y;      /* of corrections to that */
  guint        n_sums;
  FilSpectrum *spectrum;
} FilDriftReference;

/* A line through the last seconds, older ones fading. */
typedef struct
{
  double time_s;                  /* of the sums */
  double n, t, tt, x, xt, y, yt;
} FilDriftLine;

typedef struct
{
  float *pixels;
  double time_s;
  double level;
} FilDriftEarly;

struct _FilDriftTracker
{
  FilSmallPicture      small;
  const FilPixelFormat *format;   /* NULL: no frame yet */
  FilShiftMeter       *meter;
  FilSpectrum         *spectrum;
  float               *pixels;
  float               *moving_part;     /* of a picture, where the motion is known */
  float               *fixed;           /* sum of the pictures since */
  guint                n_fixed;
  int                  width, height;   /* of the window */
  FilDriftReference    reference, next;
  FilDriftLine         line;
  GArray              *early;     /* of FilDriftEarly; NULL: the motion is known */
  gboolean             moving;
  gboolean             patient;   /* a picture at rest is waited for to move */
  GArray              *points;    /* of FilDriftPoint */
};

/* fil-drift-line.c */
void     fil_drift_line_add       (FilDriftLine            *line,
                                   double                   time_s,
                                   double                   x,
                                   double                   y);
void     fil_drift_line_get       (const FilDriftLine      *line,
                                   double                   time_s,
                                   double                  *x,
                                   double                  *y,
                                   double                  *vx,
                                   double                  *vy);

/* fil-drift-match.c */
gsize    fil_drift_n_pixels       (const FilDriftTracker   *tracker);
int      fil_drift_room_x         (const FilDriftTracker   *tracker);
int      fil_drift_room_y         (const FilDriftTracker   *tracker);
void     fil_drift_find_way       (const FilDriftTracker   *tracker,
                                   double                   vx,
                                   double                   vy,
                                   double                  *x,
                                   double                  *y);
void     fil_drift_refer          (FilDriftTracker         *tracker,
                                   FilDriftReference       *reference,
                                   const float             *pixels,
                                   double                   x,
                                   double                   y,
                                   double                   vx,
                                   double                   vy,
                                   double                   place);
double   fil_drift_place_window   (const FilDriftTracker   *tracker,
                                   const FilDriftReference *reference,
                                   double                   x,
                                   double                   y,
                                   int                     *column,
                                   int                     *row);
void     fil_drift_compare        (FilDriftTracker         *tracker,
                                   const FilDriftReference *reference,
                                   const float             *pixels,
                                   double                  *x,
                                   double                  *y,
                                   double                  *certainty);
void     fil_drift_add_fixed      (FilDriftTracker         *tracker,
                                   const float             *pixels);
const float *fil_drift_take_fixed_off (FilDriftTracker     *tracker,
                                   const float             *pixels);

/* fil-drift-start.c */
void     fil_drift_clear_early    (gpointer                 data);
FilDriftEarly *fil_drift_get_early (const FilDriftTracker  *tracker,
                                   guint                    i);
void     fil_drift_keep           (FilDriftTracker         *tracker,
                                   const float             *pixels,
                                   double                   time_s,
                                   double                   level);
void     fil_drift_start          (FilDriftTracker         *tracker);

/* fil-drift-tracker.c */
void     fil_drift_add_point      (FilDriftTracker         *tracker,
                                   double                   time_s,
                                   double                   level,
                                   double                   x,
                                   double                   y,
                                   double                   certainty);

G_END_DECLS

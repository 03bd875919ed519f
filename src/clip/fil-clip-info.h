/* fil-clip-info.h: what is written down beside a clip's frames
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-depth.h"
#include "fil-place.h"
#include "fil-rect.h"
#include "fil-rig.h"

G_BEGIN_DECLS

/**
 * FilClipInfo:
 *
 * All that the header says, gathered by whoever records. Strings are
 * borrowed for the call that takes the structure. NaN and NULL leave a card
 * out.
 */
typedef struct
{
  int           width, height;
  FilPattern    pattern;          /* of the stored pixels, after the flip and any cut */
  gboolean      raw;              /* FALSE: luma or JPEG */
  FilDepth      depth;
  int           stored_bytes;     /* a pixel, as fil_frame_pack_fits() gives it: 1 or 2;
                                     0: 2 where depth.full is above 255 */
  const char   *fourcc;           /* as the camera delivered it */
  const FilRig *rig;              /* NULL: none */
  double        exposure_ms;
  double        gain;
  double        black_level;      /* counts */
  double        fps_nominal;
  const char   *detector;         /* the source's name */
  const char   *driver;
  FilRect       roi;              /* of the sensor, from the top left; width 0: whole */
  const char   *filter_confirmed; /* what the gate was told, NULL: no gate (simulated, replay) */
  gint64        confirmed_utc_ns;
  const char   *simulated;        /* "simulated Sun", "replay", or NULL for a camera */
  gint64        sky_utc_ns;       /* the day that the pictures show, where it isn't that of the
                                     recording: simulated, replay; 0: it is */
  const char   *stamp_comment;    /* what TIME means */
  double        sharp_cutoff_cycles_per_px;
  const FilPlace *place;          /* of the picture on the sky; NULL: nominal, by rig and flips */
  gboolean      flip_x, flip_y;   /* the driver's, of left and right, top and bottom */
  FilRect       patch;            /* of the picture, from the top left; width 0: none */
  const char   *target;           /* what is observed, NULL: nothing that has a name */
} FilClipInfo;

gsize fil_clip_info_stored_bytes (const FilClipInfo *info);

/**
 * FilClipRow:
 *
 * One frame's row of the FRAMES table.
 */
typedef struct
{
  double  time_s;         /* start of the exposure, since the first frame's */
  gint64  sequence;
  double  mean;           /* counts */
  double  full_fraction;  /* share of full pixels, 0 to 1 */
  double  sharpness;      /* percent, NaN: not measured */
  double  exposure_s;     /* NaN: unit unknown */
  double  gain;
  gint32  marks;          /* bits of FilClipMark */
} FilClipRow;

typedef enum
{
  FIL_CLIP_MARK_DAMAGED   = 1 << 0,   /* the driver flagged the frame */
  FIL_CLIP_MARK_GAP       = 1 << 1,   /* the source lost frames just before this one */
  FIL_CLIP_MARK_LOST      = 1 << 2,   /* we lost frames just before this one */
} FilClipMark;

G_END_DECLS

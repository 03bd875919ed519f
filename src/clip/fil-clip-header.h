/* fil-clip-header.h: the header of a clip's cube
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-cards.h"
#include "fil-clip-info.h"

G_BEGIN_DECLS

/* NAXIS3 is the sixth card: bytes 400 to 479, within the first sector. */
#define FIL_CLIP_NAXIS3_OFFSET (5 * FIL_CARD_LENGTH)

/**
 * FilClipSummary:
 *
 * What is known only when the last frame is written. NaN leaves a card out.
 */
typedef struct
{
  guint64  n_frames;
  double   last_s;              /* the last frame's TIME */
  double   last_exposure_s;
  double   cadence_min_s, cadence_max_s;
  gboolean evenly_spaced;       /* to half a frame */
  FilDepth depth;
  guint64  lost;
  guint64  source_gaps;
  double   clock_drift_s;
} FilClipSummary;

GBytes   *fil_clip_header_new     (const FilClipInfo    *info,
                                   gint64                utc_begin_ns,
                                   const char           *file_name);
char     *fil_clip_header_naxis3  (guint64               n_frames);
GBytes   *fil_clip_header_finish  (GBytes               *header,
                                   const FilClipSummary *summary,
                                   guint32               data_sum);
void      fil_clip_add_place      (FilCards             *cards,
                                   const FilRig         *rig);
void      fil_clip_add_instrument (FilCards             *cards,
                                   const FilClipInfo    *info);
gboolean  fil_clip_add_sky        (FilCards             *cards,
                                   const FilClipInfo    *info,
                                   gint64                utc_begin_ns);

G_END_DECLS

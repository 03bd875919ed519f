/* fil-replay-values.h: any FITS numbers as a camera's counts
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip.h"

G_BEGIN_DECLS

/**
 * FilReplayValues:
 *
 * How a file's numbers become counts of 8 or 16 bits. Whole numbers from 0 to
 * 65535 stay as they are. Others (floating point, negative, larger) are
 * mapped linearly, the same for every frame, from the smallest to the largest
 * number of up to 16 frames spread over the file to 0 to 65535; numbers
 * beyond are limited, and "no value" is 0. What was mapped is not raw.
 *
 * Belongs to one thread.
 */
typedef struct _FilReplayValues FilReplayValues;

FilReplayValues *fil_replay_values_new       (FilClip               *clip,
                                              GError               **error);
void             fil_replay_values_free      (FilReplayValues       *values);
gboolean         fil_replay_values_are_exact (const FilReplayValues *values);
int              fil_replay_values_get_bits  (const FilReplayValues *values);
gboolean         fil_replay_values_read      (FilReplayValues       *values,
                                              FilClip               *clip,
                                              guint64                frame,
                                              guint8                *pixels,
                                              GError               **error);

G_END_DECLS

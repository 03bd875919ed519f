/* fil-tone.h: a tone whose pitch tells a figure
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_TONE_LOWEST_HZ  220.0
#define FIL_TONE_HIGHEST_HZ 1760.0

/* Main thread only. */
typedef struct _FilTone FilTone;

FilTone    *fil_tone_new         (const char *sink);
void        fil_tone_free        (FilTone    *tone);
void        fil_tone_set         (FilTone    *tone,
                                  double      share);
void        fil_tone_silence     (FilTone    *tone);
const char *fil_tone_get_problem (FilTone    *tone);
double      fil_tone_pitch_hz    (double      share);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilTone, fil_tone_free)

G_END_DECLS

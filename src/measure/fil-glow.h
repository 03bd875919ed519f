/* fil-glow.h: the light of the sky, which leads to the Sun
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilGlowSample:
 * @time_ns: any clock that goes on
 * @mean: of the frame, counts less the black level
 * @bright: the level that one pixel in a thousand exceeds, the same
 * @full: the ceiling, the same
 * @full_fraction: share of full pixels
 * @exposure_ms: of the frame, above 0
 * @gain: in the source's own unit, which may be any; NaN: unknown
 */
typedef struct
{
  gint64 time_ns;
  double mean, bright, full;
  double full_fraction;
  double exposure_ms;
  double gain;
} FilGlowSample;

/**
 * FilGlowReading:
 * @signal: mean, in shares of full a millisecond of exposure; negative noise
 *   becomes 0
 * @bright: the same of the brightest thousandth
 * @place: of @signal between the least that can be told from darkness at the
 *   longest exposure (0) and a frame well lit at the shortest (1), by its
 *   logarithm
 * @rise: @signal against that of three seconds ago; NaN: not known yet
 * @direction: −1 falls, 0 steady, +1 rises
 * @wanted_ms: what the exposure should become, NaN: it is well as it is
 */
typedef struct
{
  double signal, bright;
  double place;
  double rise;
  int    direction;
  double wanted_ms;
} FilGlowReading;

/* Belongs to one thread at a time. */
typedef struct _FilGlow FilGlow;

FilGlow *fil_glow_new        (void);
void     fil_glow_free       (FilGlow             *glow);
void     fil_glow_reset      (FilGlow             *glow);
void     fil_glow_set_limits (FilGlow             *glow,
                              double               shortest_ms,
                              double               longest_ms);
double   fil_glow_place      (const FilGlow       *glow,
                              double               signal);
void     fil_glow_add        (FilGlow             *glow,
                              const FilGlowSample *sample,
                              FilGlowReading      *reading);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilGlow, fil_glow_free)

G_END_DECLS

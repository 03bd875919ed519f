/* fil-sim-math.h: small formulas of the simulated Sun
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <math.h>
#include <stdint.h>
#include <string.h>

#define FIL_SIM_ARCSEC_RAD (M_PI / 648000.0)

static inline double
fil_sim_clamp (double value,
               double low,
               double high)
{
  return value < low ? low : value > high ? high : value;
}

/* 0 below @low, 1 above @high, smooth between. */
static inline float
fil_sim_smoothstep (float low,
                    float high,
                    float value)
{
  float t = (value - low) / (high - low);

  t = t < 0.0f ? 0.0f : t > 1.0f ? 1.0f : t;

  return t * t * (3.0f - 2.0f * t);
}

/* The square root without errno, so that compilers vectorise it: a guess from
 * the exponent, then Newton's iteration for 1/√x, good to 5e-6. 0 gives 0. */
static inline float
fil_sim_sqrtf (float value)
{
  float half = 0.5f * value, inverse;
  int32_t bits;

  memcpy (&bits, &value, sizeof bits);
  bits = 0x5f375a86 - (bits >> 1);
  memcpy (&inverse, &bits, sizeof inverse);
  inverse = inverse * (1.5f - half * inverse * inverse);
  inverse = inverse * (1.5f - half * inverse * inverse);

  return value * inverse;
}

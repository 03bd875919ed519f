/* fil-sim-random.h: repeatable chance
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <math.h>
#include <stdint.h>

/* What a stream of numbers is for: one seed gives each purpose its own. */
typedef enum
{
  FIL_SIM_STREAM_GRANULES = 1,
  FIL_SIM_STREAM_TEXTURE,
  FIL_SIM_STREAM_SPOTS,
  FIL_SIM_STREAM_GROUND,
  FIL_SIM_STREAM_HIGH,
  FIL_SIM_STREAM_BURSTS,
  FIL_SIM_STREAM_CLOUDS,
  FIL_SIM_STREAM_DUST,
  FIL_SIM_STREAM_SENSOR,
  FIL_SIM_STREAM_NOISE,
} FilSimStream;

/* A generator is its 64-bit state; any state is a good one. */
typedef struct
{
  uint64_t state;
} FilSimRandom;

/* Source: Steele, Lea & Flood 2014, "Fast splittable pseudorandom number
 * generators", OOPSLA '14, the mix function of SplitMix64. */
static inline uint64_t
fil_sim_mix (uint64_t z)
{
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;

  return z ^ (z >> 31);
}

static inline uint64_t
fil_sim_random_next (FilSimRandom *random)
{
  random->state += 0x9e3779b97f4a7c15u;

  return fil_sim_mix (random->state);
}

/* @index tells streams of the same purpose apart, a frame's number for one. */
static inline FilSimRandom
fil_sim_random_init (uint64_t     seed,
                     FilSimStream stream,
                     uint64_t     index)
{
  uint64_t state = fil_sim_mix (seed + 0x632be59bd9b4e019u);

  state = fil_sim_mix (state ^ ((uint64_t) stream << 56));
  state = fil_sim_mix (state + index);

  return (FilSimRandom) { state };
}

/* Returns: uniform in [0, 1) */
static inline double
fil_sim_random_uniform (FilSimRandom *random)
{
  return (double) (fil_sim_random_next (random) >> 11) * 0x1p-53;
}

static inline double
fil_sim_random_range (FilSimRandom *random,
                      double        low,
                      double        high)
{
  return low + (high - low) * fil_sim_random_uniform (random);
}

/* Two independent standard normal deviates (Box & Muller 1958). */
static inline void
fil_sim_random_normal_pair (FilSimRandom *random,
                            float        *a,
                            float        *b)
{
  uint64_t bits = fil_sim_random_next (random);
  float u = ((float) (bits >> 40) + 0.5f) * 0x1p-24f;
  float angle = (float) (bits & 0xffffff) * (float) (2.0 * M_PI * 0x1p-24);
  float radius = sqrtf (-2.0f * logf (u));

  *a = radius * cosf (angle);
  *b = radius * sinf (angle);
}

static inline double
fil_sim_random_normal (FilSimRandom *random)
{
  float a, b;

  fil_sim_random_normal_pair (random, &a, &b);

  return a;
}

/* Returns: a fixed number in [0, 1) for a lattice point */
static inline float
fil_sim_hash (uint32_t seed,
              int32_t  x,
              int32_t  y)
{
  uint64_t key = ((uint64_t) (uint32_t) x << 32) | (uint32_t) y;

  return (float) (fil_sim_mix (key + (uint64_t) seed * 0x9e3779b97f4a7c15u) >> 40) * 0x1p-24f;
}

/* fil-figure-gradients-avx2.c: the gradient sums, sixteen pixels at a time
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-cpu.h"

#if FIL_CPU_HAVE_CLONES

#include <immintrin.h>

#define LANES         16
#define TARGET        FIL_CPU_TARGET_AVX2
#define KERNEL(name)  name##_avx2
#define OP(operation) _mm256_##operation
#define AVX2_INLINE   TARGET static inline __attribute__ ((always_inline))

typedef __m256i Vector;

AVX2_INLINE Vector
load (const void *p)
{
  return _mm256_loadu_si256 (p);
}

AVX2_INLINE Vector
and_bits (Vector a,
          Vector b)
{
  return _mm256_and_si256 (a, b);
}

/* The products of neighbouring lanes, added in pairs. */
AVX2_INLINE Vector
add_dot (Vector sum,
         Vector a,
         Vector b)
{
  return _mm256_add_epi32 (sum, _mm256_madd_epi16 (a, b));
}

#include "fil-gradient-kernel.h"

/* All bits that occur in the row; at least one vector wide. */
TARGET uint16_t
fil_gradient_or_bits_avx2 (const uint16_t *row,
                           int             width)
{
  __m256i bits = load (row + width - LANES);
  guint64 parts[4], all;

  for (int x = 0; x + LANES <= width; x += LANES)
    bits = _mm256_or_si256 (bits, load (row + x));
  _mm256_storeu_si256 ((__m256i *) parts, bits);
  all = parts[0] | parts[1] | parts[2] | parts[3];
  all |= all >> 32;

  return (uint16_t) (all | all >> 16);
}

#endif

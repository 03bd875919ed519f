/* fil-figure-gradients-avx512.c: the gradient sums, 32 pixels at a time
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-cpu.h"

#if FIL_CPU_HAVE_CLONES

#include <immintrin.h>

#define LANES         32
#define TARGET        FIL_CPU_TARGET_AVX512
#define KERNEL(name)  name##_avx512
#define OP(operation) _mm512_##operation
#define AVX512_INLINE TARGET static inline __attribute__ ((always_inline))

typedef __m512i Vector;

AVX512_INLINE Vector
load (const void *p)
{
  return _mm512_loadu_si512 (p);
}

AVX512_INLINE Vector
and_bits (Vector a,
          Vector b)
{
  return _mm512_and_si512 (a, b);
}

/* The products of neighbouring lanes, added in pairs, modulo 2³². */
AVX512_INLINE Vector
add_dot (Vector sum,
         Vector a,
         Vector b)
{
  return _mm512_dpwssd_epi32 (sum, a, b);
}

#include "fil-gradient-kernel.h"

#endif

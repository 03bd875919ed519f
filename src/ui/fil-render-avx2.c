/* fil-render-avx2.c: the same rows, eight or sixteen pixels at a time
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-render-kernels-private.h"

#if FIL_CPU_HAVE_CLONES

#include <immintrin.h>

#define AVX2 FIL_CPU_TARGET_AVX2

static inline AVX2 __m256i
widen (const uint16_t *row)
{
  return _mm256_cvtepu16_epi32 (_mm_loadu_si128 ((const __m128i *) row));
}

static inline AVX2 __m256
weigh (const uint16_t *row,
       __m256          weight)
{
  return _mm256_mul_ps (weight, _mm256_cvtepi32_ps (widen (row)));
}

static AVX2 void
set (const uint16_t *row,
     float           weight,
     float          *sum,
     int             n)
{
  const __m256 w = _mm256_set1_ps (weight);
  int i = 0;

  for (; i + 8 <= n; i += 8)
    _mm256_storeu_ps (sum + i, weigh (row + i, w));
  fil_render_scalar_set (row + i, weight, sum + i, n - i);
}

static AVX2 void
add (const uint16_t *row,
     float           weight,
     float          *sum,
     int             n)
{
  const __m256 w = _mm256_set1_ps (weight);
  int i = 0;

  for (; i + 8 <= n; i += 8)
    _mm256_storeu_ps (sum + i, _mm256_add_ps (_mm256_loadu_ps (sum + i),
                                              weigh (row + i, w)));
  fil_render_scalar_add (row + i, weight, sum + i, n - i);
}

static AVX2 void
largest (const uint16_t *row,
         uint16_t       *held,
         int             n)
{
  int i = 0;

  for (; i + 16 <= n; i += 16)
    {
      __m256i a = _mm256_loadu_si256 ((const __m256i *) (row + i));
      __m256i b = _mm256_loadu_si256 ((const __m256i *) (held + i));

      _mm256_storeu_si256 ((__m256i *) (held + i), _mm256_max_epu16 (a, b));
    }
  fil_render_scalar_largest (row + i, held + i, n - i);
}

static AVX2 void
smallest (const uint16_t *row,
          uint16_t       *held,
          int             n)
{
  int i = 0;

  for (; i + 16 <= n; i += 16)
    {
      __m256i a = _mm256_loadu_si256 ((const __m256i *) (row + i));
      __m256i b = _mm256_loadu_si256 ((const __m256i *) (held + i));

      _mm256_storeu_si256 ((__m256i *) (held + i), _mm256_min_epu16 (a, b));
    }
  fil_render_scalar_smallest (row + i, held + i, n - i);
}

/* (sum + round) >> shift, eight 32-bit sums to eight 16-bit means. */
static inline AVX2 __m256i
mean (__m256i sum,
      int     round,
      int     shift)
{
  return _mm256_srli_epi32 (_mm256_add_epi32 (sum, _mm256_set1_epi32 (round)), shift);
}

static inline AVX2 void
store16 (uint16_t *out,
         __m256i   values)
{
  __m128i low = _mm256_castsi256_si128 (values);
  __m128i high = _mm256_extracti128_si256 (values, 1);

  _mm_storeu_si128 ((__m128i *) out, _mm_packus_epi32 (low, high));
}

static AVX2 void
debayer (const uint16_t *above,
         const uint16_t *row,
         const uint16_t *below,
         gboolean        odd,
         gboolean        blue,
         uint16_t *const rgb[3],
         int             n)
{
  /* Lanes with green: the odd ones, or the even ones where @odd. */
  const __m256i green = odd ? _mm256_setr_epi32 (-1, 0, -1, 0, -1, 0, -1, 0)
                            : _mm256_setr_epi32 (0, -1, 0, -1, 0, -1, 0, -1);
  uint16_t *own = rgb[blue ? 2 : 0];
  uint16_t *other = rgb[blue ? 0 : 2];
  int i = 0;

  for (; i + 8 <= n; i += 8)
    {
      __m256i mid = widen (row + i);
      __m256i beside = _mm256_add_epi32 (widen (row + i - 1), widen (row + i + 1));
      __m256i over = _mm256_add_epi32 (widen (above + i), widen (below + i));
      __m256i corners =
        _mm256_add_epi32 (_mm256_add_epi32 (widen (above + i - 1), widen (above + i + 1)),
                          _mm256_add_epi32 (widen (below + i - 1), widen (below + i + 1)));
      __m256i cross = mean (_mm256_add_epi32 (beside, over), 2, 2);

      store16 (own + i, _mm256_blendv_epi8 (mid, mean (beside, 1, 1), green));
      store16 (rgb[1] + i, _mm256_blendv_epi8 (cross, mid, green));
      store16 (other + i, _mm256_blendv_epi8 (mean (corners, 2, 2), mean (over, 1, 1), green));
    }
  fil_render_scalar_debayer (above + i, row + i, below + i, odd, blue,
                             (uint16_t *[]) { rgb[0] + i, rgb[1] + i, rgb[2] + i }, n - i);
}

static AVX2 void
gather (const float   *sum,
        const int32_t *first,
        const float   *weights,
        int            n_taps,
        float         *out,
        int            n)
{
  int i = 0;

  for (; i + 8 <= n; i += 8)
    {
      __m256i at = _mm256_loadu_si256 ((const __m256i *) (first + i));
      __m256 value = _mm256_mul_ps (_mm256_loadu_ps (weights + i),
                                    _mm256_i32gather_ps (sum, at, 4));

      for (int k = 1; k < n_taps; k++)
        {
          __m256 w = _mm256_loadu_ps (weights + (gsize) k * (gsize) n + (gsize) i);

          value = _mm256_add_ps (value,
                                 _mm256_mul_ps (w, _mm256_i32gather_ps (sum + k, at, 4)));
        }
      _mm256_storeu_ps (out + i, value);
    }
  fil_render_scalar_gather_from (sum, first, weights, n_taps, out, n, i);
}

static inline AVX2 __m256i
shade8 (const float     *values,
        const FilShades *shades)
{
  __m256 entry = _mm256_sub_ps (_mm256_loadu_ps (values), _mm256_set1_ps (shades->black));
  __m256i shade;

  entry = _mm256_mul_ps (entry, _mm256_set1_ps (shades->scale));
  entry = _mm256_add_ps (entry, _mm256_set1_ps (0.5f));
  entry = _mm256_max_ps (entry, _mm256_setzero_ps ());
  entry = _mm256_min_ps (entry, _mm256_set1_ps ((float) (FIL_SHADES - 1)));
  shade = _mm256_i32gather_epi32 ((const int *) (const void *) shades->table,
                                  _mm256_cvttps_epi32 (entry), 1);

  return _mm256_and_si256 (shade, _mm256_set1_epi32 (0xff));
}

static AVX2 void
shade (const float     *values,
       const FilShades *shades,
       uint32_t        *pixels,
       int              n)
{
  /* Byte 0 of each lane three times, and 0 where alpha comes. */
  const __m256i spread =
    _mm256_setr_epi8 (0, 0, 0, -1, 4, 4, 4, -1, 8, 8, 8, -1, 12, 12, 12, -1,
                      0, 0, 0, -1, 4, 4, 4, -1, 8, 8, 8, -1, 12, 12, 12, -1);
  const __m256i alpha = _mm256_set1_epi32 ((int) 0xff000000u);
  int i = 0;

  for (; i + 8 <= n; i += 8)
    {
      __m256i grey = _mm256_shuffle_epi8 (shade8 (values + i, shades), spread);

      _mm256_storeu_si256 ((__m256i *) (pixels + i), _mm256_or_si256 (grey, alpha));
    }
  fil_render_scalar_shade (values + i, shades, pixels + i, n - i);
}

static AVX2 void
shade_rgb (const float     *const rgb[3],
           const FilShades *shades,
           uint32_t        *pixels,
           int              n)
{
  const __m256i alpha = _mm256_set1_epi32 ((int) 0xff000000u);
  int i = 0;

  for (; i + 8 <= n; i += 8)
    {
      __m256i r = _mm256_slli_epi32 (shade8 (rgb[0] + i, shades), 16);
      __m256i g = _mm256_slli_epi32 (shade8 (rgb[1] + i, shades), 8);
      __m256i b = shade8 (rgb[2] + i, shades);

      _mm256_storeu_si256 ((__m256i *) (pixels + i),
                           _mm256_or_si256 (_mm256_or_si256 (r, g),
                                            _mm256_or_si256 (b, alpha)));
    }
  fil_render_scalar_shade_rgb ((const float *const[]) { rgb[0] + i, rgb[1] + i, rgb[2] + i },
                               shades, pixels + i, n - i);
}

const FilRenderKernels fil_render_kernels_avx2 = {
  .set = set,
  .add = add,
  .largest = largest,
  .smallest = smallest,
  .debayer = debayer,
  .gather = gather,
  .shade = shade,
  .shade_rgb = shade_rgb,
};

#endif

/* fil-sharpness-kernels.c: the steps from a patch to its spectrum
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plain reference and AVX2 clone of each step do the same operations on the
 * same lanes, so their results agree to the last bit. */

#include <math.h>

#include "fil-sharpness-private.h"

#if FIL_CPU_HAVE_CLONES
#include <immintrin.h>
#endif

#define LANES 8

static FilRowMoments
row_moments_scalar (const uint16_t *row,
                    int             from,
                    int             width)
{
  FilRowMoments moments = { 0, 0 };

  for (int x = from; x < width; x++)
    {
      moments.counts += row[x];
      moments.weighted += (guint64) row[x] * (guint64) x;
    }

  return moments;
}

/* Two rows go into the real and the imaginary part of one complex row. */
static void
window_pair_scalar (const FilWindowRow  pair[2],
                    int                 from,
                    int                 width,
                    int                 pivot,
                    float               slope,
                    const float        *window,
                    const float        *tilted_window,
                    float              *out)
{
  for (int x = from; x < width; x++)
    {
      float tilt = slope * tilted_window[x];

      for (int i = 0; i < 2; i++)
        {
          float count = (float) (pair[i].row[x] - pivot) - pair[i].level;

          out[2 * x + i] = (count * window[x] - tilt) * pair[i].weight;
        }
    }
}

/* One bin of both real rows, times 2, from bins k and width − k of the pair. */
static void
part_bin (const float *pair,
          int          k,
          int          mirror,
          float       *even,
          float       *odd)
{
  const float *z = pair + 2 * (gsize) k, *m = pair + 2 * (gsize) mirror;

  even[2 * k] = z[0] + m[0];
  even[2 * k + 1] = z[1] - m[1];
  odd[2 * k] = z[1] + m[1];
  odd[2 * k + 1] = m[0] - z[0];
}

static double
add_lanes (const float lanes[LANES])
{
  double sum = 0.0;

  for (int i = 0; i < LANES; i++)
    sum += (double) lanes[i];

  return sum;
}

static void
add_power_scalar (const float *values,
                  int          from,
                  int          n_values,
                  float        lanes[LANES])
{
  for (int i = from; i < n_values; i++)
    lanes[i % LANES] += values[i] * values[i];
}

#if FIL_CPU_HAVE_CLONES

/* Counts less 32768 times weights below 512: a chunk stays within 32 bits. */
#define CHUNK 512

static const gint16 first_weights[16] = { 0, 1, 2,  3,  4,  5,  6,  7,
                                          8, 9, 10, 11, 12, 13, 14, 15 };

FIL_CPU_TARGET_AVX2 static inline gint64
sum_lanes_32 (__m256i lanes)
{
  gint32 parts[8];
  gint64 sum = 0;

  _mm256_storeu_si256 ((__m256i *) parts, lanes);
  for (int i = 0; i < 8; i++)
    sum += parts[i];

  return sum;
}

FIL_CPU_TARGET_AVX2 static FilRowMoments
row_moments_avx2 (const uint16_t *row,
                  int             width)
{
  const __m256i half = _mm256_set1_epi16 (-32768), ones = _mm256_set1_epi16 (1);
  const __m256i step = _mm256_set1_epi16 (16);
  FilRowMoments moments = { 0, 0 }, rest;
  int x = 0;

  while (x + 16 <= width)
    {
      __m256i sum = _mm256_setzero_si256 (), weighted = sum;
      __m256i weights = _mm256_loadu_si256 ((const __m256i *) first_weights);
      gint64 begin = x, counts, tilted, n;

      for (; x + 16 <= width && x < begin + CHUNK; x += 16)
        {
          __m256i c = _mm256_xor_si256 (_mm256_loadu_si256 ((const __m256i *) (row + x)), half);

          sum = _mm256_add_epi32 (sum, _mm256_madd_epi16 (c, ones));
          weighted = _mm256_add_epi32 (weighted, _mm256_madd_epi16 (c, weights));
          weights = _mm256_add_epi16 (weights, step);
        }
      n = x - begin;
      counts = sum_lanes_32 (sum) + 32768 * n;
      tilted = sum_lanes_32 (weighted) + 32768 * (n * (n - 1) / 2);
      moments.counts += (guint64) counts;
      moments.weighted += (guint64) (tilted + begin * counts);
    }
  rest = row_moments_scalar (row, x, width);

  return (FilRowMoments) { moments.counts + rest.counts, moments.weighted + rest.weighted };
}

FIL_CPU_TARGET_AVX2 static inline __m256
window_eight (const FilWindowRow *row,
              int                 x,
              __m256i             pivot,
              __m256              window,
              __m256              tilt)
{
  __m256i counts = _mm256_cvtepu16_epi32 (_mm_loadu_si128 ((const __m128i *) (row->row + x)));
  __m256 value = _mm256_cvtepi32_ps (_mm256_sub_epi32 (counts, pivot));

  value = _mm256_mul_ps (_mm256_sub_ps (value, _mm256_set1_ps (row->level)), window);

  return _mm256_mul_ps (_mm256_sub_ps (value, tilt), _mm256_set1_ps (row->weight));
}

FIL_CPU_TARGET_AVX2 static void
window_pair_avx2 (const FilWindowRow  pair[2],
                  int                 width,
                  int                 pivot,
                  float               slope,
                  const float        *window,
                  const float        *tilted_window,
                  float              *out)
{
  const __m256i pivots = _mm256_set1_epi32 (pivot);
  const __m256 slopes = _mm256_set1_ps (slope);
  int x;

  for (x = 0; x + LANES <= width; x += LANES)
    {
      __m256 w = _mm256_loadu_ps (window + x);
      __m256 tilt = _mm256_mul_ps (slopes, _mm256_loadu_ps (tilted_window + x));
      __m256 a = window_eight (&pair[0], x, pivots, w, tilt);
      __m256 b = window_eight (&pair[1], x, pivots, w, tilt);
      __m256 low = _mm256_unpacklo_ps (a, b), high = _mm256_unpackhi_ps (a, b);

      _mm256_storeu_ps (out + 2 * x, _mm256_permute2f128_ps (low, high, 0x20));
      _mm256_storeu_ps (out + 2 * x + LANES, _mm256_permute2f128_ps (low, high, 0x31));
    }
  window_pair_scalar (pair, x, width, pivot, slope, window, tilted_window, out);
}

FIL_CPU_TARGET_AVX2 static int
part_pair_avx2 (const float *pair,
                int          width,
                float       *even,
                float       *odd)
{
  const __m256 imaginary = _mm256_castsi256_ps (_mm256_set1_epi64x (G_MININT64));
  int k;

  for (k = 1; k + 4 <= width / 2 + 1; k += 4)
    {
      __m256 z = _mm256_loadu_ps (pair + 2 * k);
      __m256d m = _mm256_loadu_pd ((const double *) (gconstpointer)
                                   (pair + 2 * (width - k - 3)));
      /* Bins in reverse order, conjugate. */
      __m256 mirror = _mm256_xor_ps (_mm256_castpd_ps (_mm256_permute4x64_pd (m, 0x1b)),
                                     imaginary);
      __m256 difference = _mm256_sub_ps (z, mirror);

      _mm256_storeu_ps (even + 2 * k, _mm256_add_ps (z, mirror));
      /* Divided by i: real and imaginary part change places, one its sign. */
      _mm256_storeu_ps (odd + 2 * k, _mm256_xor_ps (_mm256_permute_ps (difference, 0xb1),
                                                    imaginary));
    }

  return k;
}

FIL_CPU_TARGET_AVX2 static double
power_avx2 (const float *bins,
            int          n)
{
  __m256 sum = _mm256_setzero_ps ();
  float lanes[LANES];
  int i;

  for (i = 0; i + LANES <= 2 * n; i += LANES)
    {
      __m256 v = _mm256_loadu_ps (bins + i);

      sum = _mm256_add_ps (sum, _mm256_mul_ps (v, v));
    }
  _mm256_storeu_ps (lanes, sum);
  add_power_scalar (bins, i, 2 * n, lanes);

  return add_lanes (lanes);
}
#endif

/* Sum of a row's counts, and of each count times its x. Exact. */
FilRowMoments
fil_sharpness_row_moments (const uint16_t *row,
                           int             width,
                           FilCpuLevel     level)
{
#if FIL_CPU_HAVE_CLONES
  if (level >= FIL_CPU_AVX2)
    return row_moments_avx2 (row, width);
#endif
  return row_moments_scalar (row, 0, width);
}

/**
 * fil_sharpness_window_pair:
 * @slope: of the plane along x, counts/px
 * @window: h(x)
 * @tilted_window: h(x) · (x − (width − 1) / 2)
 * @out: width complex numbers, the first row real, the second imaginary
 *
 * Two rows less the plane, times the window.
 */
void
fil_sharpness_window_pair (const FilWindowRow  pair[2],
                           int                 width,
                           int                 pivot,
                           float               slope,
                           const float        *window,
                           const float        *tilted_window,
                           float              *out,
                           FilCpuLevel         level)
{
#if FIL_CPU_HAVE_CLONES
  if (level >= FIL_CPU_AVX2)
    {
      window_pair_avx2 (pair, width, pivot, slope, window, tilted_window, out);
      return;
    }
#endif
  window_pair_scalar (pair, 0, width, pivot, slope, window, tilted_window, out);
}

/**
 * fil_sharpness_part_pair:
 * @pair: the transform of two real rows as one complex row, width bins
 * @even: (out): twice the first row's transform, bins 0 to width / 2
 * @odd: (out): twice the second row's
 */
void
fil_sharpness_part_pair (const float *pair,
                         int          width,
                         float       *even,
                         float       *odd,
                         FilCpuLevel  level)
{
  int k = 1;

  part_bin (pair, 0, 0, even, odd);
#if FIL_CPU_HAVE_CLONES
  if (level >= FIL_CPU_AVX2)
    k = part_pair_avx2 (pair, width, even, odd);
#endif
  for (; k <= width / 2; k++)
    part_bin (pair, k, width - k, even, odd);
}

/* Sum of |F|² over @n complex bins, in eight sums of single precision. */
double
fil_sharpness_power (const float *bins,
                     int          n,
                     FilCpuLevel  level)
{
  float lanes[LANES] = { 0 };

#if FIL_CPU_HAVE_CLONES
  if (level >= FIL_CPU_AVX2)
    return power_avx2 (bins, n);
#endif
  add_power_scalar (bins, 0, 2 * n, lanes);

  return add_lanes (lanes);
}

/* fil-figure-gradients-avx2.c: the gradient sums, sixteen pixels at a time
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Counts up to 8191 leave room for every difference in 16 bits, and the
 * multiply-and-add instruction squares them: the narrow kernel. Larger ones
 * are split into their high and low bytes, c = 256 h + l; each difference
 * splits alike, d² = 65536 dh² + 512 dh dl + dl². Both are exact.
 *
 * A kernel climbs a column of sixteen pixels through all rows of a band, so
 * that what three rows share is computed once and stays in registers. */

#include "fil-gradient-sums.h"

#if FIL_CPU_HAVE_CLONES

#include <immintrin.h>

#define AVX2_INLINE FIL_CPU_TARGET_AVX2 static inline __attribute__ ((always_inline))

#define LANES 16

/* Sixteen lanes of ones after as many of zeros: a mask for the last r lanes
 * begins at r. */
static const gint16 last_lanes[2 * LANES] = {
  [LANES] = -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1
};

AVX2_INLINE __m256i
load (const void *p)
{
  return _mm256_loadu_si256 (p);
}

/* Unsigned 32-bit lanes added to 64-bit lanes. */
AVX2_INLINE __m256i
add_wide (__m256i sum,
          __m256i lanes)
{
  sum = _mm256_add_epi64 (sum, _mm256_srli_epi64 (lanes, 32));

  return _mm256_add_epi64 (sum, _mm256_and_si256 (lanes, _mm256_set1_epi64x (0xffffffff)));
}

AVX2_INLINE guint64
sum_lanes_64 (__m256i lanes)
{
  guint64 parts[4];

  _mm256_storeu_si256 ((__m256i *) parts, lanes);

  return parts[0] + parts[1] + parts[2] + parts[3];
}

AVX2_INLINE gint64
sum_lanes_32 (__m256i lanes)
{
  gint32 parts[8];
  gint64 sum = 0;

  _mm256_storeu_si256 ((__m256i *) parts, lanes);
  for (int i = 0; i < 8; i++)
    sum += parts[i];

  return sum;
}

/* The four differences of sixteen pixels. */
typedef struct
{
  __m256i brenner, gx, gy, laplacian;
} Differences;

/* What a column of sixteen pixels keeps on the way up. */
typedef struct
{
  __m256i here;            /* the last row pushed: c(x) */
  __m256i step;            /* c(x+1) − c(x−1) */
  __m256i pair;            /* the step of that row and of the one below */
  __m256i smooth, before;  /* c(x−1) + 2c(x) + c(x+1); that of the row below */
  __m256i cross;           /* the Laplacian, but for the row above */
} Column;

/* Adds a row on top. Returns: the differences of the row below it, right from
 * the third row on. */
AVX2_INLINE Differences
push_row (Column  *column,
          __m256i  left,
          __m256i  here,
          __m256i  right)
{
  Differences d;
  __m256i step = _mm256_sub_epi16 (right, left);
  __m256i pair = _mm256_add_epi16 (column->step, step);
  __m256i sides = _mm256_add_epi16 (left, right);
  __m256i twice = _mm256_add_epi16 (here, here);
  __m256i smooth = _mm256_add_epi16 (sides, twice);
  __m256i across = _mm256_sub_epi16 (sides, _mm256_add_epi16 (twice, twice));

  d.brenner = column->step;
  d.gx = _mm256_add_epi16 (column->pair, pair);
  d.gy = _mm256_sub_epi16 (smooth, column->before);
  d.laplacian = _mm256_add_epi16 (column->cross, here);

  column->cross = _mm256_add_epi16 (across, column->here);
  column->before = column->smooth;
  column->smooth = smooth;
  column->pair = pair;
  column->step = step;
  column->here = here;

  return d;
}

AVX2_INLINE Differences
keep_lanes (Differences d,
            __m256i     mask)
{
  d.brenner = _mm256_and_si256 (d.brenner, mask);
  d.gx = _mm256_and_si256 (d.gx, mask);
  d.gy = _mm256_and_si256 (d.gy, mask);
  d.laplacian = _mm256_and_si256 (d.laplacian, mask);

  return d;
}

/* All bits that occur in the row; at least one vector wide. */
FIL_CPU_TARGET_AVX2 uint16_t
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

typedef struct
{
  __m256i brenner, tenengrad, laplacian;
} SquareSums;

AVX2_INLINE void
add_products (SquareSums        *sums,
              const Differences *p,
              const Differences *q)
{
  __m256i gradient = _mm256_add_epi32 (_mm256_madd_epi16 (p->gx, q->gx),
                                       _mm256_madd_epi16 (p->gy, q->gy));

  sums->tenengrad = _mm256_add_epi32 (sums->tenengrad, gradient);
  sums->brenner =
    _mm256_add_epi32 (sums->brenner, _mm256_madd_epi16 (p->brenner, q->brenner));
  sums->laplacian =
    _mm256_add_epi32 (sums->laplacian, _mm256_madd_epi16 (p->laplacian, q->laplacian));
}

AVX2_INLINE SquareSums
no_sums (void)
{
  const __m256i zero = _mm256_setzero_si256 ();

  return (SquareSums) { zero, zero, zero };
}

AVX2_INLINE void
widen_sums (SquareSums *wide,
            SquareSums  sums)
{
  wide->brenner = add_wide (wide->brenner, sums.brenner);
  wide->tenengrad = add_wide (wide->tenengrad, sums.tenengrad);
  wide->laplacian = add_wide (wide->laplacian, sums.laplacian);
}

AVX2_INLINE Differences
push_narrow (Column         *column,
             const uint16_t *row)
{
  return push_row (column, load (row - 1), load (row), load (row + 1));
}

/* @group vectors go into 32 bits before they are widened. Counts of n bits:
 * Gx and Gy reach 4 (2ⁿ − 1), and a lane gains up to 64 (2ⁿ − 1)² a vector. That
 * is below 2³² for one vector of 13 bits and for four of 12. */
AVX2_INLINE void
climb_narrow (const FilFigureBand *band,
              int                  x,
              __m256i              mask,
              int                  group,
              SquareSums          *wide)
{
  const uint16_t *const *rows = band->rows;
  Column column = { 0 };

  push_narrow (&column, rows[0] + x);
  push_narrow (&column, rows[1] + x);
  for (int r = 0; r < band->n; r += group)
    {
      SquareSums sums = no_sums ();

      for (int k = r; k < r + group && k < band->n; k++)
        {
          Differences d = keep_lanes (push_narrow (&column, rows[k + 2] + x), mask);

          add_products (&sums, &d, &d);
        }
      widen_sums (wide, sums);
    }
}

AVX2_INLINE SquareSums
add_narrow (const FilFigureBand *band,
            int                  width,
            int                  group)
{
  SquareSums wide = no_sums ();
  int x, end = width - 1;

  for (x = 1; x + LANES <= end; x += LANES)
    climb_narrow (band, x, _mm256_set1_epi16 (-1), group, &wide);
  if (x < end)
    climb_narrow (band, end - LANES, load (last_lanes + (end - x)), group, &wide);

  return wide;
}

/* @bits: at or above every count of the rows, up to
 * FIL_GRADIENT_NARROW_LARGEST */
FIL_CPU_TARGET_AVX2 void
fil_gradient_narrow_avx2 (const FilFigureBand *band,
                          int                  width,
                          uint16_t             bits,
                          FilGradientSums     *sums)
{
  SquareSums wide = bits <= 4095 ? add_narrow (band, width, 4) : add_narrow (band, width, 1);

  sums->brenner += sum_lanes_64 (wide.brenner);
  sums->tenengrad += sum_lanes_64 (wide.tenengrad);
  sums->laplacian_squares += sum_lanes_64 (wide.laplacian);
}

/* Squares of the high part, of the low part, and the products of the two, in
 * signed 32-bit lanes. A vector adds up to 4 · 1020² there: 516 fit. */
typedef struct
{
  SquareSums high, mixed, low;
} SplitSums;

/* Vectors between two emptyings; the last column of a row may add a band's. */
#define FLUSH_VECTORS 500
G_STATIC_ASSERT ((FLUSH_VECTORS + FIL_FIGURE_BAND) * (gint64) (4 * 1020 * 1020) <= G_MAXINT32);

typedef struct
{
  Column high, low;
} SplitColumn;

AVX2_INLINE void
push_split (SplitColumn    *column,
            const uint16_t *row,
            Differences    *high,
            Differences    *low)
{
  const __m256i byte = _mm256_set1_epi16 (255);
  __m256i left = load (row - 1), here = load (row), right = load (row + 1);

  *high = push_row (&column->high, _mm256_srli_epi16 (left, 8), _mm256_srli_epi16 (here, 8),
                    _mm256_srli_epi16 (right, 8));
  *low = push_row (&column->low, _mm256_and_si256 (left, byte), _mm256_and_si256 (here, byte),
                   _mm256_and_si256 (right, byte));
}

AVX2_INLINE void
climb_split (const FilFigureBand *band,
             int                  x,
             __m256i              mask,
             SplitSums           *sums)
{
  SplitColumn column = { 0 };
  Differences high, low;

  push_split (&column, band->rows[0] + x, &high, &low);
  push_split (&column, band->rows[1] + x, &high, &low);
  for (int r = 0; r < band->n; r++)
    {
      push_split (&column, band->rows[r + 2] + x, &high, &low);
      high = keep_lanes (high, mask);
      low = keep_lanes (low, mask);
      add_products (&sums->high, &high, &high);
      add_products (&sums->mixed, &high, &low);
      add_products (&sums->low, &low, &low);
    }
}

AVX2_INLINE guint64
join (__m256i high,
      __m256i mixed,
      __m256i low)
{
  return (guint64) (65536 * sum_lanes_32 (high) + 512 * sum_lanes_32 (mixed) +
                    sum_lanes_32 (low));
}

AVX2_INLINE void
empty_split (SplitSums       *split,
             FilGradientSums *sums)
{
  const SquareSums *h = &split->high, *m = &split->mixed, *l = &split->low;

  sums->brenner += join (h->brenner, m->brenner, l->brenner);
  sums->tenengrad += join (h->tenengrad, m->tenengrad, l->tenengrad);
  sums->laplacian_squares += join (h->laplacian, m->laplacian, l->laplacian);
}

FIL_CPU_TARGET_AVX2 void
fil_gradient_split_avx2 (const FilFigureBand *band,
                         int                  width,
                         FilGradientSums     *sums)
{
  int x = 1, end = width - 1;

  while (x < end)
    {
      SplitSums split = { no_sums (), no_sums (), no_sums () };

      for (int k = 0; k + band->n <= FLUSH_VECTORS && x + LANES <= end; k += band->n, x += LANES)
        climb_split (band, x, _mm256_set1_epi16 (-1), &split);
      if (end - x > 0 && end - x < LANES)
        {
          climb_split (band, end - LANES, load (last_lanes + (end - x)), &split);
          x = end;
        }
      empty_split (&split, sums);
    }
}

#endif

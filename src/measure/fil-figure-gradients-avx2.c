/* fil-figure-gradients-avx2.c: the gradient sums, sixteen pixels at a time
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Counts up to 8191 leave room for every difference in 16 bits, and the
 * multiply-and-add instruction squares them: the narrow kernel. Larger ones
 * are split into their high and low bytes beforehand, c = 256 h + l; each
 * difference splits alike, d² = 65536 dh² + 512 dh dl + dl². Both are exact. */

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

/* @a, @b, @c: the pixels of the row below, of this row and of the one above */
AVX2_INLINE Differences
differ (const gint16 *a,
        const gint16 *b,
        const gint16 *c)
{
  Differences d;
  __m256i a0 = load (a), am = load (a - 1), ap = load (a + 1);
  __m256i b0 = load (b), bm = load (b - 1), bp = load (b + 1);
  __m256i c0 = load (c), cm = load (c - 1), cp = load (c + 1);
  __m256i edge = _mm256_sub_epi16 (_mm256_add_epi16 (ap, cp), _mm256_add_epi16 (am, cm));
  __m256i rise = _mm256_add_epi16 (_mm256_sub_epi16 (cm, am), _mm256_sub_epi16 (cp, ap));
  __m256i middle = _mm256_sub_epi16 (c0, a0);
  __m256i around = _mm256_add_epi16 (_mm256_add_epi16 (a0, c0), _mm256_add_epi16 (bm, bp));

  d.brenner = _mm256_sub_epi16 (bp, bm);
  d.gx = _mm256_add_epi16 (edge, _mm256_add_epi16 (d.brenner, d.brenner));
  d.gy = _mm256_add_epi16 (rise, _mm256_add_epi16 (middle, middle));
  d.laplacian = _mm256_sub_epi16 (around, _mm256_slli_epi16 (b0, 2));

  return d;
}

AVX2_INLINE void
keep_lanes (Differences *d,
            __m256i      mask)
{
  d->brenner = _mm256_and_si256 (d->brenner, mask);
  d->gx = _mm256_and_si256 (d->gx, mask);
  d->gy = _mm256_and_si256 (d->gy, mask);
  d->laplacian = _mm256_and_si256 (d->laplacian, mask);
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

/* A row of counts as high and low bytes; at least one vector wide. */
FIL_CPU_TARGET_AVX2 void
fil_gradient_split_avx2 (const uint16_t *row,
                         int             width,
                         gint16         *high,
                         gint16         *low)
{
  const __m256i byte = _mm256_set1_epi16 (255);

  for (int x = 0; x < width; x += LANES)
    {
      int from = MIN (x, width - LANES);   /* the last vector overlaps */
      __m256i counts = load (row + from);

      _mm256_storeu_si256 ((__m256i *) (high + from), _mm256_srli_epi16 (counts, 8));
      _mm256_storeu_si256 ((__m256i *) (low + from), _mm256_and_si256 (counts, byte));
    }
}

typedef struct
{
  __m256i brenner, tenengrad, laplacian;
} SquareSums;

AVX2_INLINE void
add_squares (SquareSums  *sums,
             Differences  d)
{
  __m256i gradient = _mm256_add_epi32 (_mm256_madd_epi16 (d.gx, d.gx),
                                       _mm256_madd_epi16 (d.gy, d.gy));

  sums->tenengrad = _mm256_add_epi32 (sums->tenengrad, gradient);
  sums->brenner = _mm256_add_epi32 (sums->brenner, _mm256_madd_epi16 (d.brenner, d.brenner));
  sums->laplacian =
    _mm256_add_epi32 (sums->laplacian, _mm256_madd_epi16 (d.laplacian, d.laplacian));
}

AVX2_INLINE void
widen_sums (SquareSums       *wide,
            const SquareSums *sums)
{
  wide->brenner = add_wide (wide->brenner, sums->brenner);
  wide->tenengrad = add_wide (wide->tenengrad, sums->tenengrad);
  wide->laplacian = add_wide (wide->laplacian, sums->laplacian);
}

/* @group vectors go into 32 bits before they are widened. Counts of n bits:
 * Gx and Gy reach 4 (2ⁿ − 1), and a lane gains up to 64 (2ⁿ − 1)² a vector. That
 * is below 2³² for one vector of 13 bits and for four of 12. */
AVX2_INLINE SquareSums
add_narrow (const FilFigureRows *rows,
            int                  width,
            int                  group)
{
  const gint16 *a = (const gint16 *) rows->below;
  const gint16 *b = (const gint16 *) rows->here;
  const gint16 *c = (const gint16 *) rows->above;
  const __m256i zero = _mm256_setzero_si256 ();
  SquareSums wide = { zero, zero, zero }, sums;
  int x, end = width - 1, rest;

  for (x = 1; x + group * LANES <= end; x += group * LANES)
    {
      sums = (SquareSums) { zero, zero, zero };
      for (int k = 0; k < group; k++)
        add_squares (&sums, differ (a + x + k * LANES, b + x + k * LANES, c + x + k * LANES));
      widen_sums (&wide, &sums);
    }
  for (; x + LANES <= end; x += LANES)
    {
      sums = (SquareSums) { zero, zero, zero };
      add_squares (&sums, differ (a + x, b + x, c + x));
      widen_sums (&wide, &sums);
    }

  rest = end - x;
  if (rest > 0)
    {
      Differences d = differ (a + end - LANES, b + end - LANES, c + end - LANES);

      keep_lanes (&d, load (last_lanes + rest));
      sums = (SquareSums) { zero, zero, zero };
      add_squares (&sums, d);
      widen_sums (&wide, &sums);
    }

  return wide;
}

/* @bits: at or above every count of the three rows, up to
 * FIL_GRADIENT_NARROW_LARGEST */
FIL_CPU_TARGET_AVX2 void
fil_gradient_narrow_avx2 (const FilFigureRows *rows,
                          int                  width,
                          uint16_t             bits,
                          FilGradientSums     *sums)
{
  SquareSums wide = bits <= 4095 ? add_narrow (rows, width, 4) : add_narrow (rows, width, 1);

  sums->brenner += sum_lanes_64 (wide.brenner);
  sums->tenengrad += sum_lanes_64 (wide.tenengrad);
  sums->laplacian_squares += sum_lanes_64 (wide.laplacian);
}

/* Squares of the high part, of the low part, and the products of the two, in
 * 32-bit lanes: a vector adds up to 4 · 1020² there, and a row has no more
 * than BLOCK vectors between two emptyings. */
typedef struct
{
  SquareSums high, mixed, low;
} SplitSums;

#define BLOCK 256

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

AVX2_INLINE void
add_split (SplitSums         *sums,
           const FilSplitRow *a,
           const FilSplitRow *b,
           const FilSplitRow *c,
           int                x,
           __m256i            mask)
{
  Differences high = differ (a->high + x, b->high + x, c->high + x);
  Differences low = differ (a->low + x, b->low + x, c->low + x);

  keep_lanes (&high, mask);
  keep_lanes (&low, mask);
  add_products (&sums->high, &high, &high);
  add_products (&sums->mixed, &high, &low);
  add_products (&sums->low, &low, &low);
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
empty_split (const SplitSums *split,
             FilGradientSums *sums)
{
  const SquareSums *h = &split->high, *m = &split->mixed, *l = &split->low;

  sums->brenner += join (h->brenner, m->brenner, l->brenner);
  sums->tenengrad += join (h->tenengrad, m->tenengrad, l->tenengrad);
  sums->laplacian_squares += join (h->laplacian, m->laplacian, l->laplacian);
}

FIL_CPU_TARGET_AVX2 void
fil_gradient_split_row_avx2 (const FilSplitRow *below,
                             const FilSplitRow *here,
                             const FilSplitRow *above,
                             int                width,
                             FilGradientSums   *sums)
{
  const __m256i zero = _mm256_setzero_si256 (), all = _mm256_set1_epi16 (-1);
  const SquareSums none = { zero, zero, zero };
  int x = 1, end = width - 1;

  while (x < end)
    {
      SplitSums split = { none, none, none };

      for (int k = 0; k < BLOCK && x + LANES <= end; k++, x += LANES)
        add_split (&split, below, here, above, x, all);
      if (end - x > 0 && end - x < LANES)
        {
          add_split (&split, below, here, above, end - LANES, load (last_lanes + (end - x)));
          x = end;
        }
      empty_split (&split, sums);
    }
}

#endif

/* fil-gradient-kernel.h: the gradient sums, a vector of pixels at a time
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Read once for each instruction set, by a file that says beforehand what its
 * Vector is, and its LANES of 16 bits; KERNEL() is a function of it, OP() the
 * instructions that are called alike in all sets.
 *
 * Counts up to 8191 leave room for every difference in 16 bits, and the
 * multiply-and-add instruction squares them: the narrow kernel. Larger ones
 * are split into their high and low bytes, c = 256 h + l; each difference
 * splits alike, d² = 65536 dh² + 512 dh dl + dl². Both are exact.
 *
 * A kernel climbs a column of pixels through all rows of a band, so that what
 * three rows share is computed once and stays in registers. */

#include <string.h>

#include "fil-gradient-sums.h"

#define KERNEL_INLINE TARGET static inline __attribute__ ((always_inline))

/* As many lanes of ones after LANES zeros: a mask for the last r lanes begins
 * at r. */
static const gint16 last_lanes[2 * LANES] = { [LANES ... 2 * LANES - 1] = -1 };

/* Unsigned 32-bit lanes added to 64-bit lanes. */
KERNEL_INLINE Vector
add_wide (Vector sum,
          Vector lanes)
{
  sum = OP (add_epi64) (sum, OP (srli_epi64) (lanes, 32));

  return OP (add_epi64) (sum, and_bits (lanes, OP (srli_epi64) (OP (set1_epi32) (-1), 32)));
}

KERNEL_INLINE guint64
sum_lanes_64 (Vector lanes)
{
  guint64 parts[LANES / 4], sum = 0;

  memcpy (parts, &lanes, sizeof parts);
  for (int i = 0; i < LANES / 4; i++)
    sum += parts[i];

  return sum;
}

KERNEL_INLINE gint64
sum_lanes_32 (Vector lanes)
{
  gint32 parts[LANES / 2];
  gint64 sum = 0;

  memcpy (parts, &lanes, sizeof parts);
  for (int i = 0; i < LANES / 2; i++)
    sum += parts[i];

  return sum;
}

/* The four differences of each pixel. */
typedef struct
{
  Vector brenner, gx, gy, laplacian;
} Differences;

/* What a column of pixels keeps on the way up. */
typedef struct
{
  Vector here;            /* the last row pushed: c(x) */
  Vector step;            /* c(x+1) − c(x−1) */
  Vector pair;            /* the step of that row and of the one below */
  Vector smooth, before;  /* c(x−1) + 2c(x) + c(x+1); that of the row below */
  Vector cross;           /* the Laplacian, but for the row above */
} Column;

/* Adds a row on top. Returns: the differences of the row below it, right from
 * the third row on. */
KERNEL_INLINE Differences
push_row (Column *column,
          Vector  left,
          Vector  here,
          Vector  right)
{
  Differences d;
  Vector step = OP (sub_epi16) (right, left);
  Vector pair = OP (add_epi16) (column->step, step);
  Vector sides = OP (add_epi16) (left, right);
  Vector twice = OP (add_epi16) (here, here);
  Vector smooth = OP (add_epi16) (sides, twice);
  Vector across = OP (sub_epi16) (sides, OP (add_epi16) (twice, twice));

  d.brenner = column->step;
  d.gx = OP (add_epi16) (column->pair, pair);
  d.gy = OP (sub_epi16) (smooth, column->before);
  d.laplacian = OP (add_epi16) (column->cross, here);

  column->cross = OP (add_epi16) (across, column->here);
  column->before = column->smooth;
  column->smooth = smooth;
  column->pair = pair;
  column->step = step;
  column->here = here;

  return d;
}

KERNEL_INLINE Differences
keep_lanes (Differences d,
            Vector      mask)
{
  d.brenner = and_bits (d.brenner, mask);
  d.gx = and_bits (d.gx, mask);
  d.gy = and_bits (d.gy, mask);
  d.laplacian = and_bits (d.laplacian, mask);

  return d;
}

typedef struct
{
  Vector brenner, tenengrad, laplacian;
} SquareSums;

KERNEL_INLINE void
add_products (SquareSums        *sums,
              const Differences *p,
              const Differences *q)
{
  sums->brenner = add_dot (sums->brenner, p->brenner, q->brenner);
  sums->tenengrad = add_dot (add_dot (sums->tenengrad, p->gx, q->gx), p->gy, q->gy);
  sums->laplacian = add_dot (sums->laplacian, p->laplacian, q->laplacian);
}

KERNEL_INLINE SquareSums
no_sums (void)
{
  const Vector zero = (Vector) { 0 };

  return (SquareSums) { zero, zero, zero };
}

KERNEL_INLINE void
widen_sums (SquareSums *wide,
            SquareSums  sums)
{
  wide->brenner = add_wide (wide->brenner, sums.brenner);
  wide->tenengrad = add_wide (wide->tenengrad, sums.tenengrad);
  wide->laplacian = add_wide (wide->laplacian, sums.laplacian);
}

KERNEL_INLINE Differences
push_narrow (Column         *column,
             const uint16_t *row)
{
  return push_row (column, load (row - 1), load (row), load (row + 1));
}

/* @group vectors go into 32 bits before they are widened. Counts of n bits:
 * Gx and Gy reach 4 (2ⁿ − 1), and a lane gains up to 64 (2ⁿ − 1)² a vector. That
 * is below 2³² for one vector of 13 bits and for four of 12. */
KERNEL_INLINE void
climb_narrow (const FilFigureBand *band,
              int                  x,
              Vector              mask,
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

KERNEL_INLINE SquareSums
add_narrow (const FilFigureBand *band,
            int                  width,
            int                  group)
{
  SquareSums wide = no_sums ();
  int x, end = width - 1;

  for (x = 1; x + LANES <= end; x += LANES)
    climb_narrow (band, x, OP (set1_epi16) (-1), group, &wide);
  if (x < end)
    climb_narrow (band, end - LANES, load (last_lanes + (end - x)), group, &wide);

  return wide;
}

/* @bits: at or above every count of the rows, up to
 * FIL_GRADIENT_NARROW_LARGEST */
TARGET void
KERNEL (fil_gradient_narrow) (const FilFigureBand *band,
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

KERNEL_INLINE void
push_split (SplitColumn    *column,
            const uint16_t *row,
            Differences    *high,
            Differences    *low)
{
  const Vector byte = OP (set1_epi16) (255);
  Vector left = load (row - 1), here = load (row), right = load (row + 1);

  *high = push_row (&column->high, OP (srli_epi16) (left, 8), OP (srli_epi16) (here, 8),
                    OP (srli_epi16) (right, 8));
  *low = push_row (&column->low, and_bits (left, byte), and_bits (here, byte),
                   and_bits (right, byte));
}

KERNEL_INLINE void
climb_split (const FilFigureBand *band,
             int                  x,
             Vector              mask,
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

KERNEL_INLINE guint64
join (Vector high,
      Vector mixed,
      Vector low)
{
  return (guint64) (65536 * sum_lanes_32 (high) + 512 * sum_lanes_32 (mixed) +
                    sum_lanes_32 (low));
}

KERNEL_INLINE void
empty_split (SplitSums       *split,
             FilGradientSums *sums)
{
  const SquareSums *h = &split->high, *m = &split->mixed, *l = &split->low;

  sums->brenner += join (h->brenner, m->brenner, l->brenner);
  sums->tenengrad += join (h->tenengrad, m->tenengrad, l->tenengrad);
  sums->laplacian_squares += join (h->laplacian, m->laplacian, l->laplacian);
}

TARGET void
KERNEL (fil_gradient_split) (const FilFigureBand *band,
                         int                  width,
                         FilGradientSums     *sums)
{
  int x = 1, end = width - 1;

  while (x < end)
    {
      SplitSums split = { no_sums (), no_sums (), no_sums () };

      for (int k = 0; k + band->n <= FLUSH_VECTORS && x + LANES <= end; k += band->n, x += LANES)
        climb_split (band, x, OP (set1_epi16) (-1), &split);
      if (end - x > 0 && end - x < LANES)
        {
          climb_split (band, end - LANES, load (last_lanes + (end - x)), &split);
          x = end;
        }
      empty_split (&split, sums);
    }
}

/* fil-figure-mfgs.c: median-filter-gradient similarity
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Deng et al. 2015, Solar Physics 290, 1479 (from memory): 2 G Gm / (G² + Gm²),
 * where G sums the gradients of the picture and Gm those of the picture after
 * a median filter. Here: |Δx| + |Δy| of forward differences to the right and
 * up, a 3×3 median, edges replicated. */

#include <math.h>
#include <string.h>

#include "fil-figure-private.h"

#if FIL_CPU_HAVE_CLONES
#include <immintrin.h>
#endif

#define PAD 16   /* counts on both sides of a sorted row */

typedef struct
{
  FilFigurePicture picture;
  guint64          raw, filtered;   /* at most 2 · 65535 a pixel */
  uint16_t        *medians[2];      /* of this row and of the one below, by y % 2 */
  uint16_t        *sorted[3];       /* least, middle and largest of each column of three */
  gsize            size;
} Mfgs;

static gpointer
mfgs_new (void)
{
  return g_new0 (Mfgs, 1);
}

static void
mfgs_free (gpointer state)
{
  Mfgs *mfgs = state;

  g_free (mfgs->medians[0]);
  g_free (mfgs);
}

static void
mfgs_begin (gpointer                state,
            const FilFigurePicture *picture)
{
  Mfgs *mfgs = state;
  gsize line = (gsize) picture->width + 2 * PAD;

  if (line > mfgs->size)
    {
      g_free (mfgs->medians[0]);
      mfgs->medians[0] = g_new0 (uint16_t, 5 * line);
      mfgs->medians[1] = mfgs->medians[0] + line;
      for (gsize i = 0; i < 3; i++)
        mfgs->sorted[i] = mfgs->medians[1] + line * (i + 1) + PAD;
      mfgs->size = line;
    }
  mfgs->picture = *picture;
  mfgs->raw = mfgs->filtered = 0;
}

/* The plain reference: the fifth of nine, by sorting. */
static uint16_t
median_of_nine (const uint16_t *const window[3],
                int             left,
                int             x,
                int             right)
{
  const int columns[3] = { left, x, right };
  uint16_t sorted[9];
  int n = 0;

  for (int r = 0; r < 3; r++)
    for (int k = 0; k < 3; k++)
      {
        uint16_t count = window[r][columns[k]];
        int i = n++;

        for (; i > 0 && sorted[i - 1] > count; i--)
          sorted[i] = sorted[i - 1];
        sorted[i] = count;
      }

  return sorted[4];
}

static void
filter_row_scalar (const uint16_t *const window[3],
                   int             width,
                   uint16_t       *medians)
{
  for (int x = 0; x < width; x++)
    medians[x] = median_of_nine (window, MAX (x - 1, 0), x, MIN (x + 1, width - 1));
}

/* Forward differences of one row; @above is the next row. */
static guint64
add_differences_scalar (const uint16_t *here,
                        const uint16_t *above,
                        int             from,
                        int             width)
{
  guint64 sum = 0;

  for (int x = from; x < width - 1; x++)
    sum += (guint64) (ABS (here[x + 1] - here[x]) + ABS (above[x] - here[x]));

  return sum;
}

#if FIL_CPU_HAVE_CLONES
#define AVX2_INLINE FIL_CPU_TARGET_AVX2 static inline __attribute__ ((always_inline))

AVX2_INLINE __m256i
load (const uint16_t *p)
{
  return _mm256_loadu_si256 ((const __m256i *) p);
}

AVX2_INLINE void
store (uint16_t *p,
       __m256i   counts)
{
  _mm256_storeu_si256 ((__m256i *) p, counts);
}

AVX2_INLINE __m256i
least (__m256i a, __m256i b)
{
  return _mm256_min_epu16 (a, b);
}

AVX2_INLINE __m256i
largest (__m256i a, __m256i b)
{
  return _mm256_max_epu16 (a, b);
}

AVX2_INLINE __m256i
median (__m256i a, __m256i b, __m256i c)
{
  return largest (least (a, b), least (largest (a, b), c));
}

/* Sorts each column of three counts into the three padded rows. */
FIL_CPU_TARGET_AVX2 static void
sort_columns (Mfgs                 *mfgs,
              const uint16_t *const window[3],
              int                   width)
{
  for (int x = 0; x < width; x += 16)
    {
      int from = MIN (x, width - 16);   /* the last vector overlaps */
      __m256i a = load (window[0] + from), b = load (window[1] + from);
      __m256i c = load (window[2] + from);
      __m256i low = least (a, b), high = largest (a, b);

      store (mfgs->sorted[0] + from, least (low, c));
      store (mfgs->sorted[1] + from, largest (low, least (high, c)));
      store (mfgs->sorted[2] + from, largest (high, c));
    }
  for (int i = 0; i < 3; i++)
    {
      mfgs->sorted[i][-1] = mfgs->sorted[i][0];
      mfgs->sorted[i][width] = mfgs->sorted[i][width - 1];
    }
}

/* With sorted columns the median of nine is that of the largest of the least,
 * the median of the middle and the least of the largest. Source: Smith 1996,
 * "Implementing median filters in XC4000E FPGAs", XCell 23, 16 (from memory). */
FIL_CPU_TARGET_AVX2 static void
filter_row_avx2 (Mfgs                 *mfgs,
                 const uint16_t *const window[3],
                 int                   width,
                 uint16_t             *medians)
{
  sort_columns (mfgs, window, width);
  for (int x = 0; x < width; x += 16)
    {
      int from = MIN (x, width - 16);
      const uint16_t *low = mfgs->sorted[0] + from, *middle = mfgs->sorted[1] + from;
      const uint16_t *high = mfgs->sorted[2] + from;
      __m256i a = largest (largest (load (low - 1), load (low)), load (low + 1));
      __m256i b = median (load (middle - 1), load (middle), load (middle + 1));
      __m256i c = least (least (load (high - 1), load (high)), load (high + 1));

      store (medians + from, median (a, b, c));
    }
}

AVX2_INLINE __m256i
distance (__m256i a, __m256i b)
{
  return _mm256_or_si256 (_mm256_subs_epu16 (a, b), _mm256_subs_epu16 (b, a));
}

/* 16-bit lanes as pairs added in 32 bits. */
AVX2_INLINE __m256i
add_pairs (__m256i lanes)
{
  return _mm256_add_epi32 (_mm256_srli_epi32 (lanes, 16),
                           _mm256_and_si256 (lanes, _mm256_set1_epi32 (0xffff)));
}

FIL_CPU_TARGET_AVX2 static guint64
add_differences_avx2 (const uint16_t *here,
                      const uint16_t *above,
                      int             width)
{
  __m256i sum = _mm256_setzero_si256 ();
  guint32 parts[8];
  guint64 total = 0;
  int x;

  /* A lane gains at most 4 · 65535 a vector, and a row has up to 6250. */
  for (x = 0; x + 16 < width; x += 16)
    {
      __m256i counts = load (here + x);

      sum = _mm256_add_epi32 (sum, add_pairs (distance (counts, load (here + x + 1))));
      sum = _mm256_add_epi32 (sum, add_pairs (distance (counts, load (above + x))));
    }
  _mm256_storeu_si256 ((__m256i *) parts, sum);
  for (int i = 0; i < 8; i++)
    total += parts[i];

  return total + add_differences_scalar (here, above, x, width);
}
#endif

static void
filter_row (Mfgs                *mfgs,
            const FilFigureRows *rows,
            uint16_t            *medians)
{
  int width = mfgs->picture.width;
  const uint16_t *window[3] = {
    rows->below != NULL ? rows->below : rows->here,
    rows->here,
    rows->above != NULL ? rows->above : rows->here,
  };

#if FIL_CPU_HAVE_CLONES
  if (mfgs->picture.level >= FIL_CPU_AVX2 && width >= 16)
    {
      filter_row_avx2 (mfgs, window, width, medians);
      return;
    }
#endif
  filter_row_scalar (window, width, medians);
}

static guint64
add_differences (const Mfgs     *mfgs,
                 const uint16_t *here,
                 const uint16_t *above)
{
#if FIL_CPU_HAVE_CLONES
  if (mfgs->picture.level >= FIL_CPU_AVX2)
    return add_differences_avx2 (here, above, mfgs->picture.width);
#endif
  return add_differences_scalar (here, above, 0, mfgs->picture.width);
}

static void
mfgs_row (gpointer             state,
          const FilFigureRows *rows)
{
  Mfgs *mfgs = state;
  uint16_t *medians = mfgs->medians[rows->y % 2];

  filter_row (mfgs, rows, medians);
  if (rows->below == NULL)
    return;

  mfgs->raw += add_differences (mfgs, rows->below, rows->here);
  mfgs->filtered += add_differences (mfgs, mfgs->medians[(rows->y + 1) % 2], medians);
}

/* NaN where nothing differs from its neighbour. As a ratio, so that squares
 * of large numbers don't overflow. */
static double
similarity (double raw,
            double filtered)
{
  double ratio = filtered / raw;

  return raw > 0.0 ? 2.0 * ratio / (1.0 + ratio * ratio) : NAN;
}

static void
mfgs_end (gpointer        state,
          FilFigureMeter *meter,
          FilFigures     *figures)
{
  Mfgs *mfgs = state;

  figures->mfgs = similarity ((double) mfgs->raw, (double) mfgs->filtered);
}

static double
median_of_doubles (const double *pixels,
                   int           width,
                   int           height,
                   int           x,
                   int           y)
{
  double sorted[9];
  int n = 0;

  for (int r = -1; r <= 1; r++)
    for (int k = -1; k <= 1; k++)
      {
        double value = pixels[(gsize) CLAMP (y + r, 0, height - 1) * (gsize) width +
                              (gsize) CLAMP (x + k, 0, width - 1)];
        int i;

        if (!isfinite (value))
          return NAN;
        for (i = n++; i > 0 && sorted[i - 1] > value; i--)
          sorted[i] = sorted[i - 1];
        sorted[i] = value;
      }

  return sorted[4];
}

/* |Δx| + |Δy|, or 0 where a pixel is missing. */
static double
difference (double here,
            double right,
            double above)
{
  double sum = fabs (right - here) + fabs (above - here);

  return isfinite (sum) ? sum : 0.0;
}

static void
mfgs_measure_double (const double *pixels,
                     int           width,
                     int           height,
                     double        full_count,
                     FilFigures   *figures)
{
  g_autofree double *medians = g_new (double, 2 * (gsize) width);
  double raw = 0.0, filtered = 0.0;

  for (int y = 0; y < height; y++)
    {
      double *here = medians + (y % 2) * (gsize) width;
      const double *below = medians + ((y + 1) % 2) * (gsize) width;
      const double *row = pixels + (gsize) y * (gsize) width, *last = row;

      for (int x = 0; x < width; x++)
        here[x] = median_of_doubles (pixels, width, height, x, y);
      if (y == 0)
        continue;
      last -= width;
      for (int x = 0; x < width - 1; x++)
        {
          raw += difference (last[x], last[x + 1], row[x]);
          filtered += difference (below[x], below[x + 1], here[x]);
        }
    }

  figures->mfgs = similarity (raw, filtered);
}

const FilFigure fil_figure_mfgs = {
  mfgs_new, mfgs_free, mfgs_begin, mfgs_row, NULL, mfgs_end, mfgs_measure_double
};

/* fil-figure-basic.c: mean, spread, extremes, full and empty pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-figure-private.h"

#if FIL_CPU_HAVE_CLONES
#include <immintrin.h>
#endif

typedef struct
{
  guint64 sum;
  guint64 squares;   /* of one row it fits: 100000 × 65535² */
  guint32 n_full, n_empty;
  guint16 min, max;
} RowSums;

typedef struct
{
  FilFigurePicture picture;
  gboolean         by_histogram;   /* it holds all of this, exactly */
  FilWide          sum, squares;
  guint64          n_full, n_empty;
  guint16          min, max;
} Basic;

static gpointer
basic_new (void)
{
  return g_new0 (Basic, 1);
}

static void
basic_begin (gpointer                state,
             const FilFigurePicture *picture)
{
  Basic *basic = state;

  *basic = (Basic) { .picture = *picture, .min = G_MAXUINT16 };
  basic->by_histogram = (picture->set & FIL_FIGURES_HISTOGRAM) != 0 &&
                        (guint64) picture->width * (guint64) picture->height <= G_MAXUINT32;
}

static void
add_row_scalar (const uint16_t *row,
                int             n,
                guint32         full,
                RowSums        *sums)
{
  for (int i = 0; i < n; i++)
    {
      sums->sum += row[i];
      sums->squares += (guint64) row[i] * row[i];
      sums->n_full += row[i] >= full;
      sums->n_empty += row[i] == 0;
      sums->min = MIN (sums->min, row[i]);
      sums->max = MAX (sums->max, row[i]);
    }
}

#if FIL_CPU_HAVE_CLONES
/* The sum of unsigned 32-bit lanes as 64-bit lanes. */
FIL_CPU_TARGET_AVX2 static inline __m256i
widen (__m256i lanes)
{
  return _mm256_add_epi64 (_mm256_and_si256 (lanes, _mm256_set1_epi64x (0xffffffff)),
                           _mm256_srli_epi64 (lanes, 32));
}

FIL_CPU_TARGET_AVX2 static inline gint64
add_lanes_64 (__m256i lanes)
{
  gint64 parts[4];

  _mm256_storeu_si256 ((__m256i *) parts, lanes);

  return parts[0] + parts[1] + parts[2] + parts[3];
}

FIL_CPU_TARGET_AVX2 static inline gint64
add_lanes_32 (__m256i lanes)
{
  gint32 parts[8];
  gint64 sum = 0;

  _mm256_storeu_si256 ((__m256i *) parts, lanes);
  for (int i = 0; i < 8; i++)
    sum += parts[i];

  return sum;
}

/* Counts less 32768 are signed 16 bit, which the multiply-and-add takes. A
 * pair of squares is 2³¹ at most: right as an unsigned number. A row has at
 * most 100000 pixels, so the 16-bit tallies hold. */
FIL_CPU_TARGET_AVX2 static void
add_row_avx2 (const uint16_t *row,
              int             n,
              guint32         full,
              RowSums        *sums)
{
  const __m256i half = _mm256_set1_epi16 (-32768), ones = _mm256_set1_epi16 (1);
  const __m256i zero = _mm256_setzero_si256 ();
  const __m256i ceiling = _mm256_set1_epi16 ((short) MIN (full, 65535));
  const __m256i none_full = full > 65535 ? _mm256_set1_epi16 (-1) : zero;
  __m256i sum = zero, squares = zero, n_full = zero, n_empty = zero;
  __m256i min = _mm256_set1_epi16 (-1), max = zero;
  guint16 lanes[4][16];
  gint64 signed_sum;
  int i;

  for (i = 0; i + 16 <= n; i += 16)
    {
      __m256i c = _mm256_loadu_si256 ((const __m256i *) (row + i));
      __m256i s = _mm256_xor_si256 (c, half);
      __m256i is_full = _mm256_cmpeq_epi16 (_mm256_max_epu16 (c, ceiling), c);

      sum = _mm256_add_epi32 (sum, _mm256_madd_epi16 (s, ones));
      squares = _mm256_add_epi64 (squares, widen (_mm256_madd_epi16 (s, s)));
      n_full = _mm256_sub_epi16 (n_full, _mm256_andnot_si256 (none_full, is_full));
      n_empty = _mm256_sub_epi16 (n_empty, _mm256_cmpeq_epi16 (c, zero));
      min = _mm256_min_epu16 (min, c);
      max = _mm256_max_epu16 (max, c);
    }

  /* c² = s² + 2·32768·s + 32768² */
  signed_sum = add_lanes_32 (sum);
  sums->sum += (guint64) (signed_sum + 32768 * (gint64) i);
  sums->squares += (guint64) (add_lanes_64 (squares) + 65536 * signed_sum +
                              32768 * (gint64) 32768 * i);
  _mm256_storeu_si256 ((__m256i *) lanes[0], min);
  _mm256_storeu_si256 ((__m256i *) lanes[1], max);
  _mm256_storeu_si256 ((__m256i *) lanes[2], n_full);
  _mm256_storeu_si256 ((__m256i *) lanes[3], n_empty);
  for (int k = 0; k < 16 && i > 0; k++)
    {
      sums->min = MIN (sums->min, lanes[0][k]);
      sums->max = MAX (sums->max, lanes[1][k]);
      sums->n_full += lanes[2][k];
      sums->n_empty += lanes[3][k];
    }
  add_row_scalar (row + i, n - i, full, sums);
}
#endif

static void
basic_row (gpointer             state,
           const FilFigureRows *rows)
{
  Basic *basic = state;
  RowSums sums = { .min = G_MAXUINT16 };

  if (basic->by_histogram)
    return;

#if FIL_CPU_HAVE_CLONES
  if (basic->picture.level >= FIL_CPU_AVX2)
    add_row_avx2 (rows->here, basic->picture.width, basic->picture.full, &sums);
  else
#endif
    add_row_scalar (rows->here, basic->picture.width, basic->picture.full, &sums);

  basic->sum += sums.sum;
  basic->squares += sums.squares;
  basic->n_full += sums.n_full;
  basic->n_empty += sums.n_empty;
  basic->min = MIN (basic->min, sums.min);
  basic->max = MAX (basic->max, sums.max);
}

/* Fewer than 2³² pixels: the sums fit 64 bits. No branch a bin: which ones are
 * empty can't be foretold. */
static void
take_from_histogram (Basic         *basic,
                     const guint32 *histogram,
                     guint          n_bins)
{
  guint64 sum = 0, squares = 0;
  guint first = 0, last = n_bins - 1;

  while (first < last && histogram[first] == 0)
    first++;
  while (last > first && histogram[last] == 0)
    last--;

  for (guint count = first; count <= last; count++)
    {
      guint64 weighted = (guint64) histogram[count] * count;

      sum += weighted;
      squares += weighted * count;
    }
  for (guint count = basic->picture.full; count <= last; count++)
    basic->n_full += histogram[count];

  basic->sum = sum;
  basic->squares = squares;
  basic->n_empty = histogram[0];
  basic->min = (guint16) first;
  basic->max = (guint16) last;
}

static void
basic_end (gpointer        state,
           FilFigureMeter *meter,
           FilFigures     *figures)
{
  Basic *basic = state;
  FilWide n = (FilWide) basic->picture.width * (FilWide) basic->picture.height;

  if (basic->by_histogram)
    {
      guint n_bins;
      const guint32 *histogram = fil_figure_meter_get_histogram (meter, &n_bins);

      take_from_histogram (basic, histogram, n_bins);
    }

  figures->mean = (double) basic->sum / (double) n;
  figures->sd = sqrt (fil_figure_variance (n, basic->sum, basic->squares));
  figures->min = basic->min;
  figures->max = basic->max;
  figures->empty_fraction = (double) basic->n_empty / (double) n;
  if (basic->picture.full_known)
    figures->full_fraction = (double) basic->n_full / (double) n;
}

static void
basic_measure_double (const double *pixels,
                      int           width,
                      int           height,
                      double        full_count,
                      FilFigures   *figures)
{
  gsize n_pixels = (gsize) width * (gsize) height, n = 0, n_full = 0, n_empty = 0;
  double sum = 0.0, squares = 0.0, min = INFINITY, max = -INFINITY;

  for (gsize i = 0; i < n_pixels; i++)
    if (isfinite (pixels[i]))
      {
        sum += pixels[i];
        n++;
        n_full += pixels[i] >= full_count;
        n_empty += pixels[i] == 0.0;
        min = fmin (min, pixels[i]);
        max = fmax (max, pixels[i]);
      }
  if (n == 0)
    return;

  figures->mean = sum / (double) n;
  for (gsize i = 0; i < n_pixels; i++)
    if (isfinite (pixels[i]))
      squares += (pixels[i] - figures->mean) * (pixels[i] - figures->mean);

  figures->sd = sqrt (squares / (double) n);
  figures->min = min;
  figures->max = max;
  figures->empty_fraction = (double) n_empty / (double) n;
  if (!isnan (full_count))
    figures->full_fraction = (double) n_full / (double) n;
}

const FilFigure fil_figure_basic = {
  basic_new, g_free, basic_begin, basic_row, NULL, basic_end, basic_measure_double
};

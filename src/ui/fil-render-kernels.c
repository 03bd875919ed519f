/* fil-render-kernels.c: one row at a time, from counts to shown pixels; the
 * scalar reference
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-render-kernels-private.h"

void
fil_render_scalar_set (const uint16_t *row,
                       float           weight,
                       float          *sum,
                       int             n)
{
  for (int i = 0; i < n; i++)
    sum[i] = weight * row[i];
}

void
fil_render_scalar_add (const uint16_t *row,
                       float           weight,
                       float          *sum,
                       int             n)
{
  for (int i = 0; i < n; i++)
    sum[i] += weight * row[i];
}

void
fil_render_scalar_largest (const uint16_t *row,
                           uint16_t       *held,
                           int             n)
{
  for (int i = 0; i < n; i++)
    held[i] = MAX (held[i], row[i]);
}

void
fil_render_scalar_smallest (const uint16_t *row,
                            uint16_t       *held,
                            int             n)
{
  for (int i = 0; i < n; i++)
    held[i] = MIN (held[i], row[i]);
}

/* Bilinear: a missing colour is the mean of the two or four nearest pixels
 * that have it, rounded to the nearest count. */
void
fil_render_scalar_debayer (const uint16_t *above,
                           const uint16_t *row,
                           const uint16_t *below,
                           gboolean        odd,
                           gboolean        blue,
                           uint16_t *const rgb[3],
                           int             n)
{
  uint16_t *own = rgb[blue ? 2 : 0];
  uint16_t *other = rgb[blue ? 0 : 2];

  for (int i = 0; i < n; i++)
    {
      guint beside = (guint) row[i - 1] + row[i + 1];
      guint over = (guint) above[i] + below[i];
      guint corners = (guint) above[i - 1] + above[i + 1] + below[i - 1] + below[i + 1];
      gboolean green = ((i & 1) != 0) != (odd != 0);

      own[i] = green ? (uint16_t) ((beside + 1) / 2) : row[i];
      rgb[1][i] = green ? row[i] : (uint16_t) ((beside + over + 2) / 4);
      other[i] = (uint16_t) (green ? (over + 1) / 2 : (corners + 2) / 4);
    }
}

void
fil_render_scalar_gather (const float   *sum,
                          const int32_t *first,
                          const float   *weights,
                          int            n_taps,
                          float         *out,
                          int            n)
{
  fil_render_scalar_gather_from (sum, first, weights, n_taps, out, n, 0);
}

/* Goes on at output @start, where a vector loop left off. */
void
fil_render_scalar_gather_from (const float   *sum,
                               const int32_t *first,
                               const float   *weights,
                               int            n_taps,
                               float         *out,
                               int            n,
                               int            start)
{
  for (int i = start; i < n; i++)
    {
      float value = weights[i] * sum[first[i]];

      for (int k = 1; k < n_taps; k++)
        value += weights[(gsize) k * (gsize) n + (gsize) i] * sum[first[i] + k];
      out[i] = value;
    }
}

static inline uint32_t
shade_of (float            value,
          const FilShades *shades)
{
  float entry = (value - shades->black) * shades->scale + 0.5f;

  entry = MAX (entry, 0.0f);
  entry = MIN (entry, (float) (FIL_SHADES - 1));

  return shades->table[(int) entry];
}

void
fil_render_scalar_shade (const float     *values,
                         const FilShades *shades,
                         uint32_t        *pixels,
                         int              n)
{
  for (int i = 0; i < n; i++)
    pixels[i] = 0xff000000u | 0x010101u * shade_of (values[i], shades);
}

void
fil_render_scalar_shade_rgb (const float     *const rgb[3],
                             const FilShades *shades,
                             uint32_t        *pixels,
                             int              n)
{
  for (int i = 0; i < n; i++)
    pixels[i] = 0xff000000u | shade_of (rgb[0][i], shades) << 16 |
                shade_of (rgb[1][i], shades) << 8 | shade_of (rgb[2][i], shades);
}

static const FilRenderKernels kernels_scalar = {
  .set = fil_render_scalar_set,
  .add = fil_render_scalar_add,
  .largest = fil_render_scalar_largest,
  .smallest = fil_render_scalar_smallest,
  .debayer = fil_render_scalar_debayer,
  .gather = fil_render_scalar_gather,
  .shade = fil_render_scalar_shade,
  .shade_rgb = fil_render_scalar_shade_rgb,
};

/* Returns: the rows for @level; all levels give the same results */
const FilRenderKernels *
fil_render_kernels_for (FilCpuLevel level)
{
#if FIL_CPU_HAVE_CLONES
  if (level >= FIL_CPU_AVX2)
    return &fil_render_kernels_avx2;
#endif
  return &kernels_scalar;
}

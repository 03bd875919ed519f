/* fil-sim-kernels.c: the inner loops of the simulated Sun
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each body is plain C in loops of fixed length, compiled for the base
 * instruction set and again for AVX2; products aren't fused, so both give
 * the same numbers. */

#include "fil-cpu.h"
#include "fil-sim-kernels.h"
#include "fil-sim-math.h"

#define ALWAYS_INLINE static inline __attribute__ ((always_inline))

/* Lagrange's weights of the six samples round a point @t beyond the third
 * (Abramowitz & Stegun, 25.2.21): hardly any loss below a quarter of the
 * sampling rate. */
ALWAYS_INLINE float
interpolate (float t,
             float a,
             float b,
             float c,
             float d,
             float e,
             float f)
{
  float p2 = t + 2.0f, p1 = t + 1.0f, m1 = t - 1.0f, m2 = t - 2.0f, m3 = t - 3.0f;
  float low = p1 * t, high = m2 * m3, middle = t * m1;
  float outer = p2 * p1, upper = m1 * high;

  return low * upper * (-1.0f / 120.0f) * a +
         p2 * middle * high * (1.0f / 24.0f) * b +
         outer * upper * (-1.0f / 12.0f) * c +
         outer * t * high * (1.0f / 12.0f) * d +
         outer * middle * m3 * (-1.0f / 24.0f) * e +
         outer * middle * m2 * (1.0f / 120.0f) * f;
}

ALWAYS_INLINE void
shift_columns_body (const float       *restrict buffer,
                    gsize                       pitch,
                    const FilSimShift *restrict shifts,
                    int                         n_blocks,
                    float             *restrict row)
{
  for (int block = 0; block < n_blocks; block++)
    {
      const float *first = buffer + (gssize) shifts[block].base * (gssize) pitch +
                           block * FIL_SIM_BLOCK - 2 * (gssize) pitch;
      const float t = shifts[block].t, dt = shifts[block].dt;
      float *out = row + block * FIL_SIM_BLOCK;

      for (int i = 0; i < FIL_SIM_BLOCK; i++)
        out[i] = interpolate (t + dt * (float) i, first[i], first[i + pitch],
                              first[i + 2 * pitch], first[i + 3 * pitch],
                              first[i + 4 * pitch], first[i + 5 * pitch]);
    }
}

ALWAYS_INLINE void
shift_row_block (const float *restrict first,
                 int                   step,
                 FilSimShift           shift,
                 float       *restrict out)
{
  for (int i = 0; i < FIL_SIM_BLOCK; i++)
    {
      const float *at = first + i * step;

      out[i] = interpolate (shift.t + shift.dt * (float) i,
                            at[0], at[1], at[2], at[3], at[4], at[5]);
    }
}

ALWAYS_INLINE void
shift_row_body (const float       *restrict row,
                int                         step,
                const FilSimShift *restrict shifts,
                int                         n_blocks,
                float             *restrict values)
{
  for (int block = 0; block < n_blocks; block++)
    {
      const float *first = row + shifts[block].base - 2;

      /* A known step lets the usual case vectorise. */
      if (step == 1)
        shift_row_block (first, 1, shifts[block], values + block * FIL_SIM_BLOCK);
      else
        shift_row_block (first, step, shifts[block], values + block * FIL_SIM_BLOCK);
    }
}

ALWAYS_INLINE void
expose_body (const FilSimExposure *restrict exposure,
             const float          *restrict light,
             const float          *restrict noise,
             int                            n_blocks,
             guint16              *restrict counts)
{
  const FilSimExposure e = *exposure;

  for (int block = 0; block < n_blocks; block++)
    {
      const float *in = light + block * FIL_SIM_BLOCK, *chance = noise + block * FIL_SIM_BLOCK;
      guint16 *out = counts + block * FIL_SIM_BLOCK;

      for (int i = 0; i < FIL_SIM_BLOCK; i++)
        {
          float mean = in[i] * e.electrons + e.glare;
          float positive = mean > 0.0f ? mean : 0.0f;
          float g = chance[i];
          /* Photon noise as a normal deviate with Poisson's skewness added
           * (Cornish & Fisher 1937): right in three moments. */
          float charge = positive + fil_sim_sqrtf (e.photon_noise * positive + e.read_variance) * g +
                         e.photon_noise * (1.0f / 6.0f) * (g * g - 1.0f);
          float value = charge * e.counts_per_e + e.black + 0.5f;

          value = value < 0.0f ? 0.0f : value;
          value = value > e.full ? e.full : value;
          out[i] = (guint16) (gint32) value;
        }
    }
}

ALWAYS_INLINE void
multiply_body (const float *restrict a,
               const float *restrict b,
               int                   n_blocks,
               float       *restrict product)
{
  for (int block = 0; block < n_blocks; block++)
    {
      const float *one = a + 2 * block * FIL_SIM_BLOCK, *other = b + 2 * block * FIL_SIM_BLOCK;
      float *out = product + 2 * block * FIL_SIM_BLOCK;

      for (int i = 0; i < FIL_SIM_BLOCK; i++)
        {
          out[2 * i] = one[2 * i] * other[2 * i] - one[2 * i + 1] * other[2 * i + 1];
          out[2 * i + 1] = one[2 * i] * other[2 * i + 1] + one[2 * i + 1] * other[2 * i];
        }
    }
}

ALWAYS_INLINE void
add_weighed_body (const float *restrict values,
                  const float *restrict weights,
                  float                 weight,
                  int                   n_blocks,
                  float       *restrict sums)
{
  for (int block = 0; block < n_blocks; block++)
    {
      const float *in = values + block * FIL_SIM_BLOCK, *share = weights + block * FIL_SIM_BLOCK;
      float *out = sums + block * FIL_SIM_BLOCK;

      for (int i = 0; i < FIL_SIM_BLOCK; i++)
        out[i] += weight * share[i] * in[i];
    }
}

ALWAYS_INLINE void
add_power_body (const float *restrict values,
                int                   n_blocks,
                float       *restrict sums)
{
  for (int block = 0; block < n_blocks; block++)
    {
      const float *in = values + 2 * block * FIL_SIM_BLOCK;
      float *out = sums + block * FIL_SIM_BLOCK;

      for (int i = 0; i < FIL_SIM_BLOCK; i++)
        out[i] += in[2 * i] * in[2 * i] + in[2 * i + 1] * in[2 * i + 1];
    }
}

#define DISPATCH(name, parameters, arguments)                                 \
  static void name##_plain parameters { name##_body arguments; }              \
  CLONE (name, parameters, arguments)                                         \
  void fil_sim_kernel_##name parameters { PICK (name, arguments); }

#if FIL_CPU_HAVE_CLONES
#define CLONE(name, parameters, arguments)                                    \
  FIL_CPU_TARGET_AVX2 static void name##_avx2 parameters { name##_body arguments; }
#define PICK(name, arguments)                                                 \
  if (fil_cpu_get_level () >= FIL_CPU_AVX2) name##_avx2 arguments;            \
  else name##_plain arguments
#else
#define CLONE(name, parameters, arguments)
#define PICK(name, arguments) name##_plain arguments
#endif

/**
 * fil_sim_kernel_shift_columns:
 * @buffer: rows of samples; each block reads six rows about its base
 * @pitch: samples from row to row
 * @shifts: one a block; base counts rows
 * @row: (out): n_blocks × %FIL_SIM_BLOCK values, one a column
 */
DISPATCH (shift_columns,
          (const float *buffer, gsize pitch, const FilSimShift *shifts, int n_blocks, float *row),
          (buffer, pitch, shifts, n_blocks, row))

/**
 * fil_sim_kernel_shift_row:
 * @row: samples; value i of a block reads six about base + i × step
 * @step: samples from value to value
 * @values: (out): n_blocks × %FIL_SIM_BLOCK
 */
DISPATCH (shift_row,
          (const float *row, int step, const FilSimShift *shifts, int n_blocks, float *values),
          (row, step, shifts, n_blocks, values))

/**
 * fil_sim_kernel_expose:
 * @noise: standard normal deviates, as many as values
 * @counts: (out): 0 to full
 */
DISPATCH (expose,
          (const FilSimExposure *exposure, const float *light, const float *noise, int n_blocks,
           guint16 *counts),
          (exposure, light, noise, n_blocks, counts))

/**
 * fil_sim_kernel_multiply:
 * @a: complex numbers, real and imaginary part by turns
 * @b: as many
 * @product: (out): n_blocks × %FIL_SIM_BLOCK complex numbers
 */
DISPATCH (multiply,
          (const float *a, const float *b, int n_blocks, float *product),
          (a, b, n_blocks, product))

/**
 * fil_sim_kernel_add_weighed:
 * @weights: one a value
 * @weight: times this
 * @sums: (inout): n_blocks × %FIL_SIM_BLOCK
 */
DISPATCH (add_weighed,
          (const float *values, const float *weights, float weight, int n_blocks, float *sums),
          (values, weights, weight, n_blocks, sums))

/**
 * fil_sim_kernel_add_power:
 * @values: complex numbers, real and imaginary part by turns
 * @sums: (inout): n_blocks × %FIL_SIM_BLOCK; |value|² is added
 */
DISPATCH (add_power,
          (const float *values, int n_blocks, float *sums),
          (values, n_blocks, sums))

/* fil-sim-kernels.h: the inner loops of the simulated Sun
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_SIM_BLOCK 16   /* values that share an integer offset; rows are padded to it */

/**
 * FilSimShift:
 * @base: index of the sample at or before the block's first value
 * @t: where between @base and the next one the first value lies, mostly 0 to 1
 * @dt: how much @t grows from value to value, beyond the whole step
 */
typedef struct
{
  int   base;
  float t, dt;
} FilSimShift;

/**
 * FilSimExposure:
 *
 * How one row of light becomes counts.
 */
typedef struct
{
  float electrons;       /* for light 1 */
  float glare;           /* electrons added everywhere */
  float photon_noise;    /* 1, or 0: the light is taken as it is */
  float read_variance;   /* electrons² */
  float counts_per_e;
  float black;           /* counts, the row's own offset included */
  float full;            /* largest count */
} FilSimExposure;

void fil_sim_kernel_shift_columns (const float          *buffer,
                                   gsize                 pitch,
                                   const FilSimShift    *shifts,
                                   int                   n_blocks,
                                   float                *row);
void fil_sim_kernel_shift_row     (const float          *row,
                                   int                   step,
                                   const FilSimShift    *shifts,
                                   int                   n_blocks,
                                   float                *values);
void fil_sim_kernel_expose        (const FilSimExposure *exposure,
                                   const float          *light,
                                   const float          *noise,
                                   int                   n_blocks,
                                   guint16              *counts);

void fil_sim_kernel_multiply      (const float          *a,
                                   const float          *b,
                                   int                   n_blocks,
                                   float                *product);
void fil_sim_kernel_add_weighed   (const float          *values,
                                   const float          *weights,
                                   float                 weight,
                                   int                   n_blocks,
                                   float                *sums);
void fil_sim_kernel_add_power     (const float          *values,
                                   int                   n_blocks,
                                   float                *sums);

G_END_DECLS

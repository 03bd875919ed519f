/* fil-sharpness-double.h: sharpness in double precision, for files
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <fftw3.h>

#include "fil-band.h"

G_BEGIN_DECLS

/* Scratch memory and the plan of one size; zeroed at first. */
typedef struct
{
  int           width, height;
  double       *patch;    /* height × width */
  fftw_complex *bins;     /* height × (width / 2 + 1) */
  fftw_plan     plan;
} FilSharpnessDouble;

void fil_sharpness_double_clear   (FilSharpnessDouble *self);
void fil_sharpness_double_measure (FilSharpnessDouble *self,
                                   const FilBand      *band,
                                   const double       *pixels,
                                   int                 stride,
                                   double              black_level,
                                   FilSharpness       *sharpness);

G_END_DECLS

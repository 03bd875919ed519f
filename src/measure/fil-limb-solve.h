/* fil-limb-solve.h: small systems of equations
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>
#include <math.h>

#define FIL_LIMB_MAX_UNKNOWNS 9

/* A symmetric, positive matrix with a right side; only i >= j is filled in. */
typedef struct
{
  int    n;
  double a[FIL_LIMB_MAX_UNKNOWNS][FIL_LIMB_MAX_UNKNOWNS];
  double b[FIL_LIMB_MAX_UNKNOWNS];
} FilLimbNormal;

static inline void
fil_limb_normal_add (FilLimbNormal *normal,
                     const double  *row,
                     double         value,
                     double         weight)
{
  for (int i = 0; i < normal->n; i++)
    {
      normal->b[i] += weight * row[i] * value;
      for (int j = 0; j <= i; j++)
        normal->a[i][j] += weight * row[i] * row[j];
    }
}

/* Cholesky's way; the matrix is left as its triangle. */
static inline gboolean
fil_limb_normal_factor (FilLimbNormal *normal)
{
  for (int j = 0; j < normal->n; j++)
    for (int i = j; i < normal->n; i++)
      {
        double sum = normal->a[i][j];

        for (int k = 0; k < j; k++)
          sum -= normal->a[i][k] * normal->a[j][k];
        if (i > j)
          normal->a[i][j] = sum / normal->a[j][j];
        else if (sum <= 1e-14 * fabs (normal->a[j][j]) || !isfinite (sum))
          return FALSE;
        else
          normal->a[j][j] = sqrt (sum);
      }

  return TRUE;
}

static inline void
fil_limb_normal_solve (const FilLimbNormal *normal,
                       const double        *right,
                       double              *solution)
{
  for (int i = 0; i < normal->n; i++)
    {
      solution[i] = right[i];
      for (int k = 0; k < i; k++)
        solution[i] -= normal->a[i][k] * solution[k];
      solution[i] /= normal->a[i][i];
    }
  for (int i = normal->n - 1; i >= 0; i--)
    {
      for (int k = i + 1; k < normal->n; k++)
        solution[i] -= normal->a[k][i] * solution[k];
      solution[i] /= normal->a[i][i];
    }
}

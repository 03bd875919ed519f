/* fil-sort.h: numbers in order, for medians and other ranks
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdlib.h>

#include <glib.h>

static inline int
fil_sort_compare (const void *a,
                  const void *b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return (x > y) - (x < y);
}

/* Smallest first. */
static inline void
fil_sort_doubles (double *values,
                  gsize   n)
{
  qsort (values, n, sizeof (double), fil_sort_compare);
}

/* fil-render-look.c: how counts become shades on the screen
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-render-look.h"

/* Shares of the pixels left to black and to white, and the room left beside
 * them: common practice, no source. */
#define STRETCH_SHARE   0.001
#define STRETCH_MARGIN  0.05
/* A picture without contrast (cap on) isn't torn apart into noise. */
#define STRETCH_LEAST   (1.0 / 128.0)

#define ASINH_STRENGTH  10.0

static const char *const curve_names[FIL_N_CURVES] = { "linear", "root", "asinh" };

const char *
fil_curve_to_string (FilCurve curve)
{
  g_return_val_if_fail (curve < FIL_N_CURVES, NULL);

  return curve_names[curve];
}

/* Leaves @curve alone where @text is none of the names. */
gboolean
fil_curve_from_string (const char *text,
                       FilCurve   *curve)
{
  g_return_val_if_fail (text != NULL && curve != NULL, FALSE);

  for (guint i = 0; i < FIL_N_CURVES; i++)
    if (strcmp (text, curve_names[i]) == 0)
      {
        *curve = (FilCurve) i;
        return TRUE;
      }

  return FALSE;
}

/**
 * fil_look_init:
 * @full: the count at which a pixel is full
 *
 * Black at 0, white at @full, linear, full pixels painted.
 */
void
fil_look_init (FilLook *look,
               double   full)
{
  g_return_if_fail (look != NULL);

  *look = (FilLook) { .black = 0.0, .white = full, .full = full, .paint_full = TRUE };
}

gboolean
fil_look_is_equal (const FilLook *a,
                   const FilLook *b)
{
  return a->black == b->black && a->white == b->white && a->curve == b->curve &&
         a->full == b->full && a->paint_full == b->paint_full &&
         a->paint_empty == b->paint_empty && a->mosaic == b->mosaic;
}

/* Counts below which @share of all pixels lie; even inside a bin. */
static double
percentile (const guint32 *histogram,
            guint          n_bins,
            double         bin_counts,
            double         wanted)
{
  double below = 0.0;

  for (guint i = 0; i < n_bins; i++)
    {
      if (histogram[i] > 0 && below + histogram[i] >= wanted)
        return bin_counts * (i + (wanted - below) / histogram[i]);
      below += histogram[i];
    }

  return bin_counts * n_bins;
}

/**
 * fil_look_stretch:
 * @look: black and white are set, the rest stays
 * @histogram: (array length=n_bins): pixels in each bin; bin i holds counts
 *   from i × @bin_counts up
 * @bin_counts: width of a bin in counts, > 0
 *
 * Black and white so that a thousandth of the pixels lie beyond each, with a
 * little room; never narrower than 1/128 of the whole range.
 *
 * Returns: %TRUE if there was a pixel to go by
 */
gboolean
fil_look_stretch (FilLook       *look,
                  const guint32 *histogram,
                  guint          n_bins,
                  double         bin_counts)
{
  double total = 0.0;
  double range, low, high, room;

  g_return_val_if_fail (look != NULL && histogram != NULL, FALSE);
  g_return_val_if_fail (n_bins > 0 && bin_counts > 0.0, FALSE);

  for (guint i = 0; i < n_bins; i++)
    total += histogram[i];
  if (total == 0.0)
    return FALSE;

  range = bin_counts * n_bins;
  low = percentile (histogram, n_bins, bin_counts, STRETCH_SHARE * total);
  high = percentile (histogram, n_bins, bin_counts, (1.0 - STRETCH_SHARE) * total);
  room = STRETCH_MARGIN * (high - low);
  if (high - low + 2.0 * room < STRETCH_LEAST * range)
    room = (STRETCH_LEAST * range - (high - low)) / 2.0;

  look->black = MAX (low - room, 0.0);
  look->white = MIN (high + room, range);

  return TRUE;
}

static double
curve_value (FilCurve curve,
             double   t)
{
  switch (curve)
    {
    case FIL_CURVE_ROOT:
      return sqrt (t);
    case FIL_CURVE_ASINH:
      return asinh (ASINH_STRENGTH * t) / asinh (ASINH_STRENGTH);
    case FIL_CURVE_LINEAR:
    default:
      return t;
    }
}

/**
 * fil_shades_fill:
 * @shades: (out caller-allocates): overwritten
 * @look: black, white and curve are used
 */
void
fil_shades_fill (FilShades     *shades,
                 const FilLook *look)
{
  double width = look->white - look->black;

  g_return_if_fail (isfinite (look->black) && isfinite (look->white));

  /* The narrowest: a thousandth of a count is a step from black to white. */
  width = MAX (width, 1e-3);
  shades->black = (float) look->black;
  shades->scale = (float) ((FIL_SHADES - 1) / width);
  for (int i = 0; i < FIL_SHADES; i++)
    shades->table[i] =
      (guint8) lround (255.0 * curve_value (look->curve, i / (FIL_SHADES - 1.0)));
  memset (shades->table + FIL_SHADES, 0, 3);
}

/* fil-achromat.c: the colours of an achromat of two lenses
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Two thin lenses in contact, of the crown glass 517642 (BK7) and the flint
 * 620364 (F2), that bring the lines F (486.1 nm) and C (656.3 nm) to one
 * focus: the customary small refractor. What the lines between and beyond do
 * is then a matter of the two glasses alone, whatever the curvatures. */

#include <math.h>

#include "fil-achromat.h"

/* Fraunhofer's lines, in µm. */
#define D_UM  0.5875618
#define F_UM  0.4861327
#define C_UM  0.6562725

/* Sellmeier's formula: n² = 1 + Σ b λ²/(λ² − c), λ and √c in µm. */
typedef struct
{
  double b[3], c[3];
} Glass;

/* Source: the glass maker's catalogue, as transcribed alike in several public
 * optical libraries; they give n(d) 1.51680 and 1.62004, Abbe's numbers 64.17
 * and 36.37. */
static const Glass crown = {
  { 1.03961212, 0.231792344, 1.01046945 },
  { 0.00600069867, 0.0200179144, 103.560653 },
};
static const Glass flint = {
  { 1.34533359, 0.209073176, 0.937357162 },
  { 0.00997743871, 0.0470450767, 111.886764 },
};

static double
refraction (const Glass *glass,
            double       um)
{
  double square = 1.0;

  for (int i = 0; i < 3; i++)
    square += glass->b[i] * um * um / (um * um - glass->c[i]);

  return sqrt (square) - 1.0;
}

/* Of both lenses together, where that of the crown's shape alone is 1. */
static double
power (double um)
{
  double crown_spread = refraction (&crown, F_UM) - refraction (&crown, C_UM);
  double flint_spread = refraction (&flint, F_UM) - refraction (&flint, C_UM);

  return refraction (&crown, um) - crown_spread / flint_spread * refraction (&flint, um);
}

/**
 * fil_achromat_focus:
 * @wavelength_nm: 334 to 2325
 *
 * Returns: the focal length at that wavelength over that of the line d
 *   (587.6 nm); NaN outside of the glasses' range. Any thread.
 */
double
fil_achromat_focus (double wavelength_nm)
{
  if (!(wavelength_nm >= FIL_ACHROMAT_SHORTEST_NM && wavelength_nm <= FIL_ACHROMAT_LONGEST_NM))
    return NAN;

  return power (D_UM) / power (wavelength_nm * 1e-3);
}

/* The focal length falls to its least value, in the green, and rises again:
 * a golden section finds that wavelength, or the end that lies nearer to it. */
static double
shortest_focus (double low_nm,
                double high_nm)
{
  const double golden = 0.6180339887498949;

  while (high_nm - low_nm > 0.01)
    {
      double left_nm = high_nm - golden * (high_nm - low_nm);
      double right_nm = low_nm + golden * (high_nm - low_nm);

      if (fil_achromat_focus (left_nm) < fil_achromat_focus (right_nm))
        high_nm = right_nm;
      else
        low_nm = left_nm;
    }

  return fil_achromat_focus (0.5 * (low_nm + high_nm));
}

/**
 * fil_achromat_spread:
 * @low_nm: the band's ends, low first
 *
 * Returns: the longest focal length within the band less the shortest, as a
 *   share of the focal length; NaN outside of the glasses' range. Any thread.
 */
double
fil_achromat_spread (double low_nm,
                     double high_nm)
{
  double low, high, shortest;

  if (!(low_nm <= high_nm))
    return NAN;

  low = fil_achromat_focus (low_nm);
  high = fil_achromat_focus (high_nm);
  if (isnan (low) || isnan (high))
    return NAN;

  shortest = MIN (shortest_focus (low_nm, high_nm), MIN (low, high));

  return MAX (low, high) - shortest;
}

/* fil-achromat.h: the colours of an achromat of two lenses
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Where its glasses' formula holds. */
#define FIL_ACHROMAT_SHORTEST_NM  334.0
#define FIL_ACHROMAT_LONGEST_NM  2325.0

double fil_achromat_focus  (double wavelength_nm);
double fil_achromat_spread (double low_nm,
                            double high_nm);

G_END_DECLS

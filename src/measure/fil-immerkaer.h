/* fil-immerkaer.h: the noise of a picture from the picture itself
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdint.h>

#include <glib.h>

G_BEGIN_DECLS

double fil_immerkaer_variance     (const double   *pixels,
                                   int             width,
                                   int             height);
double fil_immerkaer_variance_u16 (const uint16_t *pixels,
                                   int             width,
                                   int             height);

G_END_DECLS

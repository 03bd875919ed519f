/* fil-fftw-lock.h: the one lock around FFTW's planner
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

void fil_fftw_lock   (void);
void fil_fftw_unlock (void);

G_END_DECLS

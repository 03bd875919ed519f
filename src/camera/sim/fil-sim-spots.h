/* fil-sim-spots.h: a spot group with umbrae, penumbrae and pores
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Made once, then read by any thread. */
typedef struct _FilSimSpots FilSimSpots;

FilSimSpots *fil_sim_spots_new     (guint64            seed);
void         fil_sim_spots_free    (FilSimSpots       *spots);
gboolean     fil_sim_spots_touch   (const FilSimSpots *spots,
                                    double             x,
                                    double             y,
                                    double             reach);
void         fil_sim_spots_look    (const FilSimSpots *spots,
                                    float              x,
                                    float              y,
                                    float             *level,
                                    float             *granulation);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimSpots, fil_sim_spots_free)

G_END_DECLS

/* fil-sim-parallel.h: independent pieces of work on all processors
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef void (*FilSimPiece) (int      index,
                             gpointer user_data);

void fil_sim_parallel (int         n_pieces,
                       FilSimPiece piece,
                       gpointer    user_data);

G_END_DECLS

/* fil-sim-transfer.h: optical transfer functions of a disturbed pupil
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <fftw3.h>
#include <glib.h>

G_BEGIN_DECLS

/* One sample of the pupil; the aperture's radius is 1. */
typedef struct
{
  float x, y;
  float weight;    /* share of the sample that lies in the aperture, 0 to 1 */
  int   index;
} FilSimPupilPoint;

/**
 * FilSimTransfer:
 *
 * Belongs to one thread. Clear it, add one or more pupils (the moments of an
 * exposure), then finish.
 */
typedef struct _FilSimTransfer FilSimTransfer;

FilSimTransfer         *fil_sim_transfer_new        (double                 cutoff_cycles_per_sample,
                                                     double                 obstruction_ratio,
                                                     double                 pixel_samples,
                                                     int                    tile);
void                    fil_sim_transfer_free       (FilSimTransfer        *transfer);
const FilSimPupilPoint *fil_sim_transfer_get_points (const FilSimTransfer  *transfer,
                                                     int                   *n_points);
void                    fil_sim_transfer_clear      (FilSimTransfer        *transfer);
void                    fil_sim_transfer_add        (FilSimTransfer        *transfer,
                                                     const float           *phase_rad);
double                  fil_sim_transfer_finish     (FilSimTransfer        *transfer,
                                                     fftwf_complex         *otf,
                                                     double                *shift_x,
                                                     double                *shift_y);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimTransfer, fil_sim_transfer_free)

G_END_DECLS

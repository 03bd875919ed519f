/* fil-sim-director.h: lets the simulated day go by, frame by frame
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-moment.h"
#include "fil-sim-optics.h"
#include "fil-sim-settings.h"

G_BEGIN_DECLS

/**
 * FilSimKnobs:
 *
 * What can be changed while it runs. Owned by whoever sets them; the director
 * reads a copy with each frame.
 */
typedef struct
{
  double   exposure_ms;
  double   gain_db;
  double   black_counts;
  double   focus_um;          /* where the focuser is to go, at the sensor */
  double   astigmatism_um;
  double   r0_mm;             /* at 500 nm, zenith */
  double   wind_m_s;
  double   clouds;
  gboolean drive;
  double   west_arcmin;       /* where the telescope is to point, beside the target */
  double   north_arcmin;
  guint    knocks;            /* how often somebody touched the telescope */
  guint    centrings;         /* how often the picture was brought back */
} FilSimKnobs;

/* Belongs to one thread at a time. */
typedef struct _FilSimDirector FilSimDirector;

FilSimDirector *fil_sim_director_new         (const FilSimSettings *settings,
                                              const FilSimOptics   *optics,
                                              const FilSimKnobs    *knobs,
                                              guint                 frames_per_blur);
void            fil_sim_director_free        (FilSimDirector       *director);
void            fil_sim_director_hold_air    (FilSimDirector       *director);
void            fil_sim_director_next        (FilSimDirector       *director,
                                              guint64               frame,
                                              const FilSimKnobs    *knobs,
                                              FilSimMoment         *moment);
gboolean        fil_sim_director_is_evolving (const FilSimDirector *director,
                                              const FilSimKnobs    *knobs);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimDirector, fil_sim_director_free)

G_END_DECLS

/* fil-sim-moment.h: all that decides what one frame looks like
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-air.h"

G_BEGIN_DECLS

/* The simulated day, whatever the clock says: 2026-04-04T12:00:00 UTC. */
#define FIL_SIM_SKY_UTC_NS (G_GINT64_CONSTANT (1775304000) * 1000000000)

/**
 * FilSimBlurMoment:
 * @serial: tells one from the next
 *
 * What the transfer functions follow from. Several frames may share one where
 * time is short; motion and noise are each frame's own.
 */
typedef struct
{
  guint64        serial;
  FilSimAirPlace air;                /* at the middle of the exposure */
  double         ground_vx, ground_vy, high_vx, high_vy;   /* m/s */
  double         exposure_s;
  double         r0_m;               /* at the rig's wavelength */
  double         focus_um;           /* the sensor's place, at the sensor */
  double         astigmatism_um;     /* distance of the focal lines */
} FilSimBlurMoment;

typedef struct
{
  guint64          frame;
  double           time_s;           /* since the simulated day began */
  FilSimBlurMoment blur;
  FilSimAirPlace   air;
  double           r0_m;
  double           focus_um;
  double           exposure_ms;
  double           gain_db;
  double           black_counts;
  double           shift_x_arcsec;   /* drift, knocks: how far the picture moved, + right */
  double           shift_y_arcsec;   /* + up */
  double           clouds;           /* 0 none to 1 overcast */
} FilSimMoment;

G_END_DECLS

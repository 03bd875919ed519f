/* fil-day.h: the Sun's way over the sky in one day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Every ten minutes of an ordinary day, both ends included. */
#define FIL_DAY_N_SAMPLES   145
#define FIL_DAY_MAX_SPANS   4

/* Altitude of the Sun's centre when its upper limb stands on a level horizon:
 * 34′ of refraction and 16′ of semidiameter, as almanacs have it (Meeus,
 * Astronomical Algorithms, 2nd ed. 1998, ch. 15). */
#define FIL_DAY_HORIZON_DEG (-50.0 / 60.0)

/* Where something doesn't happen that day. */
#define FIL_DAY_NEVER       G_MININT64

typedef enum
{
  FIL_DAY_RISES_OR_SETS,
  FIL_DAY_STAYS_UP,
  FIL_DAY_STAYS_DOWN,
} FilDayKind;

typedef struct
{
  gint64 utc_ns;
  double altitude_deg;   /* of the centre, no refraction */
  double azimuth_deg;    /* from north through east */
} FilDaySample;

/* A stretch of time; one that touches an end of the day goes on beyond it. */
typedef struct
{
  gint64 from_ns;
  gint64 until_ns;
} FilDaySpan;

typedef struct
{
  gint64       start_ns, end_ns;
  double       latitude_deg, longitude_deg, height_m;
  FilDayKind   kind;
  gint64       rise_ns, transit_ns, set_ns;   /* FIL_DAY_NEVER: not in this day */
  double       transit_altitude_deg;          /* no refraction; NaN without a transit */
  FilDaySample samples[FIL_DAY_N_SAMPLES];    /* evenly spaced from start to end */
} FilDay;

gboolean fil_day_compute    (gint64        start_ns,
                             gint64        end_ns,
                             double        latitude_deg,
                             double        longitude_deg,
                             double        height_m,
                             FilDay       *day,
                             GError      **error);
guint    fil_day_find_above (const FilDay *day,
                             double        altitude_deg,
                             FilDaySpan    spans[FIL_DAY_MAX_SPANS]);
void     fil_day_get_solar  (gint64        utc_ns,
                             double        longitude_deg,
                             gint64       *start_ns,
                             gint64       *end_ns);

G_END_DECLS

/* fil-target.h: a spot group that is followed from day to day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rotation.h"
#include "fil-sun.h"

G_BEGIN_DECLS

#define FIL_TARGET_NAME_MAX     60      /* characters */
#define FIL_TARGET_LATITUDE_MAX 90.0

typedef struct
{
  char  *name;
  double latitude_deg;      /* heliographic */
  double carrington_deg;    /* longitude when it was seen, 0 to 360 */
  gint64 sighted_utc_ns;
  char  *note;              /* NULL: none */
} FilTarget;

/**
 * FilTargetPlace:
 *
 * Where a target stands at a moment. Angles of view are from the disc's centre.
 */
typedef struct
{
  gint64   utc_ns;
  double   latitude_deg;
  double   longitude_deg;        /* Stonyhurst, −180 to 180, + west */
  double   carrington_deg;       /* carried on since the sighting */
  double   mu;                   /* below 0: behind the limb */
  gboolean seen;                 /* on the side that faces us */
  double   west_arcmin;          /* towards solar west */
  double   north_arcmin;         /* towards solar north */
  double   offset_arcmin;        /* from the disc's centre */
  double   position_angle_deg;   /* of the offset, from celestial north through east, 0 to 360 */
} FilTargetPlace;

FilTarget *fil_target_new         (const char       *name,
                                   double            latitude_deg,
                                   double            carrington_deg,
                                   gint64            sighted_utc_ns,
                                   const char       *note);
FilTarget *fil_target_copy        (const FilTarget  *target);
void       fil_target_free        (FilTarget        *target);
void       fil_target_get_place   (const FilTarget  *target,
                                   FilRotation       rotation,
                                   gint64            utc_ns,
                                   const FilSun     *sun,
                                   FilTargetPlace   *place);
gboolean   fil_target_predict     (const FilTarget  *target,
                                   FilRotation       rotation,
                                   gint64            utc_ns,
                                   FilTargetPlace   *place,
                                   GError          **error);
guint      fil_target_get_days    (const FilTarget  *target,
                                   FilRotation       rotation,
                                   gint64            utc_ns,
                                   FilTargetPlace   *places,
                                   guint             n_places);
gboolean   fil_target_find_limb   (const FilTarget  *target,
                                   FilRotation       rotation,
                                   gint64            utc_ns,
                                   gboolean          west,
                                   gint64           *limb_utc_ns);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilTarget, fil_target_free)

G_END_DECLS

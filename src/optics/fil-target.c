/* fil-target.c: a spot group that is followed from day to day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-disc.h"
#include "fil-target.h"

#define DEG             (G_PI / 180.0)
#define NS_PER_DAY      86400e9
#define LIMB_STEPS_MOST 12
#define LIMB_CLOSE_DEG  1e-4    /* 0.7 s of rotation */

/**
 * fil_target_new:
 * @name: for people, not empty
 * @carrington_deg: longitude at the sighting
 * @note: (nullable)
 *
 * Returns: (transfer full)
 */
FilTarget *
fil_target_new (const char *name,
                double      latitude_deg,
                double      carrington_deg,
                gint64      sighted_utc_ns,
                const char *note)
{
  FilTarget *target;

  g_return_val_if_fail (name != NULL && name[0] != '\0', NULL);
  g_return_val_if_fail (fabs (latitude_deg) <= FIL_TARGET_LATITUDE_MAX, NULL);
  g_return_val_if_fail (isfinite (carrington_deg), NULL);

  target = g_new0 (FilTarget, 1);
  target->name = g_strdup (name);
  target->latitude_deg = latitude_deg;
  target->carrington_deg = carrington_deg;
  target->sighted_utc_ns = sighted_utc_ns;
  target->note = g_strdup (note);

  return target;
}

FilTarget *
fil_target_copy (const FilTarget *target)
{
  g_return_val_if_fail (target != NULL, NULL);

  return fil_target_new (target->name, target->latitude_deg, target->carrington_deg,
                         target->sighted_utc_ns, target->note);
}

void
fil_target_free (FilTarget *target)
{
  if (target == NULL)
    return;

  g_free (target->name);
  g_free (target->note);
  g_free (target);
}

static double
to_turn (double angle_deg)
{
  double turned = fmod (angle_deg, 360.0);

  return turned < 0.0 ? turned + 360.0 : turned;
}

/**
 * fil_target_get_place:
 * @utc_ns: when; may lie before the sighting
 * @sun: the Sun at that time
 * @place: (out caller-allocates)
 *
 * Any thread.
 */
void
fil_target_get_place (const FilTarget *target,
                      FilRotation      rotation,
                      gint64           utc_ns,
                      const FilSun    *sun,
                      FilTargetPlace  *place)
{
  double days, x_arcsec, y_arcsec;

  g_return_if_fail (target != NULL && sun != NULL && place != NULL);

  days = ((double) utc_ns - (double) target->sighted_utc_ns) / NS_PER_DAY;
  place->utc_ns = utc_ns;
  place->latitude_deg = target->latitude_deg;
  place->carrington_deg = fil_rotation_carry_deg (rotation, target->latitude_deg,
                                                  target->carrington_deg, days);
  place->longitude_deg = fil_disc_stonyhurst_deg (sun, place->carrington_deg);
  place->seen = fil_disc_to_angle (sun, place->latitude_deg, place->longitude_deg, &x_arcsec,
                                   &y_arcsec, &place->mu);
  place->west_arcmin = x_arcsec / 60.0;
  place->north_arcmin = y_arcsec / 60.0;
  place->offset_arcmin = hypot (x_arcsec, y_arcsec) / 60.0;
  /* Solar west is a quarter turn clockwise of north, on the sky as well. */
  place->position_angle_deg = to_turn (sun->p_deg - atan2 (x_arcsec, y_arcsec) / DEG);
}

/* As fil_target_get_place(), with the Sun of that time.
 *
 * Returns: %FALSE with a %FIL_SUN_ERROR where no ephemeris reaches */
gboolean
fil_target_predict (const FilTarget  *target,
                    FilRotation       rotation,
                    gint64            utc_ns,
                    FilTargetPlace   *place,
                    GError          **error)
{
  FilSun sun;

  g_return_val_if_fail (target != NULL && place != NULL, FALSE);

  if (!fil_sun_compute (utc_ns, NAN, NAN, NAN, &sun, error))
    return FALSE;
  fil_target_get_place (target, rotation, utc_ns, &sun, place);

  return TRUE;
}

/**
 * fil_target_get_days:
 * @utc_ns: the first moment
 * @places: (out caller-allocates) (array length=n_places): then, and a whole
 *   number of days later
 *
 * Returns: how many were filled; fewer at the end of the ephemeris alone
 */
guint
fil_target_get_days (const FilTarget *target,
                     FilRotation      rotation,
                     gint64           utc_ns,
                     FilTargetPlace  *places,
                     guint            n_places)
{
  guint n = 0;

  g_return_val_if_fail (target != NULL && places != NULL, 0);

  while (n < n_places &&
         fil_target_predict (target, rotation, utc_ns + (gint64) (n * NS_PER_DAY), &places[n],
                             NULL))
    n++;

  return n;
}

/* Stonyhurst longitude of the limb at a latitude: where the line of sight
 * grazes. NaN at latitudes that don't set, or don't rise, with this B0. */
static double
limb_longitude_deg (const FilSun *sun,
                    double        latitude_deg)
{
  double b = latitude_deg * DEG, b0 = sun->b0_deg * DEG;
  double level = FIL_SUN_RADIUS_KM / (sun->distance_au * FIL_AU_KM);

  return acos ((level - sin (b) * sin (b0)) / (cos (b) * cos (b0))) / DEG;
}

/* How far the target still has to turn, −180 to 180. */
static gboolean
way_to_limb (const FilTarget *target,
             FilRotation      rotation,
             gint64           utc_ns,
             gboolean         west,
             double          *way_deg)
{
  FilTargetPlace place;
  double limb_deg;
  FilSun sun;

  if (!fil_sun_compute (utc_ns, NAN, NAN, NAN, &sun, NULL))
    return FALSE;
  fil_target_get_place (target, rotation, utc_ns, &sun, &place);
  limb_deg = limb_longitude_deg (&sun, target->latitude_deg);
  if (!isfinite (limb_deg))
    return FALSE;
  *way_deg = remainder ((west ? limb_deg : -limb_deg) - place.longitude_deg, 360.0);

  return TRUE;
}

/**
 * fil_target_find_limb:
 * @utc_ns: from when on
 * @west: when it goes over the west limb; %FALSE: when it comes round the east
 * @limb_utc_ns: (out): the first time after @utc_ns, to some seconds; untouched
 *   on failure
 *
 * Any thread; takes a few milliseconds.
 *
 * Returns: %FALSE where it never does: near the poles, and at the end of the
 *   ephemeris
 */
gboolean
fil_target_find_limb (const FilTarget *target,
                      FilRotation      rotation,
                      gint64           utc_ns,
                      gboolean         west,
                      gint64          *limb_utc_ns)
{
  double rate = fil_rotation_deg_per_day (rotation, target->latitude_deg) - 0.9856;
  gint64 at_ns = utc_ns;
  double way_deg;

  g_return_val_if_fail (limb_utc_ns != NULL, FALSE);

  for (int i = 0; i < LIMB_STEPS_MOST; i++)
    {
      if (!way_to_limb (target, rotation, at_ns, west, &way_deg))
        return FALSE;
      if (i == 0 && way_deg <= 0.0)
        way_deg += 360.0;   /* it has just been there */
      at_ns += (gint64) (way_deg / rate * NS_PER_DAY);
      if (fabs (way_deg) < LIMB_CLOSE_DEG)
        {
          *limb_utc_ns = at_ns;
          return TRUE;
        }
    }

  return FALSE;
}

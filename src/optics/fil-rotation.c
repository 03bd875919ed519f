/* fil-rotation.c: how fast the Sun turns, by latitude
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sidereal rates A + B·sin² + C·sin⁴ of the latitude. Which feature is followed
 * makes a difference of 3 %: after a week 3° of longitude, 45″ at the disc's
 * centre, a sixth of a field of 280″. Spots are magnetic, so magnetic features
 * are the ones for targets; Doppler features are the supergranules, which turn
 * faster than anything beneath them.
 */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-rotation.h"

#define DEG                 (G_PI / 180.0)
#define URAD_PER_S_DEG_DAY  (86400e-6 / DEG)

typedef struct
{
  const char *key;
  const char *text;     /* to translate */
  const char *source;   /* authors and year */
  double      a, b, c;  /* degrees a day */
} Row;

/* Snodgrass & Ulrich 1990, ApJ 351, 309: both sets as W. Thompson transcribed
 * them, SolarSoft diff_rot.pro, 2020 (which has 14.712 for the second; 14.713
 * elsewhere). Howard, Harvey & Forgach 1990, Solar Physics 130, 295: as in
 * sunpy 4.1.2, differential_rotation.py. */
static const Row rows[] = {
  [FIL_ROTATION_MAGNETIC] = {
    "magnetic", N_("magnetic features"), "Snodgrass & Ulrich 1990", 14.252, -1.678, -2.401 },
  [FIL_ROTATION_SMALL_MAGNETIC] = {
    "small-magnetic", N_("small magnetic features"), "Howard, Harvey & Forgach 1990",
    2.894 * URAD_PER_S_DEG_DAY, -0.428 * URAD_PER_S_DEG_DAY, -0.370 * URAD_PER_S_DEG_DAY },
  [FIL_ROTATION_DOPPLER] = {
    "doppler", N_("Doppler features"), "Snodgrass & Ulrich 1990", 14.713, -2.396, -1.787 },
};

G_STATIC_ASSERT (G_N_ELEMENTS (rows) == FIL_N_ROTATIONS);

static const Row *
find_row (FilRotation rotation)
{
  g_return_val_if_fail ((guint) rotation < FIL_N_ROTATIONS, &rows[0]);

  return &rows[rotation];
}

/**
 * fil_rotation_deg_per_day:
 * @latitude_deg: heliographic
 *
 * Returns: the sidereal rate. Seen from the Earth it is about 0.986°/day less.
 */
double
fil_rotation_deg_per_day (FilRotation rotation,
                          double      latitude_deg)
{
  const Row *row = find_row (rotation);
  double s2 = sin (latitude_deg * DEG) * sin (latitude_deg * DEG);

  return row->a + row->b * s2 + row->c * s2 * s2;
}

/**
 * fil_rotation_carry_deg:
 * @carrington_deg: longitude then
 * @days: later; below 0: earlier
 *
 * Carrington's longitudes turn rigidly, a feature by its latitude. What the
 * Earth does in the meantime is in the L0 of the later moment.
 *
 * Returns: the Carrington longitude then, 0 to below 360
 */
double
fil_rotation_carry_deg (FilRotation rotation,
                        double      latitude_deg,
                        double      carrington_deg,
                        double      days)
{
  double ahead = fil_rotation_deg_per_day (rotation, latitude_deg) -
                 FIL_ROTATION_CARRINGTON_DEG_PER_DAY;
  double carried = fmod (carrington_deg + ahead * days, 360.0);

  if (carried < 0.0)
    carried += 360.0;

  return carried < 360.0 ? carried : 0.0;
}

/* Returns: the word in files */
const char *
fil_rotation_to_key (FilRotation rotation)
{
  return find_row (rotation)->key;
}

gboolean
fil_rotation_from_key (const char  *key,
                       FilRotation *rotation)
{
  g_return_val_if_fail (key != NULL && rotation != NULL, FALSE);

  for (guint i = 0; i < FIL_N_ROTATIONS; i++)
    if (g_str_equal (rows[i].key, key))
      {
        *rotation = (FilRotation) i;
        return TRUE;
      }

  return FALSE;
}

/* Returns: what was followed, translated, for people */
const char *
fil_rotation_to_text (FilRotation rotation)
{
  return _(find_row (rotation)->text);
}

/* Returns: authors and year */
const char *
fil_rotation_get_source (FilRotation rotation)
{
  return find_row (rotation)->source;
}

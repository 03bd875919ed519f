/* fil-numbers.c: a rig's numbers as people read them, in groups
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-numbers-private.h"

static void
number_free (FilNumber *number)
{
  g_free (number->value);
  g_free (number->verdict);
  g_free (number->note);
  g_free (number);
}

static void
group_free (FilNumberGroup *group)
{
  g_ptr_array_unref (group->items);
  g_free (group);
}

/* @value: (transfer full) (nullable)
 *
 * Returns: (transfer none): for verdict, note and level */
FilNumber *
fil_numbers_add (FilNumberGroup *group,
                 const char     *key,
                 const char     *name,
                 char           *value)
{
  FilNumber *number = g_new0 (FilNumber, 1);

  number->key = key;
  number->name = name;
  number->value = value;
  number->unknown = g_strcmp0 (value, _("unknown")) == 0;
  g_ptr_array_add (group->items, number);

  return number;
}

/* @unit: translated, with its space in front where it takes one. What a rig
 * makes too large or too small to be read is written with its power of ten. */
char *
fil_number_text (double      value,
                 int         digits,
                 const char *unit)
{
  if (!isfinite (value))
    return g_strdup (_("unknown"));
  if (value != 0.0 && (fabs (value) >= 1e7 || fabs (value) < 0.5 * pow (10.0, -digits)))
    return g_strdup_printf ("%.2g%s", value, unit);

  return g_strdup_printf ("%.*f%s", digits, value, unit);
}

/* Three digits that count, at most three behind the point. */
char *
fil_number_short (double      value,
                  const char *unit)
{
  double size = isfinite (value) && value != 0.0 ? floor (log10 (fabs (value) * 1.0005)) : 0.0;

  return fil_number_text (value, (int) CLAMP (2.0 - size, 0.0, 3.0), unit);
}

char *
fil_number_duration (double seconds)
{
  int whole;

  if (!isfinite (seconds) || seconds < 99.5)
    return fil_number_text (seconds, seconds < 9.95 ? 1 : 0, " s");
  if (seconds >= 36000.0)
    return fil_number_short (seconds / 3600.0, " h");

  whole = (int) lround (seconds);

  return g_strdup_printf ("%d min %02d s", whole / 60, whole % 60);
}

/* In arcminutes from 2′ on. */
char *
fil_number_angle (double arcsec)
{
  if (!isfinite (arcsec) || arcsec < 120.0)
    return fil_number_short (arcsec, "″");

  return fil_number_short (arcsec / 60.0, "′");
}

/**
 * fil_number_dup_notes:
 *
 * Returns: (transfer full) (nullable): the mark of an estimate and the note,
 *   in one line; %NULL where there is nothing
 */
char *
fil_number_dup_notes (const FilNumber *number)
{
  g_return_val_if_fail (number != NULL, NULL);

  if (!number->estimate)
    return g_strdup (number->note);
  if (number->note == NULL)
    return g_strdup (_("Estimate."));

  return g_strdup_printf (_("Estimate. %s"), number->note);
}

/**
 * fil_numbers_list:
 * @rig: may lack its objective or its camera
 * @sun: (nullable): of the moment; %NULL: at 1 au
 * @air: (nullable): %NULL: a middling hour
 *
 * Groups, and numbers within them, are the same in number and order for every
 * rig, so that what shows them may keep its places.
 *
 * Returns: (transfer full) (element-type FilNumberGroup): frees its content;
 *   texts in the language of the moment. Any thread.
 */
GPtrArray *
fil_numbers_list (const FilRig *rig,
                  const FilSun *sun,
                  const FilAir *air)
{
  static const struct
  {
    const char *title;
    void      (*fill) (FilNumberGroup *group, const FilNumberSource *source);
  } kinds[] = {
    { N_("Telescope"), fil_numbers_fill_telescope },
    { N_("On the sky"), fil_numbers_fill_sky },
    { N_("Resolution and sampling"), fil_numbers_fill_resolution },
    { N_("Focus"), fil_numbers_fill_focus },
    { N_("Light and heat"), fil_numbers_fill_light },
    { N_("Time"), fil_numbers_fill_time },
  };
  FilEstimates estimates;
  FilNumberSource source = { rig, sun, air, &estimates };
  GPtrArray *groups;

  g_return_val_if_fail (rig != NULL, NULL);

  fil_estimates_compute (rig, sun, air, &estimates);
  groups = g_ptr_array_new_with_free_func ((GDestroyNotify) group_free);
  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      FilNumberGroup *group = g_new0 (FilNumberGroup, 1);

      group->title = _(kinds[i].title);
      group->items = g_ptr_array_new_with_free_func ((GDestroyNotify) number_free);
      kinds[i].fill (group, &source);
      g_ptr_array_add (groups, group);
    }

  return groups;
}

/* fil-rig-typed.c: what people type, as a rig file has it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <locale.h>
#include <string.h>

#include "fil-rig-typed.h"

/* "2,9" where the locale writes numbers so; "1,936" elsewhere stays, and is
 * refused. */
static void
turn_comma (char *number)
{
  char *comma = strchr (number, ',');

  if (comma == NULL || strchr (number, '.') != NULL || strchr (comma + 1, ',') != NULL)
    return;
  if (strcmp (localeconv ()->decimal_point, ",") == 0)
    *comma = '.';
}

/**
 * fil_rig_typed_value:
 * @key: (nullable): the key's row; %NULL for an unknown key
 * @typed: (nullable): from a field of a form
 *
 * Numbers may be followed by their unit, and have the locale's decimal comma.
 *
 * Returns: (transfer full) (nullable): for fil_rig_with_value(); %NULL where
 *   nothing was typed
 */
char *
fil_rig_typed_value (const FilRigKey *key,
                     const char      *typed)
{
  g_autofree char *text = g_strdup (typed != NULL ? typed : "");
  g_autofree char *trimmed = g_strstrip (g_strdup (text));

  if (trimmed[0] == '\0')
    return NULL;
  if (key == NULL || !fil_rig_key_is_number (key))
    return g_steal_pointer (&text);

  if (key->unit != NULL && g_str_has_suffix (trimmed, key->unit))
    trimmed[strlen (trimmed) - strlen (key->unit)] = '\0';
  g_strstrip (trimmed);
  turn_comma (trimmed);

  return g_steal_pointer (&trimmed);
}

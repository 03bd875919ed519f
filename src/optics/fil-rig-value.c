/* fil-rig-value.c: numbers and texts of a rig file
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-private.h"

static const char *
skip_digits (const char *p)
{
  while (g_ascii_isdigit (*p))
    p++;

  return p;
}

/* Digits with at most one point and an exponent, nothing else: strtod() alone
 * takes nan, inf and hexadecimal. */
static gboolean
is_decimal (const char *text)
{
  const char *p = *text == '-' || *text == '+' ? text + 1 : text;
  const char *whole = p;
  gsize digits;

  p = skip_digits (p);
  digits = (gsize) (p - whole);
  if (*p == '.')
    {
      const char *fraction = p + 1;

      p = skip_digits (fraction);
      digits += (gsize) (p - fraction);
    }
  if (digits == 0)
    return FALSE;

  if (*p == 'e' || *p == 'E')
    {
      p += p[1] == '-' || p[1] == '+' ? 2 : 1;
      if (!g_ascii_isdigit (*p))
        return FALSE;
      p = skip_digits (p);
    }

  return *p == '\0';
}

static const char *
reason_for (const char *text)
{
  const char *digits = *text == '-' || *text == '+' ? text + 1 : text;

  if (*text == '\0')
    return _("the value is missing");
  if (g_ascii_strncasecmp (digits, "nan", 3) == 0 || g_ascii_strncasecmp (digits, "inf", 3) == 0)
    return _("this is no finite number");
  if (digits[0] == '0' && (digits[1] == 'x' || digits[1] == 'X'))
    return _("hexadecimal numbers are not taken; write it in decimals");
  if (strchr (text, ',') != NULL)
    return _("a number has a decimal point, not a comma");

  return _("this is no number");
}

/**
 * fil_value_number:
 * @smallest: the smallest that is allowed; %G_MINDOUBLE: above 0
 * @value: (out): untouched on failure
 *
 * Reads a plain decimal number with a point, whatever the locale.
 */
gboolean
fil_value_number (const FilRigEntry *entry,
                  const char        *file_name,
                  double             smallest,
                  double             largest,
                  double            *value,
                  GError           **error)
{
  double number;

  if (!is_decimal (entry->value))
    return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                           "%s: %s", entry->value, reason_for (entry->value));

  number = g_ascii_strtod (entry->value, NULL);
  if (!isfinite (number))
    return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                           "%s: %s", entry->value, _("this is no finite number"));

  if (number < smallest || number > largest)
    {
      char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];

      if (smallest == G_MINDOUBLE && largest == G_MAXDOUBLE)
        return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                               _("%s: it must be above 0; leave the key out if it isn’t known"),
                               entry->value);
      if (smallest == G_MINDOUBLE)
        return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                               _("%s: it must be above 0, and at most %s"), entry->value,
                               g_ascii_formatd (high, sizeof high, "%.10g", largest));

      return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                             _("%s: it must lie between %s and %s"), entry->value,
                             g_ascii_formatd (low, sizeof low, "%.10g", smallest),
                             g_ascii_formatd (high, sizeof high, "%.10g", largest));
    }

  *value = number;

  return TRUE;
}

static gboolean
unescape (char c,
          char *plain)
{
  static const char escapes[] = "s n\nt\tr\r\\\\";

  for (gsize i = 0; escapes[i] != '\0'; i += 2)
    if (escapes[i] == c)
      {
        *plain = escapes[i + 1];
        return TRUE;
      }

  return FALSE;
}

/**
 * fil_value_dup_text:
 * @one_line: refuse escaped line ends and tabs
 *
 * Resolves the escapes of key files: \s \n \t \r \\.
 *
 * Returns: (transfer full): the text, or %NULL with @error set
 */
char *
fil_value_dup_text (const FilRigEntry *entry,
                    const char        *file_name,
                    gboolean           one_line,
                    GError           **error)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (const char *p = entry->value; *p != '\0'; p++)
    {
      char c = *p;

      if (c == '\\' && !unescape (*++p, &c))
        {
          fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                          _("a backslash must be followed by s, n, t, r or another backslash"));
          return NULL;
        }
      if (one_line && g_ascii_iscntrl (c))
        {
          fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                          _("this text must stay on one line"));
          return NULL;
        }
      g_string_append_c (text, c);
    }

  return g_string_free (g_steal_pointer (&text), FALSE);
}

/* fil-utc.c: moments as FITS writes them
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: FITS Standard 4.0, section 9.1.1: yyyy-mm-ddThh:mm:ss[.s…], no zone. */

#include <string.h>

#include "fil-utc.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)

/* Returns: (nullable): to the nanosecond; %NULL beyond the years 1 to 9999 */
char *
fil_utc_format (gint64 utc_ns)
{
  gint64 seconds = utc_ns / NS_PER_S, rest = utc_ns % NS_PER_S;
  g_autoptr (GDateTime) moment = NULL;

  if (rest < 0)
    {
      rest += NS_PER_S;
      seconds--;
    }
  moment = g_date_time_new_from_unix_utc (seconds);
  if (moment == NULL)
    return NULL;

  return g_strdup_printf ("%04d-%02d-%02dT%02d:%02d:%02d.%09d",
                          g_date_time_get_year (moment), g_date_time_get_month (moment),
                          g_date_time_get_day_of_month (moment), g_date_time_get_hour (moment),
                          g_date_time_get_minute (moment), g_date_time_get_second (moment),
                          (int) rest);
}

/* Reads exactly @n digits. */
gboolean
fil_utc_take_digits (const char **at,
                     int          n,
                     int         *value)
{
  *value = 0;
  for (int i = 0; i < n; i++, (*at)++)
    {
      if (!g_ascii_isdigit (**at))
        return FALSE;
      *value = 10 * *value + (**at - '0');
    }

  return TRUE;
}

gboolean
fil_utc_take_char (const char **at,
                   char         wanted)
{
  if (**at != wanted)
    return FALSE;
  (*at)++;

  return TRUE;
}

/* yyyy-mm-dd; whether there is such a day isn't asked. */
gboolean
fil_utc_take_date (const char **at,
                   int         *year,
                   int         *month,
                   int         *day)
{
  return fil_utc_take_digits (at, 4, year) && fil_utc_take_char (at, '-') &&
         fil_utc_take_digits (at, 2, month) && fil_utc_take_char (at, '-') &&
         fil_utc_take_digits (at, 2, day);
}

/* What stands behind the point: none is nothing, digits beyond the nanosecond
 * are read and dropped. */
gint64
fil_utc_take_fraction_ns (const char **at)
{
  gint64 value = 0, unit = NS_PER_S / 10;

  for (; g_ascii_isdigit (**at); (*at)++, unit /= 10)
    value += (**at - '0') * unit;

  return value;
}

/* Reads a date alone too, as its midnight; a 'Z' at the end is forgiven. */
gboolean
fil_utc_parse (const char *text,
               gint64     *utc_ns)
{
  int year, month, day, hour = 0, minute = 0, second = 0;
  gint64 fraction_ns = 0;
  g_autoptr (GDateTime) moment = NULL;

  g_return_val_if_fail (text != NULL && utc_ns != NULL, FALSE);

  if (!fil_utc_take_date (&text, &year, &month, &day))
    return FALSE;
  if (fil_utc_take_char (&text, 'T'))
    {
      if (!fil_utc_take_digits (&text, 2, &hour) || !fil_utc_take_char (&text, ':') ||
          !fil_utc_take_digits (&text, 2, &minute) || !fil_utc_take_char (&text, ':') ||
          !fil_utc_take_digits (&text, 2, &second))
        return FALSE;
      if (fil_utc_take_char (&text, '.'))
        fraction_ns = fil_utc_take_fraction_ns (&text);
      fil_utc_take_char (&text, 'Z');
    }
  if (*text != '\0' || year < 1700 || year > 2250)   /* what 64 bits hold */
    return FALSE;

  moment = g_date_time_new_utc (year, month, day, hour, minute, second);
  if (moment == NULL)
    return FALSE;
  *utc_ns = g_date_time_to_unix (moment) * NS_PER_S + fraction_ns;

  return TRUE;
}

/* cli-time.c: moments as people and programs type them
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source of the forms: ISO 8601-1:2019, the extended calendar forms, as RFC
 * 3339 profiles them (from memory); the letter T may be a space. */

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-sun.h"
#include "fil-utc.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)

typedef struct
{
  int    year, month, day;
  int    hour, minute, second;
  gint64 fraction_ns;
  int    offset_minutes;   /* local time less UTC */
} Moment;

/* hh:mm, hh:mm:ss, with a fraction of the second by point or comma. */
static gboolean
take_clock (const char **at,
            Moment      *moment)
{
  if (!fil_utc_take_digits (at, 2, &moment->hour) || !fil_utc_take_char (at, ':') ||
      !fil_utc_take_digits (at, 2, &moment->minute))
    return FALSE;
  if (!fil_utc_take_char (at, ':'))
    return TRUE;
  if (!fil_utc_take_digits (at, 2, &moment->second))
    return FALSE;
  if (fil_utc_take_char (at, '.') || fil_utc_take_char (at, ','))
    {
      if (!g_ascii_isdigit (**at))
        return FALSE;
      moment->fraction_ns = fil_utc_take_fraction_ns (at);
    }

  return TRUE;
}

/* Nothing and Z are UTC; else ±hh, ±hhmm or ±hh:mm. */
static gboolean
take_zone (const char **at,
           Moment      *moment)
{
  int sign = **at == '-' ? -1 : 1, hours, minutes = 0;

  if (fil_utc_take_char (at, 'Z') || fil_utc_take_char (at, 'z') || **at == '\0')
    return TRUE;
  if (!fil_utc_take_char (at, '+') && !fil_utc_take_char (at, '-'))
    return FALSE;
  if (!fil_utc_take_digits (at, 2, &hours))
    return FALSE;
  if (**at != '\0')
    {
      fil_utc_take_char (at, ':');
      if (!fil_utc_take_digits (at, 2, &minutes))
        return FALSE;
    }
  moment->offset_minutes = sign * (60 * hours + minutes);

  return hours <= 23 && minutes <= 59;
}

/* Returns: what is wrong, or %NULL */
static const char *
read_moment (const char *text,
             Moment     *moment)
{
  if (!fil_utc_take_date (&text, &moment->year, &moment->month, &moment->day))
    return _("it has to begin with the date, as in 2026-06-21");
  if (!g_date_valid_dmy ((GDateDay) moment->day, (GDateMonth) moment->month,
                         (GDateYear) moment->year))
    return _("there is no such day");
  if (*text == '\0')
    return NULL;

  if (!fil_utc_take_char (&text, 'T') && !fil_utc_take_char (&text, 't') &&
      !fil_utc_take_char (&text, ' '))
    return _("between date and time stands a T, as in 2026-06-21T09:30");
  if (!take_clock (&text, moment))
    return _("the time has to look like 09:30, 09:30:15 or 09:30:15.25");
  if (moment->hour > 23 || moment->minute > 59 || moment->second > 59)
    return _("hours end at 23, minutes and seconds at 59");
  if (!take_zone (&text, moment) || *text != '\0')
    return _("behind the time may stand nothing or Z for UTC, or an offset like +01:00");

  return NULL;
}

/**
 * fil_cli_parse_time:
 * @text: a date, or a date and a time, in ISO 8601's extended form
 * @utc_ns: (out): nanoseconds since 1970; untouched on failure
 *
 * A date alone is its midnight; without a zone it is UTC. Leap seconds aren't
 * counted. Years are those that fil-sun knows.
 */
gboolean
fil_cli_parse_time (const char *text,
                    gint64     *utc_ns,
                    GError    **error)
{
  Moment moment = { 0 };
  const char *wrong;
  g_autoptr (GDateTime) local = NULL;

  g_return_val_if_fail (text != NULL && utc_ns != NULL, FALSE);

  wrong = read_moment (text, &moment);
  if (wrong == NULL && (moment.year < 1900 || moment.year > 2099))
    wrong = _("the Sun’s place is known from 1900 to 2099 only");
  if (wrong != NULL)
    {
      g_set_error (error, G_OPTION_ERROR, G_OPTION_ERROR_BAD_VALUE, _("‘%.80s’ is no time: %s"),
                   text, wrong);
      return FALSE;
    }

  local = g_date_time_new_utc (moment.year, moment.month, moment.day, moment.hour, moment.minute,
                               moment.second);
  *utc_ns = (g_date_time_to_unix (local) - 60 * moment.offset_minutes) * NS_PER_S +
            moment.fraction_ns;

  return TRUE;
}

/**
 * fil_cli_check_clock:
 * @utc_ns: what the computer's clock says
 *
 * A clock without a battery begins in a year long past, and the Sun's place
 * would be that of another day.
 */
gboolean
fil_cli_check_clock (gint64   utc_ns,
                     GError **error)
{
  g_autoptr (GDateTime) moment = NULL;
  g_autofree char *says = NULL;

  if (utc_ns >= FIL_SUN_CLOCK_SET_NS)
    return TRUE;

  moment = g_date_time_new_from_unix_utc (utc_ns / NS_PER_S);
  says = g_date_time_format (moment, "%Y-%m-%d");
  g_set_error (error, FIL_SUN_ERROR, FIL_SUN_ERROR_TIME,
               _("the clock of this computer says %s: set it, or give --time"), says);

  return FALSE;
}

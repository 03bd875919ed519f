/* fil-target-text.c: a target's place in words, and places that were typed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n.h>

#include "fil-target-text.h"

#define NS_PER_MIN G_GINT64_CONSTANT (60000000000)
#define LEAST_ARCMIN 0.05   /* shown as 0.0 */

/* Returns: (transfer full): "6.2′ towards solar west, 1.1′ north" */
char *
fil_target_text_offset (const FilTargetPlace *place)
{
  double west = fabs (place->west_arcmin), north = fabs (place->north_arcmin);
  g_autofree char *across = NULL, *along = NULL;

  if (west < LEAST_ARCMIN && north < LEAST_ARCMIN)
    return g_strdup (_("at the disc’s centre"));

  across = g_strdup_printf (place->west_arcmin < 0.0 ? _("%.1f′ towards solar east")
                                                     : _("%.1f′ towards solar west"), west);
  if (north < LEAST_ARCMIN)
    return g_steal_pointer (&across);
  if (west < LEAST_ARCMIN)
    return g_strdup_printf (place->north_arcmin < 0.0 ? _("%.1f′ towards solar south")
                                                      : _("%.1f′ towards solar north"), north);
  along = g_strdup_printf (place->north_arcmin < 0.0 ? _("%.1f′ south") : _("%.1f′ north"), north);

  return g_strdup_printf ("%s, %s", across, along);
}

/* "3 d 4 h", "5 h", "40 min" */
static char *
format_span (gint64 span_ns)
{
  int minutes = (int) (MAX (span_ns, 0) / NS_PER_MIN);

  if (minutes >= 1440 && minutes % 1440 >= 60)
    return g_strdup_printf (_("%d d %d h"), minutes / 1440, minutes % 1440 / 60);
  if (minutes >= 1440)
    return g_strdup_printf (_("%d d"), minutes / 1440);
  if (minutes >= 120)
    return g_strdup_printf (_("%d h"), minutes / 60);

  return g_strdup_printf (_("%d min"), minutes);
}

/* Returns: (transfer full): "Thu 14:00" within the next days, with the date
 * otherwise; by the computer's time zone */
char *
fil_target_text_moment (gint64 utc_ns,
                        gint64 now_utc_ns)
{
  g_autoptr (GDateTime) moment = g_date_time_new_from_unix_local (utc_ns / 1000000000);
  gboolean near = utc_ns >= now_utc_ns && utc_ns - now_utc_ns < 6 * 1440 * NS_PER_MIN;

  /* Translators: weekday and time, as g_date_time_format() takes them */
  return g_date_time_format (moment, near ? _("%a %H:%M") : _("%a %-e %b %H:%M"));
}

/**
 * fil_target_text_limb:
 * @seen: it faces us now
 * @found: whether it ever goes over that limb
 * @limb_utc_ns: when it goes over the west limb, or comes round the east one
 *
 * Returns: (transfer full)
 */
char *
fil_target_text_limb (gboolean seen,
                      gboolean found,
                      gint64   limb_utc_ns,
                      gint64   utc_ns)
{
  g_autofree char *span = NULL, *moment = NULL;

  if (!found)
    return g_strdup (seen ? _("never goes over the limb") : _("never comes round the limb"));

  span = format_span (limb_utc_ns - utc_ns);
  moment = fil_target_text_moment (limb_utc_ns, utc_ns);
  if (seen)
    return g_strdup_printf (_("over the limb in %s (%s)"), span, moment);

  return g_strdup_printf (_("comes round the east limb in %s (%s)"), span, moment);
}

static int
day_number (gint64 utc_ns)
{
  g_autoptr (GDateTime) moment = g_date_time_new_from_unix_local (utc_ns / 1000000000);
  GDate date;

  g_date_set_dmy (&date, (GDateDay) g_date_time_get_day_of_month (moment),
                  (GDateMonth) g_date_time_get_month (moment),
                  (GDateYear) g_date_time_get_year (moment));

  return (int) g_date_get_julian (&date);
}

/* Returns: (transfer full): "yesterday", "3 days ago", "5 h ago" */
char *
fil_target_text_ago (gint64 sighted_utc_ns,
                     gint64 utc_ns)
{
  int days = day_number (utc_ns) - day_number (sighted_utc_ns);
  g_autofree char *span = NULL;

  if (sighted_utc_ns > utc_ns)
    return g_strdup (_("seen later"));
  if (days == 1)
    return g_strdup (_("yesterday"));
  if (days > 1)
    return g_strdup_printf (ngettext ("%d day ago", "%d days ago", (gulong) days), days);
  if (utc_ns - sighted_utc_ns < NS_PER_MIN)
    return g_strdup (_("just now"));
  span = format_span (utc_ns - sighted_utc_ns);

  return g_strdup_printf (_("%s ago"), span);
}

/* Returns: (transfer full): "14.2° N" */
char *
fil_target_text_latitude (double latitude_deg)
{
  return g_strdup_printf (latitude_deg < 0.0 ? _("%.1f° S") : _("%.1f° N"), fabs (latitude_deg));
}

/* Returns: (transfer full): "52.0° W" */
char *
fil_target_text_longitude (double longitude_deg)
{
  return g_strdup_printf (longitude_deg < 0.0 ? _("%.1f° E") : _("%.1f° W"), fabs (longitude_deg));
}

/* Returns: (transfer full): both, for plates and charts: "N 14.2° W 52.0°" */
char *
fil_target_text_place (double latitude_deg,
                       double longitude_deg)
{
  double latitude = fabs (latitude_deg), longitude = fabs (longitude_deg);

  if (latitude_deg >= 0.0)
    return g_strdup_printf (longitude_deg >= 0.0 ? _("N %.1f° W %.1f°") : _("N %.1f° E %.1f°"),
                            latitude, longitude);

  return g_strdup_printf (longitude_deg >= 0.0 ? _("S %.1f° W %.1f°") : _("S %.1f° E %.1f°"),
                          latitude, longitude);
}

/* Takes one letter of @letters out of @text. */
static char
take_letter (char       *text,
             const char *letters)
{
  char *found = strpbrk (text, letters);
  char letter;

  if (found == NULL)
    return '\0';
  letter = *found;
  *found = ' ';

  return letter;
}

static gboolean
parse_number (char   *text,
              double *value)
{
  const char *digits = g_strstrip (text);
  const char *allowed = "0123456789.";
  const char *unsigned_part = *digits == '-' || *digits == '+' ? digits + 1 : digits;
  char *end;

  if (unsigned_part[0] == '\0' || strspn (unsigned_part, allowed) != strlen (unsigned_part))
    return FALSE;
  *value = g_ascii_strtod (digits, &end);

  return *end == '\0' && end != digits && isfinite (*value);
}

/**
 * fil_target_text_parse:
 * @text: as typed: "14.2", "-14.2", "S14,2", "52 W", "52° O"
 * @latitude: north positive, up to 90; otherwise longitude, west positive, up
 *   to 180
 * @value_deg: (out): untouched on failure
 *
 * A comma does for a point here. East may be written E or, as in German, O.
 */
gboolean
fil_target_text_parse (const char *text,
                       gboolean    latitude,
                       double     *value_deg)
{
  g_autoptr (GString) plain = g_string_new (text);
  double value;
  char letter;

  g_string_replace (plain, "−", "-", 0);
  g_string_replace (plain, "°", " ", 0);
  g_string_replace (plain, ",", ".", 0);
  g_string_ascii_up (plain);
  letter = take_letter (plain->str, latitude ? "NS" : "EWO");
  if (!parse_number (plain->str, &value) || fabs (value) > (latitude ? 90.0 : 180.0))
    return FALSE;
  /* Either a sign or a letter. */
  if (letter != '\0' && (value < 0.0 || strchr (plain->str, '+') != NULL))
    return FALSE;
  if (letter == 'S' || letter == 'E' || letter == 'O')
    value = -value;
  *value_deg = value;

  return TRUE;
}

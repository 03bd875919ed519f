/* cmd-sun.c: the Sun's place and turn, and its day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-day.h"
#include "fil-rig.h"
#include "fil-sun.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)

/* What is asked for, and what comes of it. */
typedef struct
{
  gint64   utc_ns;
  double   latitude_deg, longitude_deg, height_m;   /* NaN: no site */
  FilSun   sun;
  gboolean has_day;
  FilDay   day;
} Answer;

typedef struct
{
  const char *group;
  const char *label;
  const char *key;
  const char *unit;
  int         digits;
  gsize       offset;
} Number;

#define AT(field) G_STRUCT_OFFSET (FilSun, field)

static const Number numbers[] = {
  { N_("The disc"), N_("P, position angle of the axis"), "p_deg", "°", 3, AT (p_deg) },
  { N_("The disc"), N_("B0, latitude of the disc’s centre"), "b0_deg", "°", 3, AT (b0_deg) },
  { N_("The disc"), N_("L0, longitude of the disc’s centre"), "l0_deg", "°", 3, AT (l0_deg) },
  { N_("The disc"), N_("Carrington rotation"), "carrington_rotation", "", 4,
    AT (carrington_rotation) },
  { N_("The disc"), N_("semidiameter"), "semidiameter_arcsec", "″", 2, AT (semidiameter_arcsec) },
  { N_("The disc"), N_("distance"), "distance_au", "au", 6, AT (distance_au) },

  { N_("Its place"), N_("right ascension"), "ra_deg", "°", 4, AT (ra_deg) },
  { N_("Its place"), N_("declination"), "dec_deg", "°", 4, AT (dec_deg) },
  { N_("Its place"), N_("motion with the drive off"), "hour_angle_rate_arcsec_per_s",
    N_("″/s × cos δ"), 4, AT (hour_angle_rate_arcsec_per_s) },

  { N_("From the site"), N_("altitude, without refraction"), "altitude_deg", "°", 3,
    AT (altitude_deg) },
  { N_("From the site"), N_("azimuth, from north through east"), "azimuth_deg", "°", 3,
    AT (azimuth_deg) },
  { N_("From the site"), N_("refraction"), "refraction_deg", "°", 3, AT (refraction_deg) },
  { N_("From the site"), N_("parallactic angle"), "parallactic_angle_deg", "°", 3,
    AT (parallactic_angle_deg) },
  { N_("From the site"), N_("airmass"), "airmass", "", 3, AT (airmass) },
};

extern const FilCommand fil_command_sun;

static gboolean
has_site (const Answer *answer)
{
  return isfinite (answer->latitude_deg) && isfinite (answer->longitude_deg);
}

/* Returns: (nullable): to the second; %NULL for never */
static char *
format_utc (gint64 utc_ns)
{
  g_autoptr (GDateTime) moment = NULL;

  if (utc_ns == FIL_DAY_NEVER)
    return NULL;

  moment = g_date_time_new_from_unix_utc ((utc_ns + NS_PER_S / 2) / NS_PER_S);

  return g_date_time_format (moment, "%Y-%m-%dT%H:%M:%SZ");
}

/* Its own moment comes back as it was asked for, to the millisecond. */
static char *
format_moment (gint64 utc_ns)
{
  gint64 milliseconds = (utc_ns - (utc_ns < 0 ? 999999 : 0)) / 1000000;
  gint64 rest = ((milliseconds % 1000) + 1000) % 1000;
  g_autoptr (GDateTime) moment = g_date_time_new_from_unix_utc ((milliseconds - rest) / 1000);
  g_autofree char *seconds = g_date_time_format (moment, "%Y-%m-%dT%H:%M:%S");

  return g_strdup_printf ("%s.%03dZ", seconds, (int) rest);
}

static const char *
stays_word (const Answer *answer)
{
  if (!answer->has_day || answer->day.kind == FIL_DAY_RISES_OR_SETS)
    return NULL;

  return answer->day.kind == FIL_DAY_STAYS_UP ? "up" : "down";
}

static void
print_json (const Answer *answer)
{
  g_autoptr (JsonBuilder) json = json_builder_new ();
  g_autofree char *time = format_moment (answer->utc_ns);
  g_autofree char *rise = format_utc (answer->has_day ? answer->day.rise_ns : FIL_DAY_NEVER);
  g_autofree char *transit = format_utc (answer->has_day ? answer->day.transit_ns : FIL_DAY_NEVER);
  g_autofree char *set = format_utc (answer->has_day ? answer->day.set_ns : FIL_DAY_NEVER);

  json_builder_begin_object (json);
  fil_cli_json_string (json, "time", time);
  fil_cli_json_number (json, "latitude_deg", answer->latitude_deg);
  fil_cli_json_number (json, "longitude_deg", answer->longitude_deg);
  fil_cli_json_number (json, "height_m", answer->height_m);
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    fil_cli_json_number (json, numbers[i].key,
                         G_STRUCT_MEMBER (double, &answer->sun, numbers[i].offset));
  fil_cli_json_string (json, "rise", rise);
  fil_cli_json_string (json, "transit", transit);
  fil_cli_json_string (json, "set", set);
  fil_cli_json_number (json, "transit_altitude_deg",
                       answer->has_day ? answer->day.transit_altitude_deg : NAN);
  fil_cli_json_string (json, "stays", stays_word (answer));
  json_builder_end_object (json);

  fil_cli_json_print (json);
}

static void
print_line (const char *label,
            const char *value,
            const char *unit)
{
  int pad = MAX (40 - (int) g_utf8_strlen (label, -1), 1);
  int lead = MAX (12 - (int) g_utf8_strlen (value, -1), 0);

  printf ("  %s%*s%*s%s%s%s\n", label, pad, "", lead, "", value, unit[0] != '\0' ? " " : "", unit);
}

static void
print_number (const Number *number,
              double        value)
{
  const char *unit = number->unit[0] != '\0' ? _(number->unit) : "";
  g_autofree char *text = isfinite (value) ? g_strdup_printf ("%.*f", number->digits, value)
                                           : g_strdup ("–");

  print_line (_(number->label), text, isfinite (value) ? unit : "");
}

static void
print_moment (const char *label,
              gint64      utc_ns)
{
  g_autofree char *text = format_utc (utc_ns);

  print_line (label, text != NULL ? text : "–", "");
}

/* What the day has, or why there is none. */
static void
print_day (const Answer *answer)
{
  printf ("\n%s\n", _("The day at the site, UTC"));
  print_moment (_("sunrise"), answer->has_day ? answer->day.rise_ns : FIL_DAY_NEVER);
  print_moment (_("transit"), answer->has_day ? answer->day.transit_ns : FIL_DAY_NEVER);
  print_moment (_("sunset"), answer->has_day ? answer->day.set_ns : FIL_DAY_NEVER);
  if (answer->has_day && answer->day.kind == FIL_DAY_STAYS_UP)
    printf ("  %s\n", _("The Sun doesn’t set in this day."));
  if (answer->has_day && answer->day.kind == FIL_DAY_STAYS_DOWN)
    printf ("  %s\n", _("The Sun doesn’t rise in this day."));
  if (!has_site (answer))
    printf ("\n%s\n", _("The site is missing: give --site LAT,LON[,H], or a --rig whose [site] has "
                        "latitude_deg and longitude_deg."));
}

static void
print_text (const Answer *answer)
{
  g_autofree char *time = format_moment (answer->utc_ns);
  const char *group = NULL;

  printf (_("The Sun at %s\n"), time);
  if (has_site (answer))
    printf (_("from latitude %.4f°, longitude %.4f°, %.0f m\n"), answer->latitude_deg,
            answer->longitude_deg, answer->height_m);
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    {
      if (numbers[i].group != group)
        printf ("\n%s\n", _(numbers[i].group));
      group = numbers[i].group;
      print_number (&numbers[i], G_STRUCT_MEMBER (double, &answer->sun, numbers[i].offset));
    }
  print_day (answer);
}

/* LAT,LON or LAT,LON,H. What lies beyond the Earth is refused by fil-sun. */
static gboolean
parse_site (const char *text,
            Answer     *answer,
            GError    **error)
{
  g_auto (GStrv) parts = g_strsplit (text, ",", 4);
  double values[3] = { 0.0, 0.0, 0.0 };
  guint n = g_strv_length (parts);
  gboolean good = n == 2 || n == 3;

  for (guint i = 0; good && i < n; i++)
    good = fil_cli_parse_number (g_strstrip (parts[i]), &values[i]);
  if (!good)
    {
      g_set_error (error, G_OPTION_ERROR, G_OPTION_ERROR_BAD_VALUE,
                   _("‘%.80s’ is no site: give latitude and longitude in degrees, and the height "
                     "in metres if you like, as in 47.0,8.0,500"), text);
      return FALSE;
    }

  answer->latitude_deg = values[0];
  answer->longitude_deg = values[1];
  answer->height_m = values[2];

  return TRUE;
}

static gboolean
take_site_of_rig (const char *path,
                  Answer     *answer,
                  GError    **error)
{
  g_autoptr (FilRig) rig = fil_rig_load (path, error);

  if (rig == NULL)
    return FALSE;
  fil_rig_get_site (rig, &answer->latitude_deg, &answer->longitude_deg, &answer->height_m);

  return TRUE;
}

/* The day may reach beyond the ephemeris where the moment doesn't: then it is
 * not told. */
static gboolean
compute (Answer  *answer,
         GError **error)
{
  gint64 start_ns, end_ns;

  if (!fil_sun_compute (answer->utc_ns, answer->latitude_deg, answer->longitude_deg,
                        answer->height_m, &answer->sun, error))
    return FALSE;
  if (!has_site (answer))
    return TRUE;

  fil_day_get_solar (answer->utc_ns, answer->longitude_deg, &start_ns, &end_ns);
  answer->has_day = fil_day_compute (start_ns, end_ns, answer->latitude_deg, answer->longitude_deg,
                                     answer->height_m, &answer->day, NULL);

  return TRUE;
}

static int
answer_and_print (Answer     *answer,
                  const char *time_text,
                  const char *site_text,
                  const char *rig_path,
                  gboolean    as_json)
{
  g_autoptr (GError) error = NULL;

  if (time_text != NULL && !fil_cli_parse_time (time_text, &answer->utc_ns, &error))
    return fil_cli_usage_error (&fil_command_sun, "--time: %s", error->message);
  if (site_text != NULL && !parse_site (site_text, answer, &error))
    return fil_cli_usage_error (&fil_command_sun, "--site: %s", error->message);
  if (rig_path != NULL && site_text == NULL && !take_site_of_rig (rig_path, answer, &error))
    return fil_cli_fail ("sun", error);
  if (time_text == NULL && !fil_cli_check_clock (answer->utc_ns, &error))
    return fil_cli_fail ("sun", error);

  if (!compute (answer, &error))
    {
      gboolean of_rig = g_error_matches (error, FIL_SUN_ERROR, FIL_SUN_ERROR_SITE) &&
                        site_text == NULL;

      return of_rig ? fil_cli_fail (rig_path, error)
                    : fil_cli_usage_error (&fil_command_sun, "%s", error->message);
    }

  if (as_json)
    print_json (answer);
  else
    print_text (answer);

  return FIL_EXIT_DONE;
}

static int
run (int    argc,
     char **argv)
{
  gboolean as_json = FALSE;
  g_autofree char *time_text = NULL, *site_text = NULL, *rig_path = NULL;
  const GOptionEntry entries[] = {
    { "time", 0, 0, G_OPTION_ARG_STRING, &time_text,
      N_("at this moment, UTC unless it has an offset; without it now"), "ISO8601" },
    { "site", 0, 0, G_OPTION_ARG_STRING, &site_text,
      N_("seen from here: degrees north, degrees east, metres"), "LAT,LON[,H]" },
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, &rig_path, N_("seen from this rig’s site"), N_("RIG") },
    { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, N_("print one JSON object"), NULL },
    { 0 }
  };
  Answer answer = {
    .utc_ns = g_get_real_time () * 1000,
    .latitude_deg = NAN,
    .longitude_deg = NAN,
    .height_m = NAN,
  };
  int status;

  if (!fil_cli_parse (&fil_command_sun, entries, &argc, &argv, 0, 0, &status))
    return status;

  return answer_and_print (&answer, time_text, site_text, rig_path, as_json);
}

const FilCommand fil_command_sun = {
  "sun", "", N_("the Sun’s place and turn, and its day"), run
};

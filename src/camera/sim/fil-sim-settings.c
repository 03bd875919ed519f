/* fil-sim-settings.c: what "sim:…" asks for
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-sim-settings.h"
#include "fil-source.h"

#define MIN_SIDE 16
#define MAX_SIDE 8192

typedef enum
{
  WORD_INTEGER,
  WORD_REAL,
  WORD_PERCENT,
  WORD_SEED,
  WORD_CHOICE,
} WordType;

/* One word for each value of an enumeration, in its order. */
static const char *const no_yes[] = { "no", "yes", NULL };
static const char *const off_on[] = { "off", "on", NULL };
static const char *const targets[] = { "spot", "limb", "quiet", NULL };
static const char *const patterns[] = { "mono", "rggb", "grbg", "gbrg", "bggr", NULL };

typedef struct
{
  const char         *key;
  WordType            type;
  gsize               offset;
  double              min, max;
  const char *const  *choices;
} Setting;

#define FIELD(field) offsetof (FilSimSettings, field)

static const Setting settings_known[] = {
  { "seed", WORD_SEED, FIELD (seed), 0, 0, NULL },
  { "width", WORD_INTEGER, FIELD (width), MIN_SIDE, MAX_SIDE, NULL },
  { "height", WORD_INTEGER, FIELD (height), MIN_SIDE, MAX_SIDE, NULL },
  { "bits", WORD_INTEGER, FIELD (bits), 8, 16, NULL },
  { "pattern", WORD_CHOICE, FIELD (pattern), 0, 0, patterns },
  { "fps", WORD_REAL, FIELD (fps), 0.01, 1000, NULL },
  { "level", WORD_PERCENT, FIELD (level_percent), 0.1, 400, NULL },
  { "r0_mm", WORD_REAL, FIELD (r0_mm), 1, 1e6, NULL },
  { "wind_m_s", WORD_REAL, FIELD (wind_m_s), 0, 100, NULL },
  { "clouds", WORD_REAL, FIELD (clouds), 0, 1, NULL },
  { "defocus_um", WORD_REAL, FIELD (defocus_um), -1e5, 1e5, NULL },
  { "tilt_x_um", WORD_REAL, FIELD (tilt_x_um), -1e5, 1e5, NULL },
  { "tilt_y_um", WORD_REAL, FIELD (tilt_y_um), -1e5, 1e5, NULL },
  { "curvature_um", WORD_REAL, FIELD (curvature_um), -1e5, 1e5, NULL },
  { "drive", WORD_CHOICE, FIELD (drive), 0, 0, off_on },
  { "noise", WORD_CHOICE, FIELD (noise), 0, 0, no_yes },
  { "dust", WORD_CHOICE, FIELD (dust), 0, 0, no_yes },
  { "target", WORD_CHOICE, FIELD (target), 0, 0, targets },
  { "paced", WORD_CHOICE, FIELD (paced), 0, 0, no_yes },
};

/* A plain decimal number with a point, whatever the locale; no "inf", no hex. */
static gboolean
read_number (const char *text,
             double     *value)
{
  char *end;

  if (*text == '\0' || strspn (text, "0123456789+-.eE") != strlen (text))
    return FALSE;
  *value = g_ascii_strtod (text, &end);

  return *end == '\0' && isfinite (*value);
}

static gboolean
read_choice (const Setting *setting,
             const char    *text,
             int           *value)
{
  for (int i = 0; setting->choices[i] != NULL; i++)
    if (strcmp (setting->choices[i], text) == 0)
      {
        *value = i;
        return TRUE;
      }

  return FALSE;
}

static gboolean
read_seed (const char *text,
           guint64    *value)
{
  char *end;

  if (!g_ascii_isdigit (*text))
    return FALSE;
  errno = 0;
  *value = g_ascii_strtoull (text, &end, 10);

  return *end == '\0' && errno == 0;
}

static gboolean
read_value (const Setting *setting,
            const char    *text,
            gpointer       field)
{
  double number;

  switch (setting->type)
    {
    case WORD_SEED:
      return read_seed (text, field);

    case WORD_CHOICE:
      return read_choice (setting, text, field);

    case WORD_PERCENT:
      {
        g_autofree char *bare = g_str_has_suffix (text, "%") ? g_strndup (text, strlen (text) - 1)
                                                             : g_strdup (text);

        if (!read_number (bare, &number) || number < setting->min || number > setting->max)
          return FALSE;
        *(double *) field = number;
        return TRUE;
      }

    case WORD_REAL:
      if (!read_number (text, &number) || number < setting->min || number > setting->max)
        return FALSE;
      *(double *) field = number;
      return TRUE;

    case WORD_INTEGER:
      if (!read_number (text, &number) || number < setting->min || number > setting->max ||
          number != floor (number))
        return FALSE;
      *(int *) field = (int) number;
      return TRUE;

    default:
      g_return_val_if_reached (FALSE);
    }
}

static char *
describe_values (const Setting *setting)
{
  char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];

  if (setting->type == WORD_SEED)
    return g_strdup (_("a whole number"));
  if (setting->type == WORD_CHOICE)
    return g_strjoinv (", ", (char **) setting->choices);

  g_ascii_formatd (low, sizeof low, "%g", setting->min);
  g_ascii_formatd (high, sizeof high, "%g", setting->max);

  return g_strdup_printf (_("%s to %s"), low, high);
}

static gboolean
read_setting (const char      *word,
              FilSimSettings  *settings,
              guint           *seen,
              GError         **error)
{
  const char *equals = strchr (word, '=');
  gsize length = equals != NULL ? (gsize) (equals - word) : strlen (word);

  for (guint i = 0; i < G_N_ELEMENTS (settings_known); i++)
    {
      const Setting *setting = &settings_known[i];
      g_autofree char *values = NULL;

      if (strlen (setting->key) != length || strncmp (setting->key, word, length) != 0)
        continue;
      if (*seen & (1u << i))
        {
          g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME,
                       _("sim: “%s” is given twice"), setting->key);
          return FALSE;
        }
      *seen |= 1u << i;
      if (equals != NULL &&
          read_value (setting, equals + 1, (char *) settings + setting->offset))
        return TRUE;

      values = describe_values (setting);
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME,
                   _("sim: “%s” can't be used: %s takes %s"), word, setting->key, values);
      return FALSE;
    }

  g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME,
               _("sim: “%s” is no setting of the simulated Sun"), word);
  return FALSE;
}

/**
 * fil_sim_settings_parse:
 * @name: "sim:" and settings, KEY=VALUE with commas between; may be empty
 * @settings: (out): the defaults, and over them what @name says
 *
 * Numbers have a decimal point in every locale; 15 and 15% are the same level.
 *
 * Returns: %TRUE, or %FALSE with %FIL_SOURCE_ERROR_NAME and @settings untouched
 */
gboolean
fil_sim_settings_parse (const char      *name,
                        FilSimSettings  *settings,
                        GError         **error)
{
  FilSimSettings read = {
    .seed = 1,
    .fps = 25.0,
    .r0_mm = 70.0,
    .wind_m_s = 4.0,
    .drive = TRUE,
    .noise = TRUE,
    .paced = TRUE,
  };
  g_auto (GStrv) words = NULL;
  guint seen = 0;

  g_return_val_if_fail (g_str_has_prefix (name, "sim:"), FALSE);

  words = g_strsplit (name + strlen ("sim:"), ",", 64);
  /* "sim:" alone: no words; g_strsplit() gives none for the empty string. */
  for (int i = 0; words[i] != NULL; i++)
    if (!read_setting (words[i], &read, &seen, error))
      return FALSE;

  if (read.bits % 2 != 0)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME,
                           _("sim: bits takes 8, 10, 12, 14 or 16"));
      return FALSE;
    }
  *settings = read;

  return TRUE;
}

/* What the name left open comes from the rig's camera. */
void
fil_sim_settings_fill_in (FilSimSettings     *settings,
                          const FilSimOptics *optics)
{
  if (settings->width == 0)
    settings->width = CLAMP (optics->columns, MIN_SIDE, MAX_SIDE);
  if (settings->height == 0)
    settings->height = CLAMP (optics->rows, MIN_SIDE, MAX_SIDE);
  if (settings->bits == 0)
    settings->bits = CLAMP (optics->bits / 2 * 2, 8, 16);
}

/**
 * fil_sim_settings_find_format:
 * @bits: 8, 10, 12, 14 or 16
 *
 * Returns: the format that holds so many bits in the low end of its samples
 */
const FilPixelFormat *
fil_sim_settings_find_format (FilPattern pattern,
                              int        bits)
{
  static const char *const names[][5] = {
    [FIL_PATTERN_NONE] = { "GREY", "Y10", "Y12", "Y14", "Y16" },
    [FIL_PATTERN_RGGB] = { "RGGB", "RG10", "RG12", "RG14", "RG16" },
    [FIL_PATTERN_GRBG] = { "GRBG", "BA10", "BA12", "GR14", "GR16" },
    [FIL_PATTERN_GBRG] = { "GBRG", "GB10", "GB12", "GB14", "GB16" },
    [FIL_PATTERN_BGGR] = { "BA81", "BG10", "BG12", "BG14", "BYR2" },
  };

  return fil_pixel_format_from_name (names[pattern][bits / 2 - 4]);
}

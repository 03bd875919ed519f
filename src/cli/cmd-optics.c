/* cmd-optics.c: a rig's numbers, and the findings on its light path
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-findings.h"
#include "fil-numbers.h"

typedef struct
{
  const char *key;
  gsize       offset;
} Number;

#define OPTICS(field) { #field, G_STRUCT_OFFSET (FilEstimates, optics.field) }
#define MORE(field) { #field, G_STRUCT_OFFSET (FilEstimates, field) }

/* At 1 au, as ever. */
static const Number numbers[] = {
  OPTICS (focal_length_mm),
  OPTICS (focal_ratio),
  OPTICS (magnification),
  OPTICS (wavelength_nm),
  OPTICS (rayleigh_arcsec),
  OPTICS (dawes_arcsec),
  OPTICS (cutoff_arcsec),
  OPTICS (airy_diameter_um),
  OPTICS (plate_scale_arcsec_per_px),
  OPTICS (samples_per_cutoff),
  OPTICS (field_width_arcsec),
  OPTICS (field_height_arcsec),
  OPTICS (depth_of_focus_um),
  OPTICS (focuser_depth_of_focus_um),
  OPTICS (sun_diameter_mm),
  OPTICS (km_per_px),
  OPTICS (electrons_per_ms),
};

/* At the Sun's distance of the moment asked for. */
static const Number more_numbers[] = {
  MORE (distance_au),
  MORE (semidiameter_arcsec),
  MORE (field_width_share_of_sun),
  MORE (field_height_share_of_sun),
  MORE (field_share_of_sun),
  MORE (sun_share_of_field),
  MORE (well_magnification_min),
  MORE (well_magnification_max),
  MORE (now_km_per_px),
  MORE (now_sun_diameter_mm),
  MORE (first_focus_sun_diameter_mm),
  MORE (band_low_nm),
  MORE (band_high_nm),
  MORE (secondary_spectrum_um),
  MORE (secondary_spectrum_share_of_depth),
  MORE (field_sag_corner_um),
  MORE (field_sag_share_of_depth),
  MORE (aperture_w),
  MORE (first_focus_heat_w_per_cm2),
  MORE (behind_wedge_heat_w_per_cm2),
  MORE (exposure_estimate_ms),
  MORE (drift_arcsec_per_s),
  MORE (drift_width_s),
  MORE (drift_height_s),
  { "r0_mm", G_STRUCT_OFFSET (FilEstimates, air.r0_mm) },
  { "wind_m_s", G_STRUCT_OFFSET (FilEstimates, air.wind_m_s) },
  MORE (freeze_exposure_ms),
  MORE (rotation_arcsec_per_min),
  MORE (rotation_half_pixel_s),
};

extern const FilCommand fil_command_optics;

static void
print_numbers (JsonBuilder        *json,
               const FilEstimates *estimates,
               const Number       *which,
               gsize               n)
{
  for (gsize i = 0; i < n; i++)
    fil_cli_json_number (json, which[i].key,
                         G_STRUCT_MEMBER (double, estimates, which[i].offset));
}

static void
print_json (const FilRig       *rig,
            const FilEstimates *estimates,
            const GPtrArray    *findings)
{
  g_autoptr (JsonBuilder) json = json_builder_new ();

  json_builder_begin_object (json);
  fil_cli_json_string (json, "name", fil_rig_get_name (rig));
  print_numbers (json, estimates, numbers, G_N_ELEMENTS (numbers));
  fil_cli_json_int (json, "reflections", estimates->optics.reflections);
  fil_cli_json_string (json, "sampling", fil_sampling_to_key (estimates->sampling));
  print_numbers (json, estimates, more_numbers, G_N_ELEMENTS (more_numbers));

  json_builder_set_member_name (json, "findings");
  json_builder_begin_array (json);
  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      json_builder_begin_object (json);
      fil_cli_json_string (json, "level", fil_finding_level_to_string (finding->level));
      fil_cli_json_string (json, "code", finding->code);
      fil_cli_json_string (json, "text", finding->text);
      json_builder_end_object (json);
    }
  json_builder_end_array (json);
  json_builder_end_object (json);

  fil_cli_json_print (json);
}

/* Broken between words, each line set in. */
static void
print_wrapped (const char *text)
{
  g_auto (GStrv) words = g_strsplit (text, " ", -1);
  glong column = 0;

  for (guint i = 0; words[i] != NULL; i++)
    {
      glong length = g_utf8_strlen (words[i], -1);

      if (i > 0 && column + 1 + length > 72)
        column = 0;
      printf ("%s%s", i == 0 ? "      " : column == 0 ? "\n      " : " ", words[i]);
      column += length + 1;
    }
  printf ("\n");
}

static void
print_number (const FilNumber *number)
{
  g_autofree char *notes = fil_number_dup_notes (number);
  int pad = MAX (42 - (int) g_utf8_strlen (number->name, -1), 1);

  if (number->value == NULL)
    return;

  printf ("  %s%*s%s\n", number->name, pad, "", number->value);
  if (number->verdict != NULL)
    print_wrapped (number->verdict);
  if (notes != NULL)
    print_wrapped (notes);
}

static void
print_groups (const GPtrArray *groups)
{
  for (guint i = 0; i < groups->len; i++)
    {
      const FilNumberGroup *group = g_ptr_array_index (groups, i);

      printf ("\n%s\n", group->title);
      for (guint j = 0; j < group->items->len; j++)
        print_number (g_ptr_array_index (group->items, j));
    }
}

static const char *
level_text (FilFindingLevel level)
{
  static const char *const texts[] = { N_("refused"), N_("warning"), N_("note") };

  return _(texts[level]);
}

static void
print_text (const FilRig    *rig,
            const GPtrArray *groups,
            const GPtrArray *findings)
{
  printf ("%s\n\n%s\n", fil_rig_get_name (rig), _("Light path, from the sky"));
  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      g_autofree char *element = fil_element_describe (fil_rig_get_element (rig, i));

      printf ("  %u  %s\n", i + 1, element);
    }

  print_groups (groups);

  printf ("\n%s\n", _("Findings on the light path"));
  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      printf ("  %s: %s: %s\n", level_text (finding->level), finding->code, finding->text);
    }
  printf ("  %s\n", _("A program can’t see your telescope. The filter maker’s instructions and "
                      "local rules come first."));
}

typedef struct
{
  gboolean as_json;
  char    *time, *r0, *wind;
} Options;

static void
options_clear (Options *options)
{
  g_free (options->time);
  g_free (options->r0);
  g_free (options->wind);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Options, options_clear)

/* @text: (nullable): not given: @value stays
 *
 * Returns: %FALSE where it is no number above 0 */
static gboolean
take_positive (const char *text,
               double     *value)
{
  double read;

  if (text == NULL)
    return TRUE;
  if (!fil_cli_parse_number (text, &read) || !isfinite (read) || !(read > 0.0))
    return FALSE;
  *value = read;

  return TRUE;
}

/* @sun: (out): not touched without --time
 *
 * Returns: an exit status; %FIL_EXIT_DONE: go on */
static int
take_options (const Options *options,
              FilSun        *sun,
              FilAir        *air)
{
  g_autoptr (GError) error = NULL;
  gint64 utc_ns;

  if (!take_positive (options->r0, &air->r0_mm))
    return fil_cli_usage_error (&fil_command_optics, _("%s takes a number above 0"), "--r0-mm");
  if (!take_positive (options->wind, &air->wind_m_s))
    return fil_cli_usage_error (&fil_command_optics, _("%s takes a number above 0"),
                                "--wind-m-s");
  if (options->time == NULL)
    return FIL_EXIT_DONE;
  if (!fil_cli_parse_time (options->time, &utc_ns, &error))
    return fil_cli_usage_error (&fil_command_optics, "--time: %s", error->message);
  if (!fil_sun_compute (utc_ns, NAN, NAN, NAN, sun, &error))
    return fil_cli_fail ("optics", error);

  return FIL_EXIT_DONE;
}

static void
print (const FilRig  *rig,
       const Options *options,
       const FilSun  *sun,
       const FilAir  *air)
{
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);

  if (options->as_json)
    {
      FilEstimates estimates;

      fil_estimates_compute (rig, sun, air, &estimates);
      print_json (rig, &estimates, findings);
    }
  else
    {
      g_autoptr (GPtrArray) groups = fil_numbers_list (rig, sun, air);

      print_text (rig, groups, findings);
    }
}

static int
run (int    argc,
     char **argv)
{
  g_auto (Options) options = { 0 };
  const GOptionEntry entries[] = {
    { "time", 0, 0, G_OPTION_ARG_STRING, &options.time,
      N_("The Sun as at that moment, in UTC; without it 1 au"), "ISO8601" },
    { "r0-mm", 0, 0, G_OPTION_ARG_STRING, &options.r0, N_("Steadiness of the air: r0"), "MM" },
    { "wind-m-s", 0, 0, G_OPTION_ARG_STRING, &options.wind,
      N_("Wind that carries the turbulence across"), "SPEED" },
    { "json", 0, 0, G_OPTION_ARG_NONE, &options.as_json, N_("Print one JSON object"), NULL },
    { 0 },
  };
  g_autoptr (FilRig) rig = NULL;
  g_autoptr (GError) error = NULL;
  FilAir air = { FIL_AIR_R0_MM, FIL_AIR_WIND_M_S };
  FilSun sun;
  int status;

  if (!fil_cli_parse (&fil_command_optics, entries, &argc, &argv, 1, 1, &status))
    return status;
  status = take_options (&options, &sun, &air);
  if (status != FIL_EXIT_DONE)
    return status;

  /* The message begins with the file, and has the line where one is at fault. */
  rig = fil_rig_load (argv[1], &error);
  if (rig == NULL)
    return fil_cli_fail ("optics", error);

  print (rig, &options, options.time != NULL ? &sun : NULL,
         options.r0 != NULL || options.wind != NULL ? &air : NULL);

  return FIL_EXIT_DONE;
}

const FilCommand fil_command_optics = {
  "optics", "RIG", N_("a rig’s numbers and the findings on its light path"), run
};

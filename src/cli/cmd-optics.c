/* cmd-optics.c: a rig's numbers, and the findings on its light path
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-findings.h"
#include "fil-optics.h"

/* @key: in the JSON; %NULL: for people only. @label: %NULL: for programs only */
typedef struct
{
  const char *group;
  const char *label;
  const char *key;
  const char *unit;
  int         digits;
  gsize       offset;
} Number;

#define AT(field) G_STRUCT_OFFSET (FilOptics, field)

static const Number numbers[] = {
  { N_("Telescope"), N_("aperture"), NULL, "mm", 1, AT (aperture_mm) },
  { N_("Telescope"), N_("focal length at the sensor"), "focal_length_mm", "mm", 1,
    AT (focal_length_mm) },
  { N_("Telescope"), N_("focal ratio at the sensor"), "focal_ratio", "", 2, AT (focal_ratio) },
  { N_("Telescope"), N_("magnification behind the objective"), "magnification", "×", 3,
    AT (magnification) },
  { N_("Telescope"), N_("optical density at the sensor"), NULL, "", 2, AT (density) },

  { N_("Resolution"), N_("wavelength"), "wavelength_nm", "nm", 1, AT (wavelength_nm) },
  { N_("Resolution"), N_("Rayleigh’s limit"), "rayleigh_arcsec", "″", 3, AT (rayleigh_arcsec) },
  { N_("Resolution"), N_("Dawes’ limit"), "dawes_arcsec", "″", 3, AT (dawes_arcsec) },
  { N_("Resolution"), N_("finest period that gets through"), "cutoff_arcsec", "″", 3,
    AT (cutoff_arcsec) },
  { N_("Resolution"), N_("Airy disc’s diameter"), "airy_diameter_um", "µm", 2,
    AT (airy_diameter_um) },

  { N_("Sampling"), N_("plate scale"), "plate_scale_arcsec_per_px", "″/px", 4,
    AT (plate_scale_arcsec_per_px) },
  { N_("Sampling"), N_("pixels in the finest period"), "samples_per_cutoff", "px", 2,
    AT (samples_per_cutoff) },
  { N_("Sampling"), N_("field’s width"), "field_width_arcsec", "″", 1, AT (field_width_arcsec) },
  { N_("Sampling"), N_("field’s height"), "field_height_arcsec", "″", 1,
    AT (field_height_arcsec) },

  { N_("Focus"), N_("depth of focus at the sensor, ±"), "depth_of_focus_um", "µm", 1,
    AT (depth_of_focus_um) },
  { N_("Focus"), N_("depth of focus at the focuser, ±"), "focuser_depth_of_focus_um", "µm", 1,
    AT (focuser_depth_of_focus_um) },

  { N_("The Sun at 1 au"), N_("diameter at the sensor"), "sun_diameter_mm", "mm", 2,
    AT (sun_diameter_mm) },
  { N_("The Sun at 1 au"), N_("size of a pixel on the Sun"), "km_per_px", "km", 1,
    AT (km_per_px) },
  { N_("The Sun at 1 au"), N_("signal of the disc’s middle (estimate)"), "electrons_per_ms",
    N_("electrons/ms"), 0, AT (electrons_per_ms) },
};

extern const FilCommand fil_command_optics;

static double
value_of (const FilOptics *optics,
          const Number    *number)
{
  return G_STRUCT_MEMBER (double, optics, number->offset);
}

static void
print_json (const FilRig    *rig,
            const FilOptics *optics,
            const GPtrArray *findings)
{
  g_autoptr (JsonBuilder) json = json_builder_new ();

  json_builder_begin_object (json);
  fil_cli_json_string (json, "name", fil_rig_get_name (rig));
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (numbers[i].key != NULL)
      fil_cli_json_number (json, numbers[i].key, value_of (optics, &numbers[i]));
  fil_cli_json_int (json, "reflections", optics->reflections);

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

static void
print_number (const Number    *number,
              const FilOptics *optics)
{
  const char *label = _(number->label);
  int pad = MAX (40 - (int) g_utf8_strlen (label, -1), 1);
  double value = value_of (optics, number);

  if (isfinite (value))
    printf ("  %s%*s%12.*f %s\n", label, pad, "", number->digits, value,
            number->unit[0] != '\0' ? _(number->unit) : "");
  else
    printf ("  %s%*s%12s\n", label, pad, "", _("unknown"));
}

static const char *
level_text (FilFindingLevel level)
{
  static const char *const texts[] = { N_("refused"), N_("warning"), N_("note") };

  return _(texts[level]);
}

static void
print_text (const FilRig    *rig,
            const FilOptics *optics,
            const GPtrArray *findings)
{
  const char *group = NULL;

  printf ("%s\n\n%s\n", fil_rig_get_name (rig), _("Light path, from the sky"));
  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      g_autofree char *element = fil_element_describe (fil_rig_get_element (rig, i));

      printf ("  %u  %s\n", i + 1, element);
    }

  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    {
      if (numbers[i].group != group)
        printf ("\n%s\n", _(numbers[i].group));
      group = numbers[i].group;
      print_number (&numbers[i], optics);
    }
  printf ("\n%s: %d (%s)\n", _("Reflections"), optics->reflections,
          optics->reflections % 2 == 1 ? _("the picture is mirrored")
                                       : _("the picture is not mirrored"));

  printf ("\n%s\n", _("Findings on the light path"));
  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      printf ("  %s: %s: %s\n", level_text (finding->level), finding->code, finding->text);
    }
  printf ("  %s\n", _("A program can’t see your telescope. The filter maker’s instructions and "
                      "local rules come first."));
}

static int
run (int    argc,
     char **argv)
{
  gboolean as_json = FALSE;
  const GOptionEntry entries[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, N_("Print one JSON object"), NULL },
    { 0 },
  };
  g_autoptr (FilRig) rig = NULL;
  g_autoptr (GPtrArray) findings = NULL;
  g_autoptr (GError) error = NULL;
  FilOptics optics;
  int status;

  if (!fil_cli_parse (&fil_command_optics, entries, &argc, &argv, 1, 1, &status))
    return status;

  /* The message begins with the file, and has the line where one is at fault. */
  rig = fil_rig_load (argv[1], &error);
  if (rig == NULL)
    return fil_cli_fail ("optics", error);

  fil_optics_compute (rig, &optics);
  findings = fil_findings_list (rig);
  if (as_json)
    print_json (rig, &optics, findings);
  else
    print_text (rig, &optics, findings);

  return FIL_EXIT_DONE;
}

const FilCommand fil_command_optics = {
  "optics", "RIG", N_("a rig’s numbers and the findings on its light path"), run
};

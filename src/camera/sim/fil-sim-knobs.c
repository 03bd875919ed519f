/* fil-sim-knobs.c: what can be turned while the simulated Sun shines
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stddef.h>

#include <glib/gi18n-lib.h>

#include "fil-sim-knobs.h"
#include "fil-sim-stage.h"

#define BLACK_SHARE      (1.0 / 64.0)   /* of full: noise stays above zero */
#define USUAL_BRIGHT     0.55           /* the disc's centre, of full */
#define MIN_EXPOSURE_MS  0.001
#define MAX_GAIN_DB      36.0
#define MAX_SLEW_ARCMIN  120.0

/* A control and the place of its value in the panel. */
typedef struct
{
  FilSimKnobId    id;
  const char     *name;
  const char     *unit;
  FilControlType  type;
  FilControlRole  role;
  gsize           offset;
  double          min, max, step, standard;
} Knob;

#define PLACE(field) offsetof (FilSimPanel, field)

static const Knob all_knobs[] = {
  { FIL_SIM_KNOB_EXPOSURE, N_("Exposure"), "ms", FIL_CONTROL_REAL, FIL_ROLE_EXPOSURE,
    PLACE (knobs.exposure_ms), MIN_EXPOSURE_MS, 1000, 0.001, 2 },
  { FIL_SIM_KNOB_GAIN, N_("Gain"), "dB", FIL_CONTROL_REAL, FIL_ROLE_GAIN,
    PLACE (knobs.gain_db), 0, MAX_GAIN_DB, 0.1, 0 },
  { FIL_SIM_KNOB_BLACK, N_("Black level"), N_("counts"), FIL_CONTROL_REAL, FIL_ROLE_BLACK_LEVEL,
    PLACE (knobs.black_counts), 0, 1, 1, 0 },
  { FIL_SIM_KNOB_FOCUS, N_("Focus"), "µm", FIL_CONTROL_REAL, FIL_ROLE_FOCUS,
    PLACE (knobs.focus_um), -20000, 20000, 1, 0 },
  { FIL_SIM_KNOB_TARGET, N_("Target"), NULL, FIL_CONTROL_MENU, FIL_ROLE_NONE,
    PLACE (target), 0, FIL_SIM_N_TARGETS - 1, 1, 0 },
  { FIL_SIM_KNOB_DRIVE, N_("Drive"), NULL, FIL_CONTROL_BOOLEAN, FIL_ROLE_NONE,
    PLACE (knobs.drive), 0, 1, 1, 1 },
  { FIL_SIM_KNOB_WEST, N_("Telescope towards west"), "′", FIL_CONTROL_REAL, FIL_ROLE_NONE,
    PLACE (knobs.west_arcmin), -MAX_SLEW_ARCMIN, MAX_SLEW_ARCMIN, 0.5, 0 },
  { FIL_SIM_KNOB_NORTH, N_("Telescope towards north"), "′", FIL_CONTROL_REAL, FIL_ROLE_NONE,
    PLACE (knobs.north_arcmin), -MAX_SLEW_ARCMIN, MAX_SLEW_ARCMIN, 0.5, 0 },
  { FIL_SIM_KNOB_CENTRE, N_("Centre the target"), NULL, FIL_CONTROL_BUTTON, FIL_ROLE_NONE,
    PLACE (knobs.centrings), 0, 0, 0, 0 },
  { FIL_SIM_KNOB_KNOCK, N_("Touch the telescope"), NULL, FIL_CONTROL_BUTTON, FIL_ROLE_NONE,
    PLACE (knobs.knocks), 0, 0, 0, 0 },
  { FIL_SIM_KNOB_R0, N_("Steadiness r0"), "mm", FIL_CONTROL_REAL, FIL_ROLE_NONE,
    PLACE (knobs.r0_mm), 1, 1e6, 1, 70 },
  { FIL_SIM_KNOB_WIND, N_("Wind"), "m/s", FIL_CONTROL_REAL, FIL_ROLE_NONE,
    PLACE (knobs.wind_m_s), 0, 100, 0.1, 4 },
  { FIL_SIM_KNOB_CLOUDS, N_("Clouds"), NULL, FIL_CONTROL_REAL, FIL_ROLE_NONE,
    PLACE (knobs.clouds), 0, 1, 0.01, 0 },
  { FIL_SIM_KNOB_ASTIGMATISM, N_("Astigmatism"), "µm", FIL_CONTROL_REAL, FIL_ROLE_NONE,
    PLACE (knobs.astigmatism_um), 0, 5000, 1, 0 },
};

static const char *const target_names[FIL_SIM_N_TARGETS] = {
  N_("Spot group"), N_("Limb"), N_("Quiet Sun"),
};

void
fil_sim_panel_init (FilSimPanel          *panel,
                    const FilSimSettings *settings)
{
  *panel = (FilSimPanel) {
    .target = settings->target,
    .knobs = {
      .r0_mm = settings->r0_mm,
      .wind_m_s = settings->wind_m_s,
      .clouds = settings->clouds,
      .drive = settings->drive,
    },
  };
}

/**
 * fil_sim_panel_set_level:
 * @format: what the sensor delivers
 *
 * Sets black level, exposure and gain so that the picture's mean is the level
 * that the settings ask for, or else the disc's centre well below full, as a
 * patient observer would: gain only where the frame interval is too short.
 */
void
fil_sim_panel_set_level (FilSimPanel          *panel,
                         const FilSimSettings *settings,
                         const FilSimOptics   *optics,
                         const FilPixelFormat *format)
{
  double mean = MAX (fil_sim_stage_estimate_mean (settings, optics, format->pattern), 1e-3);
  double bright = settings->level_percent > 0.0
                    ? (settings->level_percent * 0.01 - BLACK_SHARE) / mean
                    : USUAL_BRIGHT - BLACK_SHARE;
  double ms = MAX (bright, 1e-4) * optics->full_well_e / optics->electrons_per_ms;

  panel->full = (1 << format->bits) - 1;
  panel->max_exposure_ms = MAX (1000.0 / settings->fps, MIN_EXPOSURE_MS);
  panel->knobs.black_counts = floor (BLACK_SHARE * (panel->full + 1));
  panel->knobs.exposure_ms = CLAMP (ms, MIN_EXPOSURE_MS, panel->max_exposure_ms);
  panel->knobs.gain_db = CLAMP (20.0 * log10 (ms / panel->knobs.exposure_ms), 0.0, MAX_GAIN_DB);
}

static const Knob *
find_knob (guint32 id)
{
  for (gsize i = 0; i < G_N_ELEMENTS (all_knobs); i++)
    if (all_knobs[i].id == id)
      return &all_knobs[i];

  return NULL;
}

static double
get_max (const FilSimPanel *panel,
         const Knob        *knob)
{
  if (knob->id == FIL_SIM_KNOB_EXPOSURE)
    return panel->max_exposure_ms;
  if (knob->id == FIL_SIM_KNOB_BLACK)
    return panel->full / 4;

  return knob->max;
}

static GVariant *
get_value (const FilSimPanel *panel,
           const Knob        *knob)
{
  const char *place = (const char *) panel + knob->offset;

  switch (knob->type)
    {
    case FIL_CONTROL_REAL:
      return g_variant_new_double (*(const double *) (gconstpointer) place);
    case FIL_CONTROL_BOOLEAN:
      return g_variant_new_boolean (*(const gboolean *) (gconstpointer) place);
    case FIL_CONTROL_MENU:
      return g_variant_new_int64 (*(const FilSimTarget *) (gconstpointer) place);
    case FIL_CONTROL_BUTTON:
    case FIL_CONTROL_INTEGER:
    case FIL_CONTROL_BITMASK:
    case FIL_CONTROL_STRING:
    case FIL_CONTROL_ARRAY:
    default:
      return NULL;
    }
}

static GArray *
list_targets (void)
{
  GArray *items = g_array_new (FALSE, FALSE, sizeof (FilControlItem));

  for (int i = 0; i < FIL_SIM_N_TARGETS; i++)
    {
      FilControlItem item = { i, g_strdup (_(target_names[i])) };

      g_array_append_val (items, item);
    }

  return items;
}

static FilControl *
make_control (const FilSimPanel *panel,
              const Knob        *knob)
{
  FilControl *control = g_new0 (FilControl, 1);
  GVariant *value = get_value (panel, knob);

  control->id = knob->id;
  control->name = g_strdup (_(knob->name));
  control->unit = knob->unit != NULL ? g_strdup (_(knob->unit)) : NULL;
  control->type = knob->type;
  control->role = knob->role;
  control->min = knob->min;
  control->max = get_max (panel, knob);
  control->step = knob->step;
  control->standard = knob->standard;
  control->items = knob->type == FIL_CONTROL_MENU ? list_targets () : NULL;
  control->value = value != NULL ? g_variant_ref_sink (value) : NULL;

  return control;
}

/* Returns: (transfer full) (element-type FilControl) */
GPtrArray *
fil_sim_panel_list (const FilSimPanel *panel)
{
  GPtrArray *controls = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_control_free);

  for (gsize i = 0; i < G_N_ELEMENTS (all_knobs); i++)
    g_ptr_array_add (controls, make_control (panel, &all_knobs[i]));

  return controls;
}

/* Returns: (transfer full) (nullable) */
FilControl *
fil_sim_panel_dup (const FilSimPanel *panel,
                   guint32            id)
{
  const Knob *knob = find_knob (id);

  return knob != NULL ? make_control (panel, knob) : NULL;
}

/* A number within the range: cameras round, they don't refuse. */
static gboolean
set_number (FilSimPanel *panel,
            const Knob  *knob,
            GVariant    *value)
{
  double number;

  if (g_variant_is_of_type (value, G_VARIANT_TYPE_DOUBLE))
    number = g_variant_get_double (value);
  else if (g_variant_is_of_type (value, G_VARIANT_TYPE_INT64))
    number = (double) g_variant_get_int64 (value);
  else
    return FALSE;

  if (!isfinite (number))
    return FALSE;
  *(double *) (gpointer) ((char *) panel + knob->offset) = CLAMP (number, knob->min,
                                                                  get_max (panel, knob));

  return TRUE;
}

static gboolean
set_value (FilSimPanel *panel,
           const Knob  *knob,
           GVariant    *value)
{
  gpointer place = (char *) panel + knob->offset;

  if (knob->type == FIL_CONTROL_BUTTON)
    {
      *(guint *) place += 1;
      if (knob->id == FIL_SIM_KNOB_CENTRE)
        panel->knobs.west_arcmin = panel->knobs.north_arcmin = 0.0;
      return TRUE;
    }
  if (value == NULL)
    return FALSE;

  if (knob->type == FIL_CONTROL_REAL)
    return set_number (panel, knob, value);
  if (knob->type == FIL_CONTROL_BOOLEAN && g_variant_is_of_type (value, G_VARIANT_TYPE_BOOLEAN))
    {
      *(gboolean *) place = g_variant_get_boolean (value);
      return TRUE;
    }
  if (knob->type == FIL_CONTROL_MENU && g_variant_is_of_type (value, G_VARIANT_TYPE_INT64))
    {
      gint64 index = g_variant_get_int64 (value);

      if (index < 0 || index >= FIL_SIM_N_TARGETS)
        return FALSE;
      *(FilSimTarget *) place = (FilSimTarget) index;
      return TRUE;
    }

  return FALSE;
}

/**
 * fil_sim_panel_set:
 * @value: (nullable): double, boolean or 64-bit integer as the control is;
 *   %NULL for buttons
 *
 * Numbers out of range become the nearest in it.
 *
 * Returns: %TRUE, or %FALSE with %FIL_SOURCE_ERROR_CONTROL
 */
gboolean
fil_sim_panel_set (FilSimPanel *panel,
                   guint32      id,
                   GVariant    *value,
                   GError     **error)
{
  const Knob *knob = find_knob (id);

  if (knob == NULL)
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                   _("The simulated Sun has no control number %u"), id);
      return FALSE;
    }
  if (!set_value (panel, knob, value))
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                   _("“%s” can't take this value"), _(knob->name));
      return FALSE;
    }

  return TRUE;
}

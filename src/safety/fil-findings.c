/* fil-findings.c: what a light path refuses or warns of
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n-lib.h>

#include "fil-finding-mend.h"

static void
finding_free (gpointer data)
{
  FilFinding *finding = data;

  g_free (finding->text);
  g_free (finding->mend);
  g_free (finding->proposal);
  g_free (finding->group);
  g_free (finding);
}

/* Takes @text. */
static void
add (GPtrArray       *findings,
     FilFindingLevel  level,
     const char      *code,
     int              element,
     char            *text)
{
  FilFinding *finding = g_new0 (FilFinding, 1);

  finding->level = level;
  finding->code = code;
  finding->element = element;
  finding->text = text;
  g_ptr_array_add (findings, finding);
}

static void
refuse (GPtrArray  *findings,
        const char *code,
        int         element,
        const char *text)
{
  add (findings, FIL_FINDING_REFUSE, code, element, g_strdup (text));
}

static void
warn (GPtrArray  *findings,
      const char *code,
      int         element,
      const char *text)
{
  add (findings, FIL_FINDING_WARN, code, element, g_strdup (text));
}

static void
find_missing_filter (const FilRig       *rig,
                     const FilLightPath *path,
                     GPtrArray          *findings)
{
  /* Without an objective there is no light path yet. */
  if (path->front_filter >= 0 || fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE) == NULL)
    return;

  if (path->polariser && !path->density_behind)
    {
      refuse (findings, "polariser-only", -1,
              _("A polariser is the only attenuation in the light path, and it lets infrared "
                "through. Fit a front filter, or a wedge with its density filter."));
      return;
    }
  if (path->wedge >= 0)
    return;

  if (path->late_filter >= 0)
    refuse (findings, "filter-behind-objective", path->late_filter,
            _("The only filter stands behind the objective, at the eyepiece end, in concentrated "
              "sunlight, where it can crack without warning. Fit a filter over the whole "
              "aperture, or a wedge directly behind a lens."));
  else
    refuse (findings, "no-filter", -1,
            _("There is no solar filter in the light path: neither a front filter before the "
              "objective nor a wedge behind it. Cap the telescope, fit one, and list it in the "
              "rig."));
}

/* Whatever stands before the wedge gets the whole of the concentrated light. */
static void
find_before_wedge (const FilRig       *rig,
                   const FilLightPath *path,
                   GPtrArray          *findings)
{
  for (int i = path->objective + 1; i < path->wedge; i++)
    {
      FilElementKind kind = fil_rig_get_element (rig, (guint) i)->kind;

      add (findings, FIL_FINDING_REFUSE, "element-before-wedge", i,
           g_strdup_printf (_("Element %d (%s) stands between objective and wedge, in sunlight "
                              "that nothing has weakened yet. Move it behind the wedge and its "
                              "density filter."),
                            i + 1, fil_element_kind_to_text (kind)));
    }
}

static void
find_wedge (const FilRig       *rig,
            const FilLightPath *path,
            GPtrArray          *findings)
{
  const FilElement *objective, *wedge;

  if (path->wedge < 0)
    return;

  objective = fil_rig_get_element (rig, (guint) path->objective);
  wedge = fil_rig_get_element (rig, (guint) path->wedge);

  if (objective->type == FIL_OBJECTIVE_MIRROR)
    refuse (findings, "wedge-behind-mirror", path->wedge,
            _("A wedge is for lens telescopes: with a mirror objective the unfiltered beam heats "
              "what stands in the tube. Use a front filter over the whole aperture."));
  else if (objective->type == FIL_OBJECTIVE_UNKNOWN)
    refuse (findings, "objective-type-unknown", path->objective,
            _("The rig doesn’t say whether its objective is a lens or a mirror, and a wedge is "
              "for lenses only. Give the objective its type."));

  find_before_wedge (rig, path, findings);

  if (!path->density_behind)
    warn (findings, "wedge-without-density", path->wedge,
          _("No density filter is listed behind the wedge. A wedge alone leaves about a twentieth "
            "of the sunlight: fit its density filter, and list it."));
  if (objective->aperture_mm > wedge->aperture_limit_mm)
    warn (findings, "aperture-above-limit", path->objective,
          _("The aperture is above the limit of the wedge’s maker: it takes more heat than it "
            "was made for. Stop the aperture down, or follow what the maker says."));
}

static void
find_objective (const FilRig       *rig,
                const FilLightPath *path,
                GPtrArray          *findings)
{
  if (fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE) == NULL)
    return;
  if (path->objective < 0)
    {
      refuse (findings, "objective-behind-camera", -1,
              _("The camera comes before the objective. List the elements in the order in which "
                "the light meets them, from the sky to the sensor."));
      return;
    }

  if (fil_rig_get_element (rig, (guint) path->objective)->rear_group)
    warn (findings, "rear-group", path->objective,
          _("The objective has lenses near its focus, which unfiltered sunlight can overheat and "
            "crack. Use a front filter, or ask the maker whether a wedge may be used."));

  for (int i = path->objective + 1; i < path->end; i++)
    if (fil_rig_get_element (rig, (guint) i)->kind == FIL_ELEMENT_OBJECTIVE)
      warn (findings, "second-objective", i,
            _("There is more than one objective. The rig’s numbers follow the first; list one."));
}

static void
find_rest (const FilRig       *rig,
           const FilLightPath *path,
           GPtrArray          *findings)
{
  if (path->camera_only && fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE) != NULL)
    warn (findings, "camera-only", -1,
          _("The light path is for cameras only: its density doesn’t reach what an eye needs "
            "(or isn’t told). No eyepiece goes into it."));
  if (fil_rig_get_finder (rig) == NULL)
    warn (findings, "finder-not-mentioned", -1,
          _("The rig doesn’t mention a finder. Cap it or take it off, and write down in the rig "
            "which of them was done, or that there is none (key: finder)."));

  for (guint i = (guint) path->end + 1; i < fil_rig_get_n_elements (rig); i++)
    add (findings, FIL_FINDING_NOTE, "behind-camera", (int) i,
         g_strdup_printf (_("Element %u (%s) stands behind the camera: no light reaches it, and "
                            "it counts for nothing."),
                          i + 1,
                          fil_element_kind_to_text (fil_rig_get_element (rig, i)->kind)));
}

/**
 * fil_findings_list:
 * @rig: any rig; one without an objective has no light path to judge yet
 *
 * Goes along the light path. Codes are stable. That nothing is found means
 * nothing but that: a program can't see a telescope.
 *
 * Returns: (transfer full) (element-type FilFinding): refusals first, then
 *   warnings, then notes
 */
GPtrArray *
fil_findings_list (const FilRig *rig)
{
  g_autoptr (GPtrArray) found = g_ptr_array_new ();
  GPtrArray *findings = g_ptr_array_new_with_free_func (finding_free);
  FilLightPath path;

  g_return_val_if_fail (rig != NULL, findings);

  fil_light_path_follow (rig, &path);
  find_missing_filter (rig, &path, found);
  find_objective (rig, &path, found);
  find_wedge (rig, &path, found);
  find_rest (rig, &path, found);

  for (int level = FIL_FINDING_REFUSE; level <= FIL_FINDING_NOTE; level++)
    for (guint i = 0; i < found->len; i++)
      if (((FilFinding *) g_ptr_array_index (found, i))->level == (FilFindingLevel) level)
        {
          fil_finding_fill (g_ptr_array_index (found, i), rig, &path);
          g_ptr_array_add (findings, g_ptr_array_index (found, i));
        }

  return findings;
}

/* Returns: whether one of @findings refuses: no pass is made then */
gboolean
fil_findings_refuse (const GPtrArray *findings)
{
  g_return_val_if_fail (findings != NULL, TRUE);

  for (guint i = 0; i < findings->len; i++)
    if (((const FilFinding *) g_ptr_array_index (findings, i))->level == FIL_FINDING_REFUSE)
      return TRUE;

  return FALSE;
}

/* Returns: "refuse", "warn" or "note", for programs */
const char *
fil_finding_level_to_string (FilFindingLevel level)
{
  static const char *const names[] = { "refuse", "warn", "note" };

  g_return_val_if_fail ((gsize) level < G_N_ELEMENTS (names), NULL);

  return names[level];
}

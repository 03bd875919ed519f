/* fil-finding-mend.c: what to do about a finding
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A proposal brings the rig's file in line with what the finding asks for. It
 * never fills in what a finding or the gate goes by, such as a density or the
 * type of an objective: a program can't see a telescope. Where such a value is
 * missing, the finding names its key instead. */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-finding-mend.h"

typedef enum
{
  NOTHING,
  INSERT,
  MOVE,
  REMOVE,
  REMOVE_WEDGES,
  REPLACE_WEDGES,
} Action;

/* An edit of the light path; @label is translated. */
typedef struct
{
  Action          action;
  FilElementKind  kind;       /* INSERT */
  guint           from, to;   /* INSERT at @to, REMOVE @from */
  const char     *label;
} Plan;

typedef Plan (*Planner) (const FilRig       *rig,
                         const FilLightPath *path,
                         int                 element);

static int
find_behind (const FilRig       *rig,
             const FilLightPath *path,
             FilElementKind      kind)
{
  for (int i = path->objective + 1; i < path->end; i++)
    if (fil_rig_get_element (rig, (guint) i)->kind == kind)
      return i;

  return -1;
}

static Plan
plan_front_filter (const FilRig       *rig,
                   const FilLightPath *path,
                   int                 element)
{
  if (path->objective < 0)   /* behind the camera: that comes first */
    return (Plan) { .action = NOTHING };

  return (Plan) { INSERT, FIL_ELEMENT_FRONT_FILTER, 0, (guint) path->objective,
                  _("Add a front filter") };
}

static Plan
plan_density (const FilRig       *rig,
              const FilLightPath *path,
              int                 element)
{
  if (path->wedge < 0)
    return plan_front_filter (rig, path, element);

  return (Plan) { INSERT, FIL_ELEMENT_DENSITY, 0, (guint) path->wedge + 1,
                  _("Add the density filter") };
}

static Plan
plan_late_filter (const FilRig       *rig,
                  const FilLightPath *path,
                  int                 element)
{
  int front_filter = find_behind (rig, path, FIL_ELEMENT_FRONT_FILTER);

  if (front_filter < 0 || path->objective < 0)
    return plan_front_filter (rig, path, element);

  return (Plan) { MOVE, 0, (guint) front_filter, (guint) path->objective,
                  _("Move it before the objective") };
}

static Plan
plan_before_wedge (const FilRig       *rig,
                   const FilLightPath *path,
                   int                 element)
{
  int behind = path->wedge;

  if (fil_rig_get_element (rig, (guint) element)->kind == FIL_ELEMENT_FRONT_FILTER)
    return (Plan) { MOVE, 0, (guint) element, (guint) path->objective,
                    _("Move it before the objective") };

  while (behind + 1 < path->end &&
         fil_rig_get_element (rig, (guint) behind + 1)->kind == FIL_ELEMENT_DENSITY)
    behind++;

  return (Plan) { MOVE, 0, (guint) element, (guint) behind, _("Move it behind the wedge") };
}

static Plan
plan_no_wedge (const FilRig       *rig,
               const FilLightPath *path,
               int                 element)
{
  if (path->front_filter >= 0)
    return (Plan) { REMOVE_WEDGES, 0, 0, 0, _("Take the wedge out") };

  return (Plan) { REPLACE_WEDGES, 0, 0, 0, _("Replace the wedge by a front filter") };
}

static Plan
plan_camera_last (const FilRig       *rig,
                  const FilLightPath *path,
                  int                 element)
{
  return (Plan) { MOVE, 0, (guint) path->camera, fil_rig_get_n_elements (rig) - 1,
                  _("Move the camera to the end") };
}

static Plan
plan_removal (const FilRig       *rig,
              const FilLightPath *path,
              int                 element)
{
  return (Plan) { REMOVE, 0, (guint) element, 0, _("Remove it from the rig") };
}

static Plan
plan_behind_camera (const FilRig       *rig,
                    const FilLightPath *path,
                    int                 element)
{
  switch (fil_rig_get_element (rig, (guint) element)->kind)
    {
    case FIL_ELEMENT_OBJECTIVE:
    case FIL_ELEMENT_FRONT_FILTER:
    case FIL_ELEMENT_WEDGE:
    case FIL_ELEMENT_CAMERA:
      return plan_removal (rig, path, element);
    default:
      return (Plan) { MOVE, 0, (guint) element, (guint) path->camera,
                      _("Move it before the camera") };
    }
}

/* @plan: %NULL where no edit of the file alone would do */
static const struct
{
  const char *code;
  const char *mend;
  Planner     plan;
} mends[] = {
  { "no-filter",
    N_("Fit a filter over the whole aperture, or a wedge behind a lens, and list it here."),
    plan_front_filter },
  { "polariser-only",
    N_("Fit a front filter, or the wedge’s density filter, and list it here."), plan_density },
  { "filter-behind-objective",
    N_("Fit a filter over the whole aperture, and list it before the objective."),
    plan_late_filter },
  { "element-before-wedge",
    N_("Put it behind the wedge and its density filter, at the telescope and here."),
    plan_before_wedge },
  { "wedge-behind-mirror",
    N_("Take the wedge out of the telescope, and use a front filter."), plan_no_wedge },
  { "objective-type-unknown", N_("Say whether the objective is a lens or a mirror."), NULL },
  { "wedge-without-density", N_("Fit the wedge’s density filter, and list it behind the wedge."),
    plan_density },
  { "aperture-above-limit",
    N_("Stop the aperture down and enter what is left, or follow what the wedge’s maker says."),
    NULL },
  { "objective-behind-camera", N_("List the elements from the sky to the sensor."),
    plan_camera_last },
  { "rear-group", N_("Use a front filter, or ask the telescope’s maker about a wedge."), NULL },
  { "second-objective", N_("Leave the objective that makes the image, and remove the other."),
    plan_removal },
  { "camera-only", N_("Put no eyepiece into it; enter the density that the filter’s maker states."),
    NULL },
  { "finder-not-mentioned", N_("Cap the finder or take it off, and say so here."), NULL },
  { "behind-camera", N_("Put it where the light meets it, or remove it."), plan_behind_camera },
};

static gsize
find_mend (const char *code)
{
  gsize i = 0;

  while (i < G_N_ELEMENTS (mends) && strcmp (mends[i].code, code) != 0)
    i++;

  return i;
}

static Plan
make_plan (const FilFinding   *finding,
           const FilRig       *rig,
           const FilLightPath *path)
{
  gsize i = find_mend (finding->code);

  if (i == G_N_ELEMENTS (mends) || mends[i].plan == NULL)
    return (Plan) { .action = NOTHING };

  return mends[i].plan (rig, path, finding->element);
}

/* The first filter whose density isn't told, −1 where all are. */
static int
find_untold_density (const FilRig       *rig,
                     const FilLightPath *path)
{
  for (int i = 0; i < path->end; i++)
    {
      const FilElement *element = fil_rig_get_element (rig, (guint) i);
      gboolean counts = element->kind == FIL_ELEMENT_FRONT_FILTER
                          ? i < path->objective
                          : element->kind == FIL_ELEMENT_DENSITY && path->wedge >= 0 &&
                              i > path->wedge;

      if (counts && isnan (element->density))
        return i;
    }

  return -1;
}

/* Names the value that only the observer can tell. */
static void
fill_key (FilFinding         *finding,
          const FilRig       *rig,
          const FilLightPath *path)
{
  int element = finding->element;

  if (strcmp (finding->code, "finder-not-mentioned") == 0)
    {
      finding->group = g_strdup ("rig");
      finding->key = "finder";
      return;
    }

  if (strcmp (finding->code, "objective-type-unknown") == 0)
    finding->key = "type";
  else if (strcmp (finding->code, "aperture-above-limit") == 0)
    finding->key = "aperture_mm";
  else if (strcmp (finding->code, "camera-only") == 0)
    {
      element = find_untold_density (rig, path);
      finding->key = element >= 0 ? "density" : NULL;
    }

  if (finding->key != NULL)
    finding->group = g_strdup_printf ("element %d", element + 1);
}

/* Adds what to do to a finding that is complete otherwise. */
void
fil_finding_fill (FilFinding         *finding,
                  const FilRig       *rig,
                  const FilLightPath *path)
{
  gsize i = find_mend (finding->code);

  g_return_if_fail (i < G_N_ELEMENTS (mends));

  finding->mend = g_strdup (_(mends[i].mend));
  finding->proposal = g_strdup (make_plan (finding, rig, path).label);
  fill_key (finding, rig, path);
}

static FilRig *
without_wedges (const FilRig       *rig,
                const FilLightPath *path,
                gboolean            add_filter,
                GError            **error)
{
  FilRig *changed = add_filter
                      ? fil_rig_with_element (rig, FIL_ELEMENT_FRONT_FILTER,
                                              (guint) path->objective, error)
                      : fil_rig_ref ((FilRig *) rig);

  while (changed != NULL)
    {
      g_autoptr (FilRig) before = changed;
      FilLightPath now;

      fil_light_path_follow (before, &now);
      if (now.wedge < 0)
        return g_steal_pointer (&before);
      changed = fil_rig_without_element (before, (guint) now.wedge, error);
    }

  return NULL;
}

static FilRig *
carry_out (const Plan         *plan,
           const FilRig       *rig,
           const FilLightPath *path,
           GError            **error)
{
  switch (plan->action)
    {
    case INSERT:
      return fil_rig_with_element (rig, plan->kind, plan->to, error);
    case MOVE:
      return fil_rig_with_element_moved (rig, plan->from, plan->to, error);
    case REMOVE:
      return fil_rig_without_element (rig, plan->from, error);
    case REMOVE_WEDGES:
    case REPLACE_WEDGES:
      return without_wedges (rig, path, plan->action == REPLACE_WEDGES, error);
    default:
      return NULL;
    }
}

static guint
count_code (const GPtrArray *findings,
            const char      *code)
{
  guint n = 0;

  for (guint i = 0; i < findings->len; i++)
    n += strcmp (((const FilFinding *) g_ptr_array_index (findings, i))->code, code) == 0;

  return n;
}

static gboolean
is_among (const GPtrArray  *findings,
          const FilFinding *finding)
{
  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *one = g_ptr_array_index (findings, i);

      if (strcmp (one->code, finding->code) == 0 && one->element == finding->element)
        return TRUE;
    }

  return FALSE;
}

/* An edit that mends one thing may bring to light another that was hidden
 * behind it. Then it is no proposal for a button. */
static gboolean
is_better (const GPtrArray  *before,
           const GPtrArray  *after,
           const FilFinding *finding)
{
  for (guint i = 0; i < after->len; i++)
    {
      const FilFinding *one = g_ptr_array_index (after, i);

      if (one->level == FIL_FINDING_REFUSE &&
          count_code (after, one->code) > count_code (before, one->code))
        return FALSE;
    }

  return count_code (after, finding->code) < count_code (before, finding->code);
}

/**
 * fil_finding_propose:
 * @finding: one of @rig's findings
 *
 * The rig as @finding's proposal has it: this finding is gone, and nothing is
 * refused that wasn't before.
 *
 * Returns: (transfer full) (nullable): the changed rig; %NULL where no edit
 *   would do, with @error set only where one failed
 */
FilRig *
fil_finding_propose (const FilFinding *finding,
                     const FilRig     *rig,
                     GError          **error)
{
  g_autoptr (GPtrArray) before = NULL;
  g_autoptr (GPtrArray) after = NULL;
  g_autoptr (FilRig) changed = NULL;
  FilLightPath path;
  Plan plan;

  g_return_val_if_fail (finding != NULL && rig != NULL, NULL);

  before = fil_findings_list (rig);
  if (!is_among (before, finding))
    return NULL;

  fil_light_path_follow (rig, &path);
  plan = make_plan (finding, rig, &path);
  changed = carry_out (&plan, rig, &path, error);
  if (changed == NULL)
    return NULL;

  after = fil_findings_list (changed);

  return is_better (before, after, finding) ? g_steal_pointer (&changed) : NULL;
}

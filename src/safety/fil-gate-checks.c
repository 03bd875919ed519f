/* fil-gate-checks.c: what has to be looked at before the light may come in
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n-lib.h>

#include "fil-gate-checks.h"

typedef enum
{
  FRONT_FILTER = 1 << 0,
  WEDGE        = 1 << 1,
  CAMERA_ONLY  = 1 << 2,
  ALWAYS       = 1 << 3,
} When;

static const struct
{
  When        when;
  const char *code;
  const char *text;
  const char *reason;
} checks[] = {
  { FRONT_FILTER, "fitted",
    N_("The front filter is fitted so that wind can’t take it."),
    N_("Without it the telescope burns whatever is behind the objective, eyes first.") },
  { FRONT_FILTER, "whole",
    N_("Held against a lamp, the front filter is free of pinholes and scratches."),
    N_("A filter with holes lets unweakened sunlight through; one that is damaged is thrown "
       "away.") },
  { FRONT_FILTER, "stays",
    N_("Nobody takes the front filter off while the telescope points at the Sun."),
    N_("One moment without it is enough.") },
  { WEDGE, "lens",
    N_("The objective is a lens."),
    N_("A wedge gets the whole sunlight; in a telescope with mirrors parts of the tube would "
       "burn.") },
  { WEDGE, "path",
    N_("Nothing stands between objective and wedge."),
    N_("Whatever stands there gets concentrated sunlight, cracks or burns.") },
  { WEDGE, "density",
    N_("The wedge’s density filter is fitted."),
    N_("The wedge alone leaves about a twentieth of the sunlight, far too much.") },
  { WEDGE, "outlet",
    N_("The wedge’s heat outlet is clear, and nobody stands in its beam or can touch it."),
    N_("Nearly all of the sunlight leaves there: it burns skin and sets things alight.") },
  { ALWAYS, "finder",
    N_("The finder is capped or taken off."),
    N_("It is a telescope without a filter: it blinds whoever looks through it, and burns what "
       "is behind it.") },
  { ALWAYS, "cap",
    N_("The cap stays on until the telescope points at the Sun, and goes on again whenever it is "
       "moved far."),
    N_("The Sun’s image beside the axis burns tubes.") },
  { ALWAYS, "attended",
    N_("Somebody stays at the telescope, and children are kept away."),
    N_("The camera protects nobody’s eyes, and a telescope on the Sun attracts the curious.") },
  { CAMERA_ONLY, "camera",
    N_("No eyepiece goes into this light path."),
    N_("Its density is for cameras only. A dark picture on a screen says nothing about what an "
       "eye would get.") },
  { ALWAYS, "rules",
    N_("The filter maker’s instructions and the local rules have been read and are kept."),
    N_("They come first: this program can’t see your telescope.") },
};

static void
check_free (gpointer data)
{
  FilGateCheck *check = data;

  g_free (check->text);
  g_free (check->reason);
  g_free (check);
}

/**
 * fil_gate_checks_list:
 * @path: of a rig without refusals
 *
 * Returns: (transfer full) (element-type FilGateCheck): what follows from the
 *   light path, in the order in which to go round the telescope
 */
GPtrArray *
fil_gate_checks_list (const FilLightPath *path)
{
  GPtrArray *list = g_ptr_array_new_with_free_func (check_free);
  guint now = ALWAYS | (path->front_filter >= 0 ? FRONT_FILTER : 0) |
              (path->wedge >= 0 ? WEDGE : 0) | (path->camera_only ? CAMERA_ONLY : 0);

  for (gsize i = 0; i < G_N_ELEMENTS (checks); i++)
    if ((checks[i].when & now) != 0)
      {
        FilGateCheck *check = g_new0 (FilGateCheck, 1);

        check->code = checks[i].code;
        check->text = g_strdup (_(checks[i].text));
        check->reason = g_strdup (_(checks[i].reason));
        g_ptr_array_add (list, check);
      }

  return list;
}

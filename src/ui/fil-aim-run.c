/* fil-aim-run.c: what the Aim shelf says while the angle is measured
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-aim-run.h"

#define PATIENCE_S 20.0   /* then the drive was forgotten, or there is nothing to follow */
#define BEFORE_S   4.0    /* until the motion was seen, and what is left out of it */

static void
show_waiting (FilAimView         *view,
              const FilLiveDrift *run,
              double              since_s)
{
  view->figure = g_strdup ("–");
  view->caption = g_strdup (since_s < PATIENCE_S
                              ? _("waiting for the picture to move")
                              : _("the picture stands: is the drive still on?"));
  view->title = g_strdup (_("Stop the drive, then take your hands off"));
  view->text = g_strdup_printf (_("The Sun drifts by itself, always towards west. Something to "
                                  "follow has to stay in view for %.0f s: put a spot or the limb "
                                  "on the side that it comes from. Don’t touch the telescope."),
                                run->needed_s + BEFORE_S);
  view->secondary = _("Leave it");
}

static void
show_running (FilAimView         *view,
              const FilLiveDrift *run)
{
  double left_s = ceil (MAX (run->needed_s - run->seconds, 0.0));

  view->figure = g_strdup_printf ("%.0f", left_s);
  view->unit = g_strdup (_("s"));
  view->caption = g_strdup (_("left of the drift"));
  view->second_caption = g_strdup_printf (_("%u frames followed"), run->n_frames);
  view->title = g_strdup (_("Hands off: the Sun drifts"));
  view->text = g_strdup (_("Leave the drive off until this is done."));
  view->secondary = _("Leave it");
}

/* Against what was measured before, where that is told. */
static char *
describe_difference (const FilDrift *drift,
                     const FilPlace *place)
{
  double turned_deg = 0.0, ratio = 1.0;

  if (!place->oriented)
    return NULL;
  if (fil_drift_agrees (drift, place, &turned_deg, &ratio))
    return g_strdup (_("The angle of before is still right. "));

  return g_strdup_printf (_("Against before: turned by %.2f°, scale × %.4f. "), turned_deg, ratio);
}

/* What is told of the scale: why it differs from the rig's, or that it doesn't. */
static char *
describe_scale (const FilDrift *drift,
                const FilRig   *rig)
{
  char *explanation = rig != NULL ? fil_drift_explain (drift, rig) : NULL;

  if (explanation != NULL || rig == NULL)
    return explanation;

  return g_strdup (_("The scale agrees with the rig’s, within its error."));
}

static void
show_done (FilAimView         *view,
           const FilLiveDrift *run,
           const FilPlace     *place,
           const FilRig       *rig)
{
  const FilDrift *drift = &run->drift;
  g_autofree char *difference = describe_difference (drift, place);
  g_autofree char *explanation = describe_scale (drift, rig);

  view->figure = g_strdup_printf ("%.1f", drift->position_angle_deg);
  view->unit = g_strdup ("°");
  view->caption = g_strdup_printf (_("angle of the picture’s top, ± %.2f°"),
                                   drift->position_angle_error_deg);
  view->second_caption = g_strdup_printf (_("%.4f″ ± %.4f″ a pixel · %.0f s"),
                                          drift->plate_scale_arcsec_per_px,
                                          drift->plate_scale_error, drift->seconds);
  view->title = g_strdup (_("Measured. Start the drive again"));
  view->text = g_strconcat (difference != NULL ? difference : "",
                            explanation != NULL ? explanation : "", NULL);
  view->primary = _("Use it");
  view->secondary = place->oriented ? _("Keep the old one") : _("Don’t use it");
}

static void
show_checked (FilAimView         *view,
              const FilLiveDrift *run,
              const FilPlace     *place)
{
  double turned_deg = 0.0, ratio = 1.0;
  gboolean right = fil_drift_agrees (&run->drift, place, &turned_deg, &ratio);

  view->figure = g_strdup_printf ("%.1f", run->drift.position_angle_deg);
  view->unit = g_strdup ("°");
  view->caption = g_strdup_printf (_("angle of the picture’s top, ± %.2f°"),
                                   run->drift.position_angle_error_deg);
  view->second_caption = g_strdup_printf (_("%.2f° was measured before"),
                                          place->position_angle_deg);
  view->title = g_strdup (right ? _("The angle is still right") : _("The angle has changed"));
  view->text = right ? g_strdup (_("Start the drive again."))
                     : g_strdup_printf (_("The camera was turned by about %.1f°, or the scale "
                                          "changed (× %.3f). Measure it anew."), turned_deg, ratio);
  view->primary = right ? _("Good") : _("Measure anew");
  view->secondary = right ? NULL : _("Leave it");
}

static void
show_failed (FilAimView         *view,
             const FilLiveDrift *run,
             const FilPlace     *place)
{
  view->figure = g_strdup ("–");
  view->caption = g_strdup (place->oriented ? _("the angle of before is kept")
                                            : _("the angle isn’t known"));
  view->title = g_strdup (_("No angle this time"));
  view->text = g_strdup (run->text);
  view->primary = _("Try again");
  view->secondary = _("Leave it");
}

/**
 * fil_aim_run_view:
 * @checking: the run only compares with @place
 * @since_s: seconds since the run was begun
 * @view: (out): cleared with fil_aim_view_clear()
 *
 * Returns: %FALSE, @view untouched, where no run is on or waits for an answer
 */
gboolean
fil_aim_run_view (const FilLiveDrift *run,
                  const FilPlace     *place,
                  const FilRig       *rig,
                  gboolean            checking,
                  double              since_s,
                  FilAimView         *view)
{
  g_return_val_if_fail (run != NULL && place != NULL && view != NULL, FALSE);

  if (run->state == FIL_LIVE_DRIFT_IDLE)
    return FALSE;

  *view = (FilAimView) { .arrow_deg = NAN };
  if (run->state == FIL_LIVE_DRIFT_WAITING)
    show_waiting (view, run, since_s);
  else if (run->state == FIL_LIVE_DRIFT_RUNNING)
    show_running (view, run);
  else if (run->state == FIL_LIVE_DRIFT_DONE && checking)
    show_checked (view, run, place);
  else if (run->state == FIL_LIVE_DRIFT_DONE)
    show_done (view, run, place, rig);
  else
    show_failed (view, run, place);

  return TRUE;
}

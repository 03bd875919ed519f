/* fil-limb.c: the Sun's limb in one frame, and where the disc's centre is
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-limb-private.h"

/* The finest reduced picture has at most so many samples along its longer
 * side: enough for edges to a sample, few enough for every frame. */
#define MAX_SAMPLES      512
#define MIN_SAMPLES      24      /* along the shorter side */

/* Counts, and share of the format's largest, of the brightest part above
 * black: below there is no Sun in the frame. Formats of 16 bits often carry
 * 12, so the share is small. */
#define MIN_LIGHT        4.0
#define MIN_LIGHT_SHARE  0.001
#define MIN_LIGHT_NOISE  6.0     /* times a sample's noise */

#define MAX_DARK_SHARE   0.40    /* of the brightest part: no sky is seen beyond */

#define TOLERANCE_SAMPLES 1.5    /* of edges from their circle */
#define TOLERANCE_SHARE  0.005   /* of the frame's diagonal: air bends long limbs */
#define TOLERANCE_OF_RADIUS 0.05

#define MIN_RADIUS_SAMPLES 10    /* in the finest reduced picture */

/* Where the blur is wider than so many samples, the whole frame's pixels tell
 * no more than the reduced picture's. */
#define MAX_FINE_BLUR    2.5

struct _FilLimbFinder
{
  uint16_t      *counts;
  gsize          allocated;
  float         *row;
  gsize          row_allocated;
  FilLimbPicture levels[FIL_LIMB_N_LEVELS];
  int            n_levels;
  FilLimbLight   light;
  FilLimbEdge    edges[FIL_LIMB_MAX_EDGES];
  FilLimbTrail   trail;
};

/**
 * fil_limb_finder_new:
 *
 * Returns: (transfer full)
 */
FilLimbFinder *
fil_limb_finder_new (void)
{
  return g_new0 (FilLimbFinder, 1);
}

void
fil_limb_finder_free (FilLimbFinder *finder)
{
  if (finder == NULL)
    return;

  for (int i = 0; i < FIL_LIMB_N_LEVELS; i++)
    g_free (finder->levels[i].values);
  g_free (finder->row);
  g_free (finder->counts);
  g_free (finder);
}

static gboolean
take_counts (FilLimbFinder  *finder,
             const FilFrame *frame)
{
  gsize size;

  if (!fil_frame_check (frame, NULL) || MIN (frame->width, frame->height) < MIN_SAMPLES)
    return FALSE;

  size = (gsize) frame->width * (gsize) frame->height;
  if (size > finder->allocated)
    {
      g_free (finder->counts);
      finder->counts = g_try_new (uint16_t, size);
      finder->allocated = finder->counts != NULL ? size : 0;
    }

  return finder->counts != NULL && fil_frame_unpack (frame, NULL, finder->counts, NULL);
}

static void
make_levels (FilLimbFinder  *finder,
             const FilFrame *frame,
             double          radius_px)
{
  int step = (MAX (frame->width, frame->height) + MAX_SAMPLES - 1) / MAX_SAMPLES;

  if (radius_px > 0.0 && step > radius_px / MIN_RADIUS_SAMPLES)
    step = (int) (radius_px / MIN_RADIUS_SAMPLES);
  if (frame->format->kind == FIL_KIND_BAYER)
    step += step % 2;
  step = MAX (MIN (step, MIN (frame->width, frame->height) / MIN_SAMPLES), 1);

  fil_limb_picture_reduce (&finder->levels[0], finder->counts, frame->width, frame->height, step);
  finder->n_levels = 1;
  for (int i = 1; i < FIL_LIMB_N_LEVELS; i++)
    {
      if (MIN (finder->levels[i - 1].width, finder->levels[i - 1].height) < 2 * MIN_SAMPLES)
        break;
      fil_limb_picture_halve (&finder->levels[i], &finder->levels[i - 1]);
      finder->n_levels++;
    }

  if ((gsize) finder->levels[0].width > finder->row_allocated)
    {
      finder->row_allocated = (gsize) finder->levels[0].width;
      finder->row = g_renew (float, finder->row, finder->row_allocated);
    }
  for (int i = 0; i < finder->n_levels; i++)
    fil_limb_picture_smooth (&finder->levels[i], finder->row);
}

static FilLimbReason
look_at_light (const FilLimbFinder *finder,
               const FilFrame      *frame)
{
  const FilLimbLight *light = &finder->light;
  double least = MAX (MIN_LIGHT, MIN_LIGHT_SHARE * (double) ((1 << frame->format->bits) - 1));

  if (light->bright < least || light->bright < MIN_LIGHT_NOISE * light->noise)
    return FIL_LIMB_DARK;
  if (light->dark > MAX_DARK_SHARE * light->bright)
    return FIL_LIMB_FEATURELESS;

  return FIL_LIMB_SEEN;
}

static gboolean
follow (FilLimbFinder        *finder,
        const FilLimbPicture *picture,
        FilLimbCircle        *circle,
        int                   n_edges,
        gboolean              fit_radius,
        FilLimbFit           *fit)
{
  fil_limb_trail_follow (&finder->trail, picture, &finder->light, circle, finder->edges, n_edges);

  return fil_limb_fit_circle (&finder->trail, circle, fit_radius, fit);
}

/* Once more in all of the frame's pixels, along the circle found so far. */
static gboolean
follow_finely (FilLimbFinder  *finder,
               const FilFrame *frame,
               int             n_edges,
               gboolean        fit_radius,
               FilLimbFit     *fit)
{
  FilLimbPicture all = { .counts = finder->counts, .width = frame->width,
                         .height = frame->height, .step = 1 };
  FilLimbCircle circle = { fit->x, fit->y, fit->radius, n_edges, 4.0 * fit->rms + 4.0 };
  FilLimbFit finer;

  if (!follow (finder, &all, &circle, n_edges, fit_radius, &finer))
    return FALSE;
  *fit = finer;

  return TRUE;
}

static FilLimbReason
try_level (FilLimbFinder  *finder,
           const FilFrame *frame,
           int             level,
           double          radius_px,
           gboolean        fit_radius,
           FilLimbFit     *fit)
{
  const FilLimbPicture *picture = &finder->levels[level];
  double bend = MIN (TOLERANCE_SHARE * hypot (frame->width, frame->height),
                     radius_px > 0.0 ? TOLERANCE_OF_RADIUS * radius_px : G_MAXDOUBLE);
  double tolerance = MAX (TOLERANCE_SAMPLES * picture->step, bend);
  int n_edges = fil_limb_find_edges (picture, &finder->light, finder->edges);
  FilLimbCircle circle;
  FilLimbReason reason;

  if (n_edges < MIN_SAMPLES / 2)
    return FIL_LIMB_NO_EDGE;
  if (!fil_limb_find_circle (finder->edges, n_edges, radius_px, fit_radius, tolerance, &circle) ||
      !follow (finder, picture, &circle, n_edges, fit_radius, fit))
    return FIL_LIMB_NOT_A_CIRCLE;
  reason = fil_limb_judge (&finder->trail, fit, picture, &finder->light, fit_radius);
  if (reason == FIL_LIMB_NOT_A_CIRCLE || finder->trail.psf_px > MAX_FINE_BLUR * picture->step)
    return reason;

  if (!follow_finely (finder, frame, n_edges, fit_radius, fit))
    return FIL_LIMB_NOT_A_CIRCLE;

  return fil_limb_judge (&finder->trail, fit, picture, &finder->light, fit_radius);
}

/* From rows that grow downward to FITS pixels. */
static void
report (const FilLimbFinder *finder,
        const FilFrame      *frame,
        const FilLimbFit    *fit,
        gboolean             fit_radius,
        FilLimb             *limb)
{
  double direction = fmod (-fit->direction * 180.0 / M_PI, 180.0);

  *limb = (FilLimb) {
    .seen = TRUE,
    .centre_x = fit->x + 1.0,
    .centre_y = frame->height - fit->y,
    .radius_px = fit->radius,
    .radius_error_px = fit_radius ? fit->radius_error : 0.0,
    .error_px = fit->major,
    .direction_deg = direction < 0.0 ? direction + 180.0 : direction,
    .error_across_px = fit->minor,
    .arc_deg = MIN (fit->arc_rad * 180.0 / M_PI, 360.0),
    .rms_px = fit->rms,
    .blur_px = finder->trail.psf_px,
    .n_points = fit->n_kept,
    .reason = FIL_LIMB_SEEN,
  };
}

static FilLimbReason
find (FilLimbFinder  *finder,
      const FilFrame *frame,
      double          radius_px,
      gboolean        fit_radius,
      double          black_level,
      FilLimbFit     *fit)
{
  FilLimbReason reason, furthest = FIL_LIMB_NO_EDGE;

  if (!take_counts (finder, frame))
    return FIL_LIMB_UNREADABLE;
  make_levels (finder, frame, radius_px);
  fil_limb_picture_weigh (&finder->levels[0], black_level, &finder->light);
  reason = look_at_light (finder, frame);
  if (reason != FIL_LIMB_SEEN)
    return reason;

  for (int i = 0; i < finder->n_levels; i++)
    {
      reason = try_level (finder, frame, i, radius_px, fit_radius, fit);
      if (reason == FIL_LIMB_SEEN)
        return reason;
      furthest = MAX (furthest, reason);
    }

  return furthest;
}

/**
 * fil_limb_finder_find:
 * @frame: of any format; of colour filters' cells their means are taken
 * @radius_px: the disc's radius: semidiameter over plate scale; with
 *   @fit_radius a guess that may be off by 2.5 times, or 0 for none
 * @fit_radius: whether the radius is to be found as well; for whole discs
 * @black_level: counts
 * @limb: (out): all 0 but the reason where none is seen
 *
 * A circle is fitted to the limb in one frame: its bright side inward, its
 * dark side outward, wherever its centre lies. A known radius that is wrong
 * moves the centre of a short arc by as much as it is off, along the radius.
 *
 * Returns: whether a limb is seen
 */
gboolean
fil_limb_finder_find (FilLimbFinder  *finder,
                      const FilFrame *frame,
                      double          radius_px,
                      gboolean        fit_radius,
                      double          black_level,
                      FilLimb        *limb)
{
  FilLimbReason reason;
  FilLimbFit fit;

  g_return_val_if_fail (finder != NULL && frame != NULL && limb != NULL, FALSE);
  g_return_val_if_fail (isfinite (black_level), FALSE);
  g_return_val_if_fail (isfinite (radius_px) && radius_px <= FIL_LIMB_MAX_RADIUS_PX, FALSE);
  g_return_val_if_fail (fit_radius || radius_px >= FIL_LIMB_MIN_RADIUS_PX, FALSE);

  *limb = (FilLimb) { 0 };
  reason = find (finder, frame, radius_px, fit_radius, black_level, &fit);
  if (reason == FIL_LIMB_SEEN)
    report (finder, frame, &fit, fit_radius, limb);
  limb->reason = (int) reason;

  return limb->seen;
}

/* Returns: one plain sentence, translated, for what was not seen */
const char *
fil_limb_reason_to_text (FilLimbReason reason)
{
  switch (reason)
    {
    case FIL_LIMB_SEEN:
      return _("The limb is seen.");
    case FIL_LIMB_UNREADABLE:
      return _("No limb seen: the picture can’t be read or is too small.");
    case FIL_LIMB_DARK:
      return _("No limb seen: there is hardly any light.");
    case FIL_LIMB_FEATURELESS:
      return _("No limb seen: it is bright everywhere.");
    case FIL_LIMB_NO_EDGE:
      return _("No limb seen: light falls off nowhere as it does at the limb.");
    case FIL_LIMB_NOT_A_CIRCLE:
      return _("No limb seen: no edge here is the Sun’s.");
    case FIL_LIMB_UNSURE:
      return _("No limb seen for sure: too little of it is in the picture.");
    case FIL_LIMB_N_REASONS:
    default:
      g_return_val_if_reached ("");
    }
}

/* fil-sky-lines.h: the limb and the grid as lines on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sky-overlay.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_SKY_LINE_PARALLEL,   /* of one heliographic latitude */
  FIL_SKY_LINE_MERIDIAN,   /* of one longitude */
  FIL_SKY_LINE_LIMB,       /* that is to be expected */
  FIL_SKY_LINE_FITTED,     /* a circle that was found in the picture */
} FilSkyLineKind;

/**
 * FilSkyLine:
 * @value_deg: latitude or longitude
 * @strong: equator or central meridian
 * @first: of its points, in the array of all
 *
 * One piece without a gap, inside the region; a curve that leaves it and comes
 * back is more than one.
 */
typedef struct
{
  FilSkyLineKind kind;
  double         value_deg;
  gboolean       strong;
  guint          first, n_points;
} FilSkyLine;

typedef enum
{
  FIL_SKY_SIDE_LEFT,
  FIL_SKY_SIDE_TOP,
  FIL_SKY_SIDE_RIGHT,
  FIL_SKY_SIDE_BOTTOM,
  FIL_SKY_SIDE_NONE,       /* inside: at the limb, or on the line itself */
} FilSkySide;

/**
 * FilSkyLabel:
 * @at: where the line leaves the region, or a place on it
 * @side: that of the region on which @at lies
 * @away: for FIL_SKY_SIDE_NONE, the way off the disc, a unit vector; 0, 0: the
 *   label stands on the line
 *
 * A place where a line's name may stand; most lines have several, best first.
 */
typedef struct
{
  FilSkyLineKind kind;
  double         value_deg;
  FilSkyPoint    at;
  FilSkySide     side;
  FilSkyPoint    away;
} FilSkyLabel;

/**
 * FilSkyLines:
 * @points: of #FilSkyPoint, picture pixels
 * @lines: of #FilSkyLine
 * @labels: of #FilSkyLabel
 * @step_deg: of the grid; 0: none
 */
typedef struct
{
  GArray *points;
  GArray *lines;
  GArray *labels;
  double  step_deg;
} FilSkyLines;

/* Where a curve is at @t; %FALSE where it isn't seen. */
typedef gboolean (*FilSkyCurve) (const FilSkyView *view,
                                 gconstpointer     data,
                                 double            t,
                                 FilSkyPoint      *point);

FilSkyLines *fil_sky_lines_new       (void);
void         fil_sky_lines_free      (FilSkyLines      *self);
void         fil_sky_lines_clear     (FilSkyLines      *self);
void         fil_sky_lines_add_curve (FilSkyLines      *self,
                                      const FilSkyView *view,
                                      const FilSkyLine *like,
                                      FilSkyCurve       curve,
                                      gconstpointer     data,
                                      double            from,
                                      double            to,
                                      guint             n_steps);
void         fil_sky_lines_add_limb  (FilSkyLines      *self,
                                      const FilSkyView *view);
void         fil_sky_lines_add_fitted (FilSkyLines     *self,
                                      const FilSkyView *view,
                                      double            x_fits,
                                      double            y_fits,
                                      double            radius_px);
void         fil_sky_lines_add_grid  (FilSkyLines      *self,
                                      const FilSkyView *view);
char        *fil_sky_label_dup_text  (const FilSkyLabel *label);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSkyLines, fil_sky_lines_free)

G_END_DECLS

/* fil-aim-view.h: what the Aim shelf says, of what is known
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-aim-search.h"
#include "fil-frame.h"
#include "fil-limb.h"
#include "fil-place.h"

G_BEGIN_DECLS

/**
 * FilAimFacts:
 * @mean_percent: the picture's brightness, of full
 * @width: of the frame, pixels; 0: no frame yet
 * @sun: %NULL: not known
 * @altazimuth: the mount turns about a vertical axis
 */
typedef struct
{
  FilAimLight     light;
  double          mean_percent;
  double          exposure_ms;
  int             width, height;
  FilLimb         limb;
  FilPlace        place;
  const FilSun   *sun;
  gboolean        altazimuth;
} FilAimFacts;

/**
 * FilAimView:
 * @arrow_deg: from the right, counter-clockwise; NaN: none
 * @primary: of the one button in the accent colour; %NULL: none
 * @secondary: of the button beside it; %NULL: none
 *
 * Texts are translated and owned.
 */
typedef struct
{
  char       *figure, *unit;
  double      arrow_deg;
  char       *caption, *second_caption;
  char       *title, *text;
  const char *primary, *secondary;
  gboolean    shows_bar;
} FilAimView;

/* Towards the disc's centre from the middle of the picture. */
typedef struct
{
  double distance_arcmin;
  double fields;              /* the same in widths of the field */
  double error_arcmin;
  double screen_deg;          /* from the right, counter-clockwise */
  double east_arcmin, north_arcmin;
  double left_arcmin, up_arcmin;   /* as the altitude counts; NaN without a site */
} FilAimOffset;

gboolean fil_aim_knows      (const FilPlace    *place,
                             const FilSun      *sun,
                             const FilRect     *patch,
                             int                height);
gboolean fil_aim_patch      (const FilPlace    *place,
                             const FilSun      *sun,
                             const FilRect     *patch,
                             int                height,
                             double            *latitude_deg,
                             double            *longitude_deg,
                             double            *mu);
gboolean fil_aim_offset     (const FilPlace    *place,
                             const FilSun      *sun,
                             int                width,
                             int                height,
                             FilAimOffset      *offset);
void     fil_aim_view_init  (FilAimView        *view,
                             const FilAimFacts *facts);
void     fil_aim_view_clear (FilAimView        *view);

G_END_DECLS

/* fil-light-drawing.h: where the light path's elements and its cone are drawn
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_DRAWN_SLANT 0.75   /* of wedge and diagonal: to the side for each pixel down */

/**
 * FilDrawnElement:
 *
 * The first of them stands for the sky, and has index −1. All in the
 * drawing's own pixels, from its upper left corner.
 */
typedef struct
{
  int      index;              /* into the rig's elements */
  double   x;                  /* its middle */
  double   slot_x, slot_width; /* what belongs to it: its label, its pointer */
  double   radius;             /* of the cone of light in its plane */
  double   half_height;        /* of its shape */
  gboolean lit;                /* light reaches it */
} FilDrawnElement;

/* From one plane to the next. A tilted plate ends it aslant: the upper rim
 * ends by @slant1 · r1 before x1, the lower one by as much behind. */
typedef struct
{
  double x0, r0, x1, r1;
  double slant0, slant1;
  double strength;             /* 1: nothing has weakened the light yet; above 0 */
  double wavelength_nm;        /* NaN: white */
} FilDrawnBeam;

typedef struct
{
  double  width, height, axis_y;
  GArray *elements;            /* of FilDrawnElement, in the order of the light */
  GArray *beams;               /* of FilDrawnBeam, without gaps, from the left edge */
} FilLightDrawing;

FilLightDrawing *fil_light_drawing_new       (const FilRig          *rig,
                                              double                 width,
                                              double                 height);
void             fil_light_drawing_free      (FilLightDrawing       *drawing);
int              fil_light_drawing_find      (const FilLightDrawing *drawing,
                                              double                 x);
double           fil_light_drawing_radius_at (const FilLightDrawing *drawing,
                                              double                 x);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilLightDrawing, fil_light_drawing_free)

G_END_DECLS

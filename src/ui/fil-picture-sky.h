/* fil-picture-sky.h: directions, grid and limb over the picture: what it takes
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-place.h"
#include "fil-sky-lines.h"

G_BEGIN_DECLS

/* Sits in the picture; main thread only. */
typedef struct
{
  /* What is known */
  gboolean       known;          /* place and Sun were set */
  FilPlace       place;
  FilSun         sun;
  gboolean       limb_seen;
  double         limb[3];        /* its circle, FITS pixels: centre and radius */

  /* What is wanted */
  gboolean       show_compass, compass_solar, show_grid, show_limb, show_pointer;
  gboolean       show_arrow;

  /* What follows from it, for the view of now */
  FilSkyView     view;
  gboolean       usable;         /* the picture's coordinates are known */
  gboolean       lines_for_grid, lines_for_limb, lines_for_fit;
  FilSkyLines   *lines;
  GArray        *texts;          /* of FilSkyText: names of lines, placed */
  FilSkyCentre   centre;
  gboolean       arrow_shown, centre_shown;
  double         arrow_x, arrow_y;   /* its tip, logical pixels */
  GskRenderNode *node;           /* nullable: all of that, drawn */
  gboolean       lines_stale, node_stale;   /* have to be made anew */

  /* The pointer, or the cross that keys move */
  gboolean       pointed;
  double         x, y;           /* logical pixels */
  gboolean       picking;
  FilSkyPoint    cross;          /* picture pixels */
  double         pressed_x, pressed_y;

  GtkWidget     *compass;        /* FilPictureCompass */
  GtkWidget     *note;
  GtkWidget     *pointer;
  GtkWidget     *pointer_sizer;  /* never seen: the widest text */
  GtkWidget     *arrow;
  GtkWidget     *name;           /* never seen: how a line's name looks */
} FilPictureSky;

/* A line's name on its plate, logical pixels. */
typedef struct
{
  graphene_rect_t at;
  char            text[40];
} FilSkyText;

G_END_DECLS

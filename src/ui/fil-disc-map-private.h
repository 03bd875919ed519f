/* fil-disc-map-private.h: what the disc map's files share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-disc-map.h"
#include "fil-sky-lines.h"

G_BEGIN_DECLS

/* One target as it is drawn. */
typedef struct
{
  char          *name, *ago;
  gboolean       current;
  FilTargetPlace then, now;   /* at the sighting, and at the time shown */
} FilDiscMark;

/* What is shown, and how it lies on the widget. */
typedef struct
{
  FilSkyView         view;
  double             left, top;       /* of the square, in the widget */
  double             radius;          /* of the limb */
  const FilSkyLines *lines;
  const GPtrArray   *marks;           /* of FilDiscMark */
  const FilPlace    *place;           /* NULL: none */
  int                width, height;   /* of the camera's picture */
  FilDiscUp          up;
} FilDiscScene;

void fil_disc_map_draw (GtkWidget          *widget,
                        cairo_t            *cr,
                        const FilDiscScene *scene);

G_END_DECLS

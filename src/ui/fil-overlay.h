/* fil-overlay.h: lines and scales that lie over the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* The plates' colours; the picture beneath is never light or dark for sure,
 * so they are the same in every theme. */
#define FIL_OVERLAY_AMBER "#ffb236"
#define FIL_OVERLAY_WHITE "#ffffff"
#define FIL_OVERLAY_EARTH "#cfe3ff"
#define FIL_OVERLAY_DARK  "#0e0e11"

#define FIL_EARTH_DIAMETER_KM 12742.0   /* mean; from memory */

/**
 * FilScaleBar:
 * @length: picture pixels
 * @text: "30″ · 21 800 km"
 */
typedef struct
{
  double length;
  char   text[64];
} FilScaleBar;

gboolean fil_scale_bar_choose          (FilScaleBar           *bar,
                                        double                 arcsec_per_px,
                                        double                 km_per_px,
                                        double                 longest_px);

void     fil_overlay_append_frame      (GtkSnapshot           *snapshot,
                                        const graphene_rect_t *rect,
                                        const char            *colour);
void     fil_overlay_append_handles    (GtkSnapshot           *snapshot,
                                        const graphene_rect_t *rect,
                                        const char            *colour);
void     fil_overlay_append_scale_bar  (GtkSnapshot           *snapshot,
                                        float                  x,
                                        float                  y,
                                        float                  length);
void     fil_overlay_append_circle     (GtkSnapshot           *snapshot,
                                        float                  x,
                                        float                  y,
                                        float                  diameter,
                                        const char            *colour);

G_END_DECLS

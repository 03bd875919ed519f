/* fil-render.h: a frame at the shown size, in shown shades
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"
#include "fil-render-look.h"

G_BEGIN_DECLS

/**
 * FilRegion:
 * @x: left edge, picture pixels from the left of the picture
 * @y: top edge, picture pixels from its top
 *
 * What part of the picture is shown; may reach beyond it.
 */
typedef struct
{
  double x, y;
  double width, height;
} FilRegion;

/* Scratch memory and the table of shades; one a thread. */
typedef struct _FilRenderer FilRenderer;

FilRenderer *fil_renderer_new        (void);
void         fil_renderer_free       (FilRenderer     *renderer);
gboolean     fil_renderer_draw       (FilRenderer     *renderer,
                                      FilFrame        *frame,
                                      const FilRegion *region,
                                      const FilLook   *look,
                                      uint32_t        *pixels,
                                      int              width,
                                      int              height,
                                      gsize            row_pixels,
                                      GError         **error);
gboolean     fil_renderer_stretch    (FilRenderer     *renderer,
                                      FilFrame        *frame,
                                      FilLook         *look,
                                      GError         **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilRenderer, fil_renderer_free)

G_END_DECLS

/* fil-depth.h: the true bit depth, learnt from the pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/**
 * FilDepth:
 * @bits: significant bits a sample
 * @shift: constant-zero bits below them (a 12-bit sensor in the high bits of 16: 4)
 * @full: the count at which a pixel is full, as delivered
 * @learnt: the data showed it (FALSE: @full is the format's nominal ceiling)
 */
typedef struct
{
  int      bits;
  int      shift;
  guint32  full;
  gboolean learnt;
} FilDepth;

typedef struct _FilDepthProbe FilDepthProbe;

FilDepthProbe *fil_depth_probe_new   (const FilPixelFormat *format);
void           fil_depth_probe_free  (FilDepthProbe        *probe);
void           fil_depth_probe_add   (FilDepthProbe        *probe,
                                      const uint16_t       *pixels,
                                      gsize                 n);
FilDepth       fil_depth_probe_get   (const FilDepthProbe  *probe);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilDepthProbe, fil_depth_probe_free)

G_END_DECLS

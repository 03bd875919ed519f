/* fil-v4l2-source.h: a camera of the kernel's video interface
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-v4l2-device.h"

G_BEGIN_DECLS

#define FIL_TYPE_V4L2_SOURCE (fil_v4l2_source_get_type ())
G_DECLARE_FINAL_TYPE (FilV4l2Source, fil_v4l2_source, FIL, V4L2_SOURCE, FilSource)

FilSource *fil_v4l2_source_new (FilV4l2Device *device);

G_END_DECLS

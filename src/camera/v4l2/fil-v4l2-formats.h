/* fil-v4l2-formats.h: formats, sizes and rates that a driver offers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-v4l2-device.h"

G_BEGIN_DECLS

GPtrArray *fil_v4l2_list_formats (const FilV4l2Device *device,
                                  GError             **error);

G_END_DECLS

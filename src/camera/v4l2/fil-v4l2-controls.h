/* fil-v4l2-controls.h: a driver's controls
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-v4l2-device.h"

G_BEGIN_DECLS

GPtrArray  *fil_v4l2_list_controls    (const FilV4l2Device *device);
FilControl *fil_v4l2_dup_control      (const FilV4l2Device *device,
                                       guint32              id);
gboolean    fil_v4l2_set_control      (const FilV4l2Device *device,
                                       guint32              id,
                                       GVariant            *value,
                                       GError             **error);
gboolean    fil_v4l2_get_integer      (const FilV4l2Device *device,
                                       guint32              id,
                                       gint64              *value);
gboolean    fil_v4l2_set_exposure     (const FilV4l2Device *device,
                                       double               exposure_ms,
                                       GError             **error);
double      fil_v4l2_get_exposure     (const FilV4l2Device *device);
double      fil_v4l2_get_gain         (const FilV4l2Device *device);
gboolean    fil_v4l2_subscribe        (const FilV4l2Device *device);
gboolean    fil_v4l2_next_event       (const FilV4l2Device *device,
                                       guint32             *id);

G_END_DECLS

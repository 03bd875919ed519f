/* fil-v4l2-mode.h: format, size, rate and region, agreed with a driver
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-v4l2-device.h"

G_BEGIN_DECLS

/**
 * FilV4l2Mode:
 * @stride: bytes from row to row; 0 for compressed pictures
 * @frame_bytes: what one buffer has to hold
 * @roi: of the sensor, 1:1; width 0: the whole picture, perhaps scaled
 *
 * What the driver will deliver; checked, so that every row lies within
 * @frame_bytes.
 */
typedef struct
{
  const FilPixelFormat *format;
  int                   width, height;
  gsize                 stride;
  gsize                 frame_bytes;
  double                fps;            /* 0: the driver doesn't tell */
  FilRect               roi;
} FilV4l2Mode;

gboolean fil_v4l2_mode_set         (const FilV4l2Device *device,
                                    const FilSourceMode *wanted,
                                    FilV4l2Mode         *mode,
                                    GError             **error);
gboolean fil_v4l2_mode_sensor_size (const FilV4l2Device *device,
                                    int                 *width,
                                    int                 *height);

G_END_DECLS

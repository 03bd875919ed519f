/* fil-orientation-file.h: measured scales and angles, kept for the next time
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-place.h"
#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_ORIENTATION_ERROR (fil_orientation_error_quark ())

typedef enum
{
  FIL_ORIENTATION_ERROR_FILE,   /* it can't be read or written, or is something else */
} FilOrientationError;

GQuark fil_orientation_error_quark (void);

char    *fil_orientation_path   (void);
gboolean fil_orientation_load   (const char      *path,
                                 const FilRig    *rig,
                                 const char      *camera,
                                 FilPlace        *place);
gboolean fil_orientation_save   (const char      *path,
                                 const FilRig    *rig,
                                 const char      *camera,
                                 const FilPlace  *place,
                                 GError         **error);
gboolean fil_orientation_forget (const char      *path,
                                 const FilRig    *rig,
                                 const char      *camera,
                                 GError         **error);

G_END_DECLS

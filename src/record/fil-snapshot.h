/* fil-snapshot.h: one frame kept as a picture file
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"
#include "fil-frame.h"

G_BEGIN_DECLS

#define FIL_SNAPSHOT_ERROR (fil_snapshot_error_quark ())

typedef enum
{
  FIL_SNAPSHOT_ERROR_KIND,     /* neither .png nor .fits */
  FIL_SNAPSHOT_ERROR_EXISTS,   /* there already: never overwritten */
  FIL_SNAPSHOT_ERROR_WRITE,
} FilSnapshotError;

GQuark fil_snapshot_error_quark (void);

gboolean fil_snapshot_save (const char        *path,
                            const FilFrame    *frame,
                            const FilClipInfo *info,
                            GError           **error);

G_END_DECLS

/* fil-rig-writer.h: a rig written into its file, beside the main thread
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

typedef struct _FilRigWriter FilRigWriter;

gboolean      fil_rig_writer_write   (FilRig        *rig,
                                      FilRig        *expected,
                                      const char    *path,
                                      GError       **error);
FilRigWriter *fil_rig_writer_start   (FilRig        *rig,
                                      FilRig        *expected,
                                      const char    *path,
                                      GSourceFunc    done,
                                      gpointer       data);
FilRig       *fil_rig_writer_finish  (FilRigWriter  *self,
                                      GError       **error);

G_END_DECLS

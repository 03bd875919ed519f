/* fil-source-backend.h: what a new kind of source registers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-source.h"

G_BEGIN_DECLS

/**
 * FilSourceBackend:
 * @claims: whether a source name ("/dev/video0", "sim:seed=3", a path) is its own;
 *   asked in the order of src/camera/meson.build, first one wins
 * @live: sunlight reaches the sensor: a pass is asked for
 * @open: opens it; nothing streams yet
 * @list: adds FilSourceListing for each camera present; NULL: nothing to list
 * @dup_identity: one plugging-in of one device, learnt without opening it;
 *   NULL for sources that need no pass
 *
 * A source of its own is one file that defines fil_source_backend_NAME and
 * one line in src/camera/meson.build.
 */
typedef struct
{
  gboolean    (*claims)       (const char *name);
  gboolean    live;
  FilSource  *(*open)         (const char             *name,
                               const FilSourceOptions *options,
                               GError                **error);
  void        (*list)         (GPtrArray              *listings);
  char       *(*dup_identity) (const char             *name,
                               GError                **error);
} FilSourceBackend;

/* For list_formats(). */
GPtrArray       *fil_source_formats_new     (void);
FilSourceFormat *fil_source_formats_add     (GPtrArray       *formats,
                                             guint32          fourcc);
FilSourceSize   *fil_source_format_add_size (FilSourceFormat *format,
                                             int              width,
                                             int              height);

G_END_DECLS

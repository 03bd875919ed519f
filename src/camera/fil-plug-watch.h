/* fil-plug-watch.h: cameras that come and go
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib-object.h>

G_BEGIN_DECLS

#define FIL_TYPE_PLUG_WATCH (fil_plug_watch_get_type ())
G_DECLARE_FINAL_TYPE (FilPlugWatch, fil_plug_watch, FIL, PLUG_WATCH, GObject)

/**
 * FilPlugWatch:
 *
 * For the thread whose main context was the default when it was made; its
 * signals come there:
 *   "added" (const char *path): a camera was plugged in
 *   "removed" (const char *path, const char *identity): one was pulled out;
 *     @identity is what its passes are bound to
 * What is there already when it is made, fil_source_list() tells.
 */
FilPlugWatch *fil_plug_watch_new (void);

G_END_DECLS

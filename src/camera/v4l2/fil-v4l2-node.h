/* fil-v4l2-node.h: video nodes, looked at without opening them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

gboolean fil_v4l2_node_claims       (const char *path);
char    *fil_v4l2_node_dup_identity (const char *path,
                                     GError    **error);
void     fil_v4l2_node_list         (GPtrArray  *listings);

G_END_DECLS

/* fil-rig-edit.h: what edits of values and of elements share
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-rig-private.h"

G_BEGIN_DECLS

const char *fil_rig_edit_line_end    (const FilRig *rig);
gboolean    fil_rig_edit_is_spaced   (const FilRig *rig);
gsize       fil_rig_edit_block_start (const FilRig *rig,
                                      guint         group);

G_END_DECLS

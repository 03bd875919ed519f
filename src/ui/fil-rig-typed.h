/* fil-rig-typed.h: what people type, as a rig file has it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig-keys.h"

G_BEGIN_DECLS

char *fil_rig_typed_value (const FilRigKey *key,
                           const char      *typed);

G_END_DECLS

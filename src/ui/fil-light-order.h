/* fil-light-order.h: where along the light path an element usually stands
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

guint fil_light_order_place (const FilRig   *rig,
                             FilElementKind  kind);

G_END_DECLS

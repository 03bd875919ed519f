/* fil-settings.h: the settings, installed or not
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

GSettings *fil_settings_new (void);

G_END_DECLS

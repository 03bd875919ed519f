/* clip-exercise.h: asks a file of unknown content for everything
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

gboolean exercise_clip (const char *path);

G_END_DECLS

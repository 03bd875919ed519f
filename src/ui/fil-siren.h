/* fil-siren.h: the sound of the alarm
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

typedef struct _FilSiren FilSiren;

FilSiren *fil_siren_new   (GtkWidget *widget);
void      fil_siren_free  (FilSiren  *siren);
void      fil_siren_sound (FilSiren  *siren,
                           gboolean   sounding);

G_END_DECLS

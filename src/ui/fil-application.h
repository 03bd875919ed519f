/* fil-application.h: the program with a window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

#define FIL_TYPE_APPLICATION (fil_application_get_type ())
G_DECLARE_FINAL_TYPE (FilApplication, fil_application, FIL, APPLICATION, AdwApplication)

FilApplication *fil_application_new          (void);
GSettings      *fil_application_get_settings (FilApplication *self);
void            fil_application_set_daylight (FilApplication *self,
                                              gboolean        on);

G_END_DECLS

/* fil-camera-mode.c: what each camera was last set to
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-camera-mode.h"

#define KEY "camera-modes"
#define ENTRY_TYPE "(uuud)"

gboolean
fil_camera_mode_load (GSettings     *settings,
                      const char    *camera,
                      FilSourceMode *mode)
{
  g_autoptr (GVariant) all = g_settings_get_value (settings, KEY);
  guint32 fourcc, width, height;
  double fps;

  if (!g_variant_lookup (all, camera, ENTRY_TYPE, &fourcc, &width, &height, &fps))
    return FALSE;
  if (width > G_MAXINT || height > G_MAXINT || !isfinite (fps) || fps < 0.0)
    return FALSE;

  *mode = (FilSourceMode) {
    .fourcc = fourcc, .width = (int) width, .height = (int) height, .fps = fps
  };

  return TRUE;
}

/* A region is not kept: it belongs to one pointing of the telescope. */
void
fil_camera_mode_save (GSettings           *settings,
                      const char          *camera,
                      const FilSourceMode *mode)
{
  g_autoptr (GVariant) all = g_settings_get_value (settings, KEY);
  GVariantBuilder builder;
  GVariantIter iter;
  const char *name;
  GVariant *entry;

  if (mode->roi.width > 0)
    return;

  g_variant_builder_init (&builder, g_variant_get_type (all));
  g_variant_iter_init (&iter, all);
  while (g_variant_iter_loop (&iter, "{&s@" ENTRY_TYPE "}", &name, &entry))
    if (!g_str_equal (name, camera))
      g_variant_builder_add (&builder, "{s@" ENTRY_TYPE "}", name, entry);
  g_variant_builder_add (&builder, "{s" ENTRY_TYPE "}", camera, mode->fourcc,
                         (guint32) mode->width, (guint32) mode->height, mode->fps);
  g_settings_set_value (settings, KEY, g_variant_builder_end (&builder));
}

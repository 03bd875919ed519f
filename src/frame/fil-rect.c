/* fil-rect.c: a rectangle of whole pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n-lib.h>

#include "fil-frame-error.h"
#include "fil-rect.h"

#define LARGEST 100000

/**
 * fil_rect_parse:
 * @text: "X,Y,W,H", whole numbers, counted from the top left; W and H at least 1
 * @rect: (out): untouched on failure
 *
 * Returns: %TRUE, or %FALSE with %FIL_FRAME_ERROR_RECT
 */
gboolean
fil_rect_parse (const char *text,
                FilRect    *rect,
                GError    **error)
{
  g_auto (GStrv) parts = NULL;
  gint64 values[4];
  guint n;

  g_return_val_if_fail (text != NULL && rect != NULL, FALSE);

  parts = g_strsplit (text, ",", 5);
  n = g_strv_length (parts);
  for (guint i = 0; n == 4 && i < 4; i++)
    if (!g_ascii_string_to_signed (parts[i], 10, i < 2 ? 0 : 1, LARGEST, &values[i], NULL))
      n = 0;

  if (n != 4)
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_RECT,
                   _("“%s” is no rectangle: X,Y,W,H in whole pixels from the top left"),
                   text);
      return FALSE;
    }

  *rect = (FilRect) { (int) values[0], (int) values[1], (int) values[2], (int) values[3] };

  return TRUE;
}

gboolean
fil_rect_is_inside (const FilRect *rect,
                    int            width,
                    int            height)
{
  g_return_val_if_fail (rect != NULL, FALSE);

  return rect->x >= 0 && rect->y >= 0 && rect->width > 0 && rect->height > 0 &&
         rect->width <= width && rect->height <= height &&
         rect->x <= width - rect->width && rect->y <= height - rect->height;
}

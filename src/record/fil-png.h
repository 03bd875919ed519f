/* fil-png.h: counts as a 16-bit grey PNG
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdint.h>

#include <glib.h>

G_BEGIN_DECLS

/* One text chunk; UTF-8. */
typedef struct
{
  const char *keyword;  /* Latin letters and single spaces, at most 79 */
  const char *text;
} FilPngText;

gboolean fil_png_write_grey16 (int               fd,
                               const uint16_t   *pixels,
                               int               width,
                               int               height,
                               int               bits,
                               int               shift,
                               const FilPngText *texts,
                               guint             n_texts,
                               GError          **error);

G_END_DECLS

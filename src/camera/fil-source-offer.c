/* fil-source-offer.c: lists of what a source offers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-source-backend.h"

static void
size_free (gpointer data)
{
  FilSourceSize *size = data;

  g_array_unref (size->fps);
  g_free (size);
}

static void
format_free (gpointer data)
{
  FilSourceFormat *format = data;

  g_ptr_array_unref (format->sizes);
  g_free (format);
}

/* Returns: (transfer full) (element-type FilSourceFormat): an empty list */
GPtrArray *
fil_source_formats_new (void)
{
  return g_ptr_array_new_with_free_func (format_free);
}

/* Returns: a new last format of @formats, which owns it; without sizes yet */
FilSourceFormat *
fil_source_formats_add (GPtrArray *formats,
                        guint32    fourcc)
{
  FilSourceFormat *format = g_new0 (FilSourceFormat, 1);

  format->fourcc = fourcc;
  format->format = fil_pixel_format_from_fourcc (fourcc);
  format->sizes = g_ptr_array_new_with_free_func (size_free);
  g_ptr_array_add (formats, format);

  return format;
}

/* Returns: a new last size of @format, which owns it: just this one, without
 * rates yet */
FilSourceSize *
fil_source_format_add_size (FilSourceFormat *format,
                            int              width,
                            int              height)
{
  FilSourceSize *size = g_new0 (FilSourceSize, 1);

  size->min_width = size->max_width = width;
  size->min_height = size->max_height = height;
  size->fps = g_array_new (FALSE, FALSE, sizeof (double));
  g_ptr_array_add (format->sizes, size);

  return size;
}

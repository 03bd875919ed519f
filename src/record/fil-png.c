/* fil-png.c: counts as a 16-bit grey PNG
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <stdio.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>
#include <png.h>

#include "fil-png.h"
#include "fil-snapshot.h"

/* What went wrong, for after the long jump out of the library. */
typedef struct
{
  char why[160];
} Complaint;

static void G_GNUC_NORETURN
on_error (png_structp     png,
          png_const_charp message)
{
  Complaint *complaint = png_get_error_ptr (png);

  g_strlcpy (complaint->why, message, sizeof complaint->why);
  png_longjmp (png, 1);
}

static void
on_warning (png_structp     png,
            png_const_charp message)
{
  g_debug ("png: %s", message);
}

static void
write_cb (png_structp png,
          png_bytep   data,
          png_size_t  length)
{
  int fd = *(int *) png_get_io_ptr (png);

  while (length > 0)
    {
      ssize_t n = write (fd, data, length);

      if (n < 0 && errno == EINTR)
        continue;
      if (n <= 0)
        png_error (png, g_strerror (errno));
      data += n;
      length -= (png_size_t) n;
    }
}

static void
flush_cb (png_structp png)
{
}

static void
set_header (png_structp       png,
            png_infop         info,
            int               width,
            int               height,
            int               bits,
            const FilPngText *texts,
            guint             n_texts)
{
  g_autofree png_text *chunks = g_new0 (png_text, n_texts);
  png_color_8 significant = { .gray = (png_byte) bits };

  png_set_IHDR (png, info, (png_uint_32) width, (png_uint_32) height, 16,
                PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                PNG_FILTER_TYPE_DEFAULT);
  png_set_sBIT (png, info, &significant);

  for (guint i = 0; i < n_texts; i++)
    chunks[i] = (png_text) {
      .compression = PNG_ITXT_COMPRESSION_NONE,
      .key = (png_charp) texts[i].keyword,
      .text = (png_charp) texts[i].text,
      .lang = (png_charp) "",
      .lang_key = (png_charp) "",
    };
  png_set_text (png, info, chunks, (int) n_texts);
}

static void
write_rows (png_structp     png,
            const uint16_t *pixels,
            int             width,
            int             height,
            int             shift,
            guint8         *row)
{
  for (int y = 0; y < height; y++)
    {
      for (int x = 0; x < width; x++)
        {
          guint count = (guint) pixels[(gsize) y * (gsize) width + (gsize) x] << shift;

          row[2 * x] = (guint8) (count >> 8);
          row[2 * x + 1] = (guint8) count;
        }
      png_write_row (png, row);
    }
}

/**
 * fil_png_write_grey16:
 * @fd: where to; written from its present place
 * @pixels: counts, top row first, no gaps
 * @bits: significant bits, 1 to 16, for the sBIT chunk
 * @shift: each count is written shifted left by so many bits; none may be
 *   pushed out
 *
 * PNG by libpng ("Portable Network Graphics (PNG) Specification", 2nd
 * edition, W3C 2003: IHDR, sBIT, iTXt). Thread-safe.
 */
gboolean
fil_png_write_grey16 (int               fd,
                      const uint16_t   *pixels,
                      int               width,
                      int               height,
                      int               bits,
                      int               shift,
                      const FilPngText *texts,
                      guint             n_texts,
                      GError          **error)
{
  Complaint complaint = { "" };
  g_autofree guint8 *row = g_malloc (2 * (gsize) width);
  png_structp png;
  png_infop info;

  g_return_val_if_fail (pixels != NULL && width > 0 && height > 0, FALSE);
  g_return_val_if_fail (bits > 0 && shift >= 0 && bits + shift <= 16, FALSE);

  png = png_create_write_struct (PNG_LIBPNG_VER_STRING, &complaint, on_error, on_warning);
  info = png != NULL ? png_create_info_struct (png) : NULL;
  if (info == NULL || setjmp (png_jmpbuf (png)) != 0)
    {
      g_set_error (error, FIL_SNAPSHOT_ERROR, FIL_SNAPSHOT_ERROR_WRITE,
                   _("the picture can’t be written: %s"), complaint.why);
      png_destroy_write_struct (&png, &info);
      return FALSE;
    }

  png_set_write_fn (png, &fd, write_cb, flush_cb);
  png_set_compression_level (png, 4);
  set_header (png, info, width, height, bits, texts, n_texts);
  png_write_info (png, info);
  write_rows (png, pixels, width, height, shift, row);
  png_write_end (png, info);
  png_destroy_write_struct (&png, &info);

  return TRUE;
}

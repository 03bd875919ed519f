/* fil-jpeg.c: a camera's compressed picture as grey bytes
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <setjmp.h>
#include <stdio.h>

#include <jpeglib.h>
#include <jerror.h>

#include <glib/gi18n-lib.h>

#include "fil-frame-error.h"
#include "fil-frame-private.h"

/* Cameras' pictures are small; a limit keeps a hostile one from eating memory. */
#define LARGEST_BYTES (256 * 1024 * 1024)

typedef struct
{
  struct jpeg_error_mgr manager;   /* first, libjpeg hands its address back */
  jmp_buf               jump;
  char                  message[JMSG_LENGTH_MAX];
} Trouble;

typedef struct
{
  struct jpeg_decompress_struct info;
  Trouble                       trouble;
  const FilFrame               *frame;
  int                           first_row, n_rows;
  FilJpegRow                    row;
  gpointer                      user_data;
  guint8                       *line;
} Decoder;

static void
give_up (j_common_ptr info)
{
  Trouble *trouble = (Trouble *) info->err;

  info->err->format_message (info, trouble->message);
  longjmp (trouble->jump, 1);
}

/* libjpeg goes on after corrupt data and fills in grey. A measurement can't
 * use that, so warnings end it; bytes between markers, which many cameras
 * send, do no harm. */
static void
judge_warning (j_common_ptr info,
               int          level)
{
  if (level < 0 && info->err->msg_code != JWRN_EXTRANEOUS_DATA &&
      info->err->msg_code != JWRN_JFIF_MAJOR && info->err->msg_code != JWRN_ADOBE_XFORM)
    give_up (info);
}

static void
ignore_message (j_common_ptr info)
{
}

/* Runs between setjmp() and longjmp(): changes nothing but *decoder. */
static gboolean
decode_rows (Decoder *decoder,
             GError **error)
{
  struct jpeg_decompress_struct *info = &decoder->info;
  const FilFrame *frame = decoder->frame;

  jpeg_mem_src (info, frame->data, frame->size);
  jpeg_read_header (info, TRUE);

  if (info->image_width != (JDIMENSION) frame->width ||
      info->image_height != (JDIMENSION) frame->height)
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_DATA,
                   _("the compressed picture has %u × %u pixels instead of %d × %d"),
                   info->image_width, info->image_height, frame->width, frame->height);
      return FALSE;
    }
  /* Each further scan may cost a pass over the whole picture: a few bytes
   * could keep us busy for minutes. */
  if (jpeg_has_multiple_scans (info))
    {
      g_set_error_literal (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_DATA,
                           _("the compressed picture comes in several scans, which no "
                             "camera stream does"));
      return FALSE;
    }

  info->out_color_space = JCS_GRAYSCALE;
  info->dct_method = JDCT_ISLOW;
  jpeg_start_decompress (info);
  while (info->output_scanline < (JDIMENSION) (decoder->first_row + decoder->n_rows))
    {
      int row = (int) info->output_scanline;
      JSAMPROW lines[1] = { decoder->line };

      jpeg_read_scanlines (info, lines, 1);
      if (row >= decoder->first_row)
        decoder->row (row, decoder->line, decoder->user_data);
    }

  return TRUE;
}

/* Kept apart so that no variable of the caller lives across the jump. */
static gboolean
decode (Decoder *decoder,
        GError **error)
{
  if (setjmp (decoder->trouble.jump) != 0)
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_DATA,
                   _("the compressed picture can’t be read: %s"), decoder->trouble.message);
      return FALSE;
    }

  jpeg_create_decompress (&decoder->info);

  return decode_rows (decoder, error);
}

/**
 * fil_jpeg_decode:
 * @frame: a frame of packing %FIL_PACKING_JPEG
 * @first_row: first row wanted, in the order of the data
 * @n_rows: at least 1
 * @row: gets each wanted row once, as grey bytes, in order
 *
 * Baseline pictures of one scan, with or without Huffman tables; the size in
 * the data must be the frame's. Damaged data fail rather than turn grey.
 * Thread-safe.
 *
 * Returns: %TRUE, or %FALSE with %FIL_FRAME_ERROR_DATA
 */
gboolean
fil_jpeg_decode (const FilFrame *frame,
                 int             first_row,
                 int             n_rows,
                 FilJpegRow      row,
                 gpointer        user_data,
                 GError        **error)
{
  g_autofree guint8 *line = NULL;
  g_autofree Decoder *decoder = NULL;
  gboolean done;

  if (frame->size < 4 || frame->size > LARGEST_BYTES)
    {
      g_set_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_DATA,
                   _("a compressed picture of %zu bytes can’t be read"),
                   frame->size);
      return FALSE;
    }

  line = g_malloc0 ((gsize) frame->width);
  decoder = g_new0 (Decoder, 1);
  decoder->frame = frame;
  decoder->first_row = first_row;
  decoder->n_rows = n_rows;
  decoder->row = row;
  decoder->user_data = user_data;
  decoder->line = line;
  decoder->info.err = jpeg_std_error (&decoder->trouble.manager);
  decoder->trouble.manager.error_exit = give_up;
  decoder->trouble.manager.emit_message = judge_warning;
  decoder->trouble.manager.output_message = ignore_message;

  done = decode (decoder, error);
  jpeg_destroy_decompress (&decoder->info);

  return done;
}

/* fil-clip-private.h: a clip that is being read, from inside
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <fitsio.h>

#include "fil-clip.h"
#include "fil-fits-hdu.h"
#include "fil-fits-table.h"
#include "fil-journal.h"

G_BEGIN_DECLS

struct _FilClip
{
  char        *path;
  int          fd;
  guint64      file_size;

  FilFitsHdu  *primary;
  FilFitsHdu  *picture;          /* may be the primary */
  int          picture_number;   /* as cfitsio counts: the primary is 1 */
  FilFitsHdu  *frames_table;     /* NULL: none */
  FilFitsHdu  *light_path_table;

  gboolean     ours;             /* has our CLIPDONE card */
  gboolean     complete;
  FilJournal  *journal;          /* of an interrupted clip */

  gboolean     compressed;       /* tiles in a binary table */
  int          bitpix;
  int          width, height;
  guint64      n_frames;
  guint64      frame_bytes;      /* uncompressed */
  double       bscale, bzero;
  gboolean     has_blank;
  gint64       blank;
  int          n_axes;           /* of the picture, degenerate ones too */
  int          frame_axis;       /* which of them counts frames, from 0; −1: none does */

  FilFitsTable *tiles;           /* of a compressed picture */
  guint64      tile_pixels;      /* of a whole one */
  guint64      axis[8];          /* of the picture, and of its tiles */
  guint64      tile[8];
  int          rice_block;       /* pixels coded with one parameter; bytes a pixel */
  int          rice_bytes;
  guint64      tiles_a_frame;
  guint64      frames_a_tile;
  guint64      heap_start;       /* byte in the file */
  fitsfile    *fits;             /* opened when first needed */
  FilClipRow  *rows;
  gboolean     rows_read;
  gboolean     have_times;
  GHashTable  *values;           /* keyword → value, handed out by get_card */
};

gboolean  fil_clip_choose_picture (FilClip    *clip,
                                   FilFitsHdu *hdu,
                                   GError    **error);
fitsfile *fil_clip_get_fits       (FilClip    *clip,
                                   GError    **error);
gboolean  fil_clip_check_tiles    (FilClip    *clip,
                                   GError    **error);
gboolean  fil_clip_check_unpacked (FilClip    *clip,
                                   guint64     frame,
                                   GError    **error);
gboolean  fil_clip_fits_error     (int         status,
                                   GError    **error);
gboolean  fil_clip_stored_as_u8   (const FilClip *clip);
gboolean  fil_clip_stored_as_u16  (const FilClip *clip);

G_END_DECLS

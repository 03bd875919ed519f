/* fil-fits-hdu.h: where the parts of a FITS file lie
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-cards.h"

G_BEGIN_DECLS

/**
 * FilFitsHdu:
 * @data_bytes: without the filling up to a whole block
 * @end: where the next unit begins, filling included; may lie beyond the file
 *
 * One header and data unit; byte offsets from the file's beginning.
 */
typedef struct
{
  FilCards *cards;
  guint64   start;
  guint64   data_start;
  guint64   data_bytes;
  guint64   end;
  gint64    bitpix;
  int       naxis;
  guint64   axes[999];
} FilFitsHdu;

FilFitsHdu *fil_fits_hdu_read   (int               fd,
                                 guint64           start,
                                 guint64           file_size,
                                 GError          **error);
gboolean    fil_fits_hdu_follows (int              fd,
                                 guint64           start,
                                 guint64           file_size);
void        fil_fits_hdu_free   (FilFitsHdu       *hdu);
gboolean    fil_fits_hdu_is     (const FilFitsHdu *hdu,
                                 const char       *xtension,
                                 const char       *extname);
gboolean    fil_fits_read_at    (int               fd,
                                 guint64           offset,
                                 gpointer          buffer,
                                 gsize             length,
                                 GError          **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilFitsHdu, fil_fits_hdu_free)

G_END_DECLS

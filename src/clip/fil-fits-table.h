/* fil-fits-table.h: a binary table, read straight from the file
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-fits-hdu.h"

G_BEGIN_DECLS

/**
 * FilFitsColumn:
 * @type: the letter of TFORM
 * @repeat: elements in a cell; of text, its width
 * @offset: bytes from the row's beginning
 */
typedef struct
{
  char    *name;
  char    *unit;       /* "" where there is none */
  char     type;
  guint64  repeat;
  guint64  offset;
  double   scale, zero;
  gboolean has_null;
  gint64   null;
} FilFitsColumn;

typedef struct
{
  int        fd;
  guint64    data_start;
  guint64    row_bytes;
  guint64    n_rows;
  GPtrArray *columns;   /* of FilFitsColumn */
} FilFitsTable;

FilFitsTable *fil_fits_table_new          (int                  fd,
                                           const FilFitsHdu    *hdu);
void          fil_fits_table_free         (FilFitsTable        *table);
int           fil_fits_table_find         (const FilFitsTable  *table,
                                           const char          *name);
gboolean      fil_fits_table_is_number    (const FilFitsTable  *table,
                                           int                  column);
gboolean      fil_fits_table_read_double  (const FilFitsTable  *table,
                                           int                  column,
                                           guint64              first,
                                           double              *values,
                                           guint64              n);
gboolean      fil_fits_table_read_int     (const FilFitsTable  *table,
                                           int                  column,
                                           guint64              first,
                                           gint64              *values,
                                           guint64              n);
char         *fil_fits_table_dup_text     (const FilFitsTable  *table,
                                           int                  column,
                                           guint64              row);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilFitsTable, fil_fits_table_free)

G_END_DECLS

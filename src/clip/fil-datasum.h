/* fil-datasum.h: the checksum of the FITS Standard, piece by piece
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_DATASUM_CODE_LENGTH 16

/**
 * FilDatasum:
 *
 * A running 32-bit ones' complement sum. Zeroed, it is the sum of nothing.
 * How the bytes were cut into pieces makes no difference.
 */
typedef struct
{
  guint64 sum;     /* folded to below 2³² + a carry after each piece */
  guint64 bytes;   /* so far: the place of the next byte in its 32-bit word */
} FilDatasum;

void    fil_datasum_add    (FilDatasum       *datasum,
                            const guint8     *data,
                            gsize             length);
guint32 fil_datasum_get    (const FilDatasum *datasum);
guint32 fil_datasum_join   (guint32           a,
                            guint32           b);
void    fil_datasum_encode (guint32           sum,
                            char              code[FIL_DATASUM_CODE_LENGTH + 1]);

G_END_DECLS

/* fil-block-ring.h: frames on their way to the disk
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"

G_BEGIN_DECLS

/**
 * FilBlockRing:
 *
 * A bounded ring of equal blocks with a row of the FRAMES table beside each.
 * Three threads follow one another around it: the first fills a block, the
 * second measures it, the third writes it and gives it back. Each call names
 * the thread it is for.
 */
typedef struct _FilBlockRing FilBlockRing;

FilBlockRing *fil_block_ring_new       (gsize          block_bytes,
                                        guint          n_blocks,
                                        GError       **error);
void          fil_block_ring_free      (FilBlockRing  *ring);
void          fil_block_ring_touch     (FilBlockRing  *ring);
void          fil_block_ring_shrink    (FilBlockRing  *ring,
                                        gsize          block_bytes);
guint8       *fil_block_ring_reserve   (FilBlockRing  *ring,
                                        gboolean       wait);
void          fil_block_ring_commit    (FilBlockRing  *ring,
                                        const FilClipRow *row);
guint8       *fil_block_ring_next      (FilBlockRing  *ring,
                                        FilClipRow   **row);
void          fil_block_ring_measured  (FilBlockRing  *ring);
guint         fil_block_ring_collect   (FilBlockRing  *ring,
                                        guint          max_blocks,
                                        guint          timeout_ms,
                                        const guint8 **blocks,
                                        const FilClipRow **rows);
void          fil_block_ring_release   (FilBlockRing  *ring,
                                        guint          n_blocks);
void          fil_block_ring_end       (FilBlockRing  *ring);
void          fil_block_ring_break     (FilBlockRing  *ring);
gboolean      fil_block_ring_is_drained (FilBlockRing *ring);
gboolean      fil_block_ring_is_ended  (FilBlockRing  *ring);
double        fil_block_ring_get_fill  (FilBlockRing  *ring);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilBlockRing, fil_block_ring_free)

G_END_DECLS

/* fil-journal.h: a growing clip's rows, kept beside it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"

G_BEGIN_DECLS

#define FIL_JOURNAL_SUFFIX ".rows"
#define FIL_CLIP_NEW_SUFFIX ".new"     /* of a clip that is to replace another one */
#define FIL_CLIP_ROW_BYTES 60          /* a row of the FRAMES table, as FITS has it */
#define FIL_JOURNAL_RECORD_BYTES 88

/* One frame's row, and what stood in the clip's books when it was written. */
typedef struct
{
  FilClipRow row;
  guint64    lost;
  guint64    source_gaps;
  FilDepth   depth;
} FilJournalRecord;

/* What a journal begins with: all that completes a clip besides its frames. */
typedef enum
{
  FIL_JOURNAL_HEADER,         /* the clip's first header */
  FIL_JOURNAL_FRAMES_HEADER,  /* of the FRAMES table, without rows yet */
  FIL_JOURNAL_LIGHT_PATH,     /* the LIGHTPATH unit; empty where there is no rig */
  FIL_JOURNAL_N_PARTS,
} FilJournalPart;

/**
 * FilJournal:
 * @parts: see FilJournalPart; each of whole blocks
 * @n_records: records in a row whose checksums hold; a torn one ends them
 */
typedef struct
{
  int     fd;
  guint64 first_record;
  guint64 n_records;
  GBytes *parts[FIL_JOURNAL_N_PARTS];
} FilJournal;

GBytes     *fil_journal_head          (GBytes *const           parts[FIL_JOURNAL_N_PARTS]);
void        fil_journal_encode        (const FilJournalRecord *record,
                                       guint64                 index,
                                       guint8                  bytes[FIL_JOURNAL_RECORD_BYTES]);
FilJournal *fil_journal_open          (const char             *clip_path,
                                       GError                **error);
void        fil_journal_close         (FilJournal             *journal);
gboolean    fil_journal_read          (FilJournal             *journal,
                                       guint64                 first,
                                       FilJournalRecord       *records,
                                       guint                   n,
                                       GError                **error);

void        fil_clip_row_encode       (const FilClipRow       *row,
                                       guint8                  bytes[FIL_CLIP_ROW_BYTES]);
void        fil_clip_row_decode       (const guint8            bytes[FIL_CLIP_ROW_BYTES],
                                       FilClipRow             *row);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilJournal, fil_journal_close)

G_END_DECLS

/* fil-journal.c: a growing clip's rows, kept beside it
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Layout: 16 bytes of magic; the lengths of three parts and a checksum over
 * all of them (32 bits each, big endian); the parts; then records of 88 bytes,
 * each ended by its own checksum, into which its index is mixed. With it, a
 * clip whose writer died can be completed from nothing but the frames. */

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-cards.h"
#include "fil-clip.h"
#include "fil-fits-hdu.h"
#include "fil-journal.h"

#define MAGIC "FILIGREE ROWS 1\n"
#define MAGIC_LENGTH 16
#define LENGTHS_LENGTH (4 * FIL_JOURNAL_N_PARTS)
#define HEAD_LENGTH (MAGIC_LENGTH + LENGTHS_LENGTH + 4)
#define MAX_PART_LENGTH (4u << 20)
#define RECORDS_AT_ONCE 512

/* CRC-32 of IEEE 802.3, four bits at a time. */
static guint32
crc32 (guint32       crc,
       const guint8 *data,
       gsize         length)
{
  static const guint32 table[16] = {
    0x00000000, 0x1db71064, 0x3b6e20c8, 0x26d930ac, 0x76dc4190, 0x6b6b51f4, 0x4db26158, 0x5005713c,
    0xedb88320, 0xf00f9344, 0xd6d6a3e8, 0xcb61b38c, 0x9b64c2b0, 0x86d3d2d4, 0xa00ae278, 0xbdbdf21c,
  };

  crc = ~crc;
  for (gsize i = 0; i < length; i++)
    {
      crc = table[(crc ^ data[i]) & 15] ^ (crc >> 4);
      crc = table[(crc ^ (data[i] >> 4)) & 15] ^ (crc >> 4);
    }

  return ~crc;
}

static void
put_32 (guint8 *at,
        guint32 value)
{
  value = GUINT32_TO_BE (value);
  memcpy (at, &value, sizeof value);
}

static guint32
get_32 (const guint8 *at)
{
  guint32 value;

  memcpy (&value, at, sizeof value);

  return GUINT32_FROM_BE (value);
}

static void
put_64 (guint8 *at,
        guint64 value)
{
  value = GUINT64_TO_BE (value);
  memcpy (at, &value, sizeof value);
}

static guint64
get_64 (const guint8 *at)
{
  guint64 value;

  memcpy (&value, at, sizeof value);

  return GUINT64_FROM_BE (value);
}

static void
put_double (guint8 *at,
            double  value)
{
  guint64 bits;

  memcpy (&bits, &value, sizeof bits);
  put_64 (at, bits);
}

static double
get_double (const guint8 *at)
{
  guint64 bits = get_64 (at);
  double value;

  memcpy (&value, &bits, sizeof value);

  return value;
}

/* The columns of FRAMES, in its order: see fil-clip-tables.c. */
void
fil_clip_row_encode (const FilClipRow *row,
                     guint8            bytes[FIL_CLIP_ROW_BYTES])
{
  put_double (bytes, row->time_s);
  put_64 (bytes + 8, (guint64) row->sequence);
  put_double (bytes + 16, row->mean);
  put_double (bytes + 24, row->full_fraction);
  put_double (bytes + 32, row->sharpness);
  put_double (bytes + 40, row->exposure_s);
  put_double (bytes + 48, row->gain);
  put_32 (bytes + 56, (guint32) row->marks);
}

void
fil_clip_row_decode (const guint8 bytes[FIL_CLIP_ROW_BYTES],
                     FilClipRow  *row)
{
  row->time_s = get_double (bytes);
  row->sequence = (gint64) get_64 (bytes + 8);
  row->mean = get_double (bytes + 16);
  row->full_fraction = get_double (bytes + 24);
  row->sharpness = get_double (bytes + 32);
  row->exposure_s = get_double (bytes + 40);
  row->gain = get_double (bytes + 48);
  row->marks = (gint32) get_32 (bytes + 56);
}

static guint32
record_crc (const guint8 *bytes,
            guint64       index)
{
  guint8 salt[8];

  put_64 (salt, index);

  return crc32 (crc32 (0, salt, sizeof salt), bytes, FIL_JOURNAL_RECORD_BYTES - 4);
}

/* @index: the frame's, from 0 */
void
fil_journal_encode (const FilJournalRecord *record,
                    guint64                 index,
                    guint8                  bytes[FIL_JOURNAL_RECORD_BYTES])
{
  fil_clip_row_encode (&record->row, bytes);
  put_64 (bytes + 60, record->lost);
  put_64 (bytes + 68, record->source_gaps);
  put_32 (bytes + 76, record->depth.full);
  bytes[80] = (guint8) record->depth.bits;
  bytes[81] = (guint8) record->depth.shift;
  bytes[82] = record->depth.learnt != FALSE;
  bytes[83] = 0;
  put_32 (bytes + 84, record_crc (bytes, index));
}

static gboolean
decode (const guint8     *bytes,
        guint64           index,
        FilJournalRecord *record)
{
  if (get_32 (bytes + 84) != record_crc (bytes, index))
    return FALSE;

  fil_clip_row_decode (bytes, &record->row);
  record->lost = get_64 (bytes + 60);
  record->source_gaps = get_64 (bytes + 68);
  record->depth.full = get_32 (bytes + 76);
  record->depth.bits = bytes[80];
  record->depth.shift = bytes[81];
  record->depth.learnt = bytes[82] != 0;

  return TRUE;
}

/* Returns: (transfer full): what a journal begins with */
GBytes *
fil_journal_head (GBytes *const parts[FIL_JOURNAL_N_PARTS])
{
  GByteArray *bytes = g_byte_array_new ();
  guint8 head[HEAD_LENGTH];
  guint32 crc;

  memcpy (head, MAGIC, MAGIC_LENGTH);
  for (int i = 0; i < FIL_JOURNAL_N_PARTS; i++)
    put_32 (head + MAGIC_LENGTH + 4 * i, (guint32) g_bytes_get_size (parts[i]));
  g_byte_array_append (bytes, head, sizeof head);
  for (int i = 0; i < FIL_JOURNAL_N_PARTS; i++)
    {
      gsize length;
      const guint8 *data = g_bytes_get_data (parts[i], &length);

      if (length > 0)
        g_byte_array_append (bytes, data, (guint) length);
    }

  crc = crc32 (crc32 (0, head + MAGIC_LENGTH, LENGTHS_LENGTH),
               bytes->data + HEAD_LENGTH, bytes->len - HEAD_LENGTH);
  put_32 (bytes->data + MAGIC_LENGTH + LENGTHS_LENGTH, crc);

  return g_byte_array_free_to_bytes (bytes);
}

static gboolean
fail_damaged (GError **error)
{
  g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                       _("the journal of rows is damaged"));

  return FALSE;
}

/* Returns: the parts' common length, 0 where the lengths make no sense */
static gsize
take_lengths (const guint8 *head,
              guint64       room,
              guint32       lengths[FIL_JOURNAL_N_PARTS])
{
  gsize total = 0;

  for (int i = 0; i < FIL_JOURNAL_N_PARTS; i++)
    {
      lengths[i] = get_32 (head + MAGIC_LENGTH + 4 * i);
      if (lengths[i] > MAX_PART_LENGTH || lengths[i] % FIL_FITS_BLOCK != 0)
        return 0;
      total += lengths[i];
    }

  return lengths[FIL_JOURNAL_HEADER] > 0 && total <= room ? total : 0;
}

static gboolean
read_head (FilJournal *journal,
           guint64     size,
           GError    **error)
{
  guint8 head[HEAD_LENGTH];
  guint32 lengths[FIL_JOURNAL_N_PARTS];
  g_autofree guint8 *parts = NULL;
  const guint8 *part;
  gsize total;

  if (size < HEAD_LENGTH)
    return fail_damaged (error);
  if (!fil_fits_read_at (journal->fd, 0, head, sizeof head, error))
    return FALSE;
  total = take_lengths (head, size - HEAD_LENGTH, lengths);
  if (memcmp (head, MAGIC, MAGIC_LENGTH) != 0 || total == 0)
    return fail_damaged (error);

  parts = g_malloc (total);
  if (!fil_fits_read_at (journal->fd, HEAD_LENGTH, parts, total, error))
    return FALSE;
  if (get_32 (head + MAGIC_LENGTH + LENGTHS_LENGTH) !=
      crc32 (crc32 (0, head + MAGIC_LENGTH, LENGTHS_LENGTH), parts, total))
    return fail_damaged (error);

  part = parts;
  for (int i = 0; i < FIL_JOURNAL_N_PARTS; i++)
    {
      journal->parts[i] = g_bytes_new (part, lengths[i]);
      part += lengths[i];
    }
  journal->first_record = HEAD_LENGTH + total;

  return TRUE;
}

/* Reads on until a record is torn; @records: NULL only counts. */
static gboolean
read_records (FilJournal       *journal,
              guint64           first,
              FilJournalRecord *records,
              guint64           n,
              guint64          *n_good,
              GError          **error)
{
  g_autofree guint8 *bytes = g_malloc (RECORDS_AT_ONCE * FIL_JOURNAL_RECORD_BYTES);

  *n_good = 0;
  while (*n_good < n)
    {
      const guint64 at = first + *n_good;
      const gsize step = (gsize) MIN (n - *n_good, RECORDS_AT_ONCE);
      FilJournalRecord record;

      if (!fil_fits_read_at (journal->fd, journal->first_record + at * FIL_JOURNAL_RECORD_BYTES,
                             bytes, step * FIL_JOURNAL_RECORD_BYTES, error))
        return FALSE;
      for (gsize i = 0; i < step; i++)
        {
          if (!decode (bytes + i * FIL_JOURNAL_RECORD_BYTES, at + i, &record))
            return TRUE;
          if (records != NULL)
            records[*n_good] = record;
          (*n_good)++;
        }
    }

  return TRUE;
}

/**
 * fil_journal_open:
 * @clip_path: the clip beside which it lies
 *
 * Returns: (transfer full): the journal, with its good records counted;
 *   %NULL with %FIL_CLIP_ERROR_OPEN where there is none
 */
FilJournal *
fil_journal_open (const char *clip_path,
                  GError    **error)
{
  g_autofree char *path = g_strconcat (clip_path, FIL_JOURNAL_SUFFIX, NULL);
  g_autoptr (FilJournal) journal = g_new0 (FilJournal, 1);
  struct stat status;

  journal->fd = open (path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (journal->fd < 0 || fstat (journal->fd, &status) != 0 || !S_ISREG (status.st_mode))
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN,
                           _("there is no journal of rows"));
      return NULL;
    }

  if (!read_head (journal, (guint64) status.st_size, error) ||
      !read_records (journal, 0, NULL,
                     ((guint64) status.st_size - journal->first_record) /
                       FIL_JOURNAL_RECORD_BYTES,
                     &journal->n_records, error))
    return NULL;

  return g_steal_pointer (&journal);
}

void
fil_journal_close (FilJournal *journal)
{
  if (journal == NULL)
    return;

  if (journal->fd >= 0)
    close (journal->fd);
  for (int i = 0; i < FIL_JOURNAL_N_PARTS; i++)
    g_clear_pointer (&journal->parts[i], g_bytes_unref);
  g_free (journal);
}

/* Reads @n records from index @first on; all of them must be good. */
gboolean
fil_journal_read (FilJournal       *journal,
                  guint64           first,
                  FilJournalRecord *records,
                  guint             n,
                  GError          **error)
{
  guint64 n_good;

  if (!read_records (journal, first, records, n, &n_good, error))
    return FALSE;

  return n_good == n || fail_damaged (error);
}

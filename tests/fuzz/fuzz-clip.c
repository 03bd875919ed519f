/* fuzz-clip.c: the reader of clips and of any FITS file, fed with anything
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Input that begins like a journal is laid beside a growing clip, which is
 * then read and mended; any other is read as a file of its own. */

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <glib.h>
#include <glib/gstdio.h>

#include "clip-exercise.h"
#include "clip-maker.h"
#include "fil-clip-mend.h"

int LLVMFuzzerTestOneInput (const guint8 *data,
                            gsize         size);

/* Read by the leak checker. */
const char *__lsan_default_suppressions (void);

static char folder[64];
static char path[96];
static char journal[96];
static GString *growing;

/* cfitsio 4.2 forgets one tile's buffer when the tile can't be decoded. */
const char *
__lsan_default_suppressions (void)
{
  return "leak:imcomp_decompress_tile\n";
}

static void
save (const char   *file,
      gconstpointer data,
      gsize         size)
{
  int fd = g_open (file, O_WRONLY | O_CREAT | O_TRUNC, 0600);

  g_assert_cmpint (write (fd, data, size), ==, (gssize) size);
  close (fd);
}

static void
clean_up (void)
{
  g_unlink (path);
  g_unlink (journal);
  g_rmdir (folder);
}

static void
set_up (void)
{
  FilClipInfo info = maker_info (16, 12, 12);
  FilClipWriter *writer;
  char *contents;
  gsize length;

  /* In memory where there is such a place. */
  g_snprintf (folder, sizeof folder, "%s/fil-fuzz-XXXXXX",
              g_access ("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
  g_assert_nonnull (g_mkdtemp (folder));
  g_snprintf (path, sizeof path, "%s/clip.fits", folder);
  g_snprintf (journal, sizeof journal, "%s.rows", path);
  atexit (clean_up);

  writer = fil_clip_writer_new (path, &info, MAKER_BEGIN_NS, FALSE, NULL);
  maker_append (writer, &info, 6);
  g_assert_true (fil_clip_writer_flush (writer, NULL));
  g_assert_true (g_file_get_contents (path, &contents, &length, NULL));
  growing = g_string_new_len (contents, (gssize) length);
  g_free (contents);
  fil_clip_writer_discard (writer);
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  guint64 n_frames;

  if (growing == NULL)
    set_up ();

  if (size >= 13 && memcmp (data, "FILIGREE ROWS", 13) == 0)
    {
      save (path, growing->str, growing->len);
      save (journal, data, size);
      exercise_clip (path);
      fil_clip_mend (path, &n_frames, NULL, NULL);
    }
  else
    save (path, data, size);

  exercise_clip (path);
  g_unlink (journal);

  return 0;
}

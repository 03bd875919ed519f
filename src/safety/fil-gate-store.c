/* fil-gate-store.c: what is written down of a pass, and where
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One file a device, in a folder of the user's runtime directory that only
 * this user can enter. Every step works on descriptors that were checked, so
 * that nothing can be swapped in between.
 */

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "fil-gate-store.h"

#define GROUP     "pass"
#define MAX_BYTES 4096

void
fil_gate_record_free (FilGateRecord *record)
{
  if (record == NULL)
    return;

  g_free (record->device);
  g_free (record->rig_digest);
  g_free (record->boot);
  g_free (record->confirmed);
  g_free (record);
}

static void
set_store_error (GError    **error,
                 const char *what,
                 const char *why)
{
  g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_STORE,
               _("the gate is closed: the pass can’t be kept in %s: %s"), what, why);
}

static void
set_closed_error (GError    **error,
                  const char *why)
{
  g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED, _("the gate is closed: %s"), why);
}

static char *
dup_folder (void)
{
  return g_build_filename (g_get_user_runtime_dir (), "filigree", NULL);
}

static char *
dup_file_name (const char *device)
{
  g_autofree char *hash = g_compute_checksum_for_string (G_CHECKSUM_SHA256, device, -1);

  return g_strdup_printf ("pass-%.32s", hash);
}

/* Opens the folder, which must be the user's own and closed to all others.
 * Returns: a descriptor, or −1 with @error set */
static int
open_folder (gboolean create,
             GError **error)
{
  g_autofree char *path = dup_folder ();
  struct stat status;
  int fd;

  if (create && g_mkdir_with_parents (path, 0700) != 0)
    {
      set_store_error (error, path, g_strerror (errno));
      return -1;
    }

  fd = open (path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
  if (fd < 0 || fstat (fd, &status) != 0)
    {
      if (errno == ENOENT && !create)
        set_closed_error (error, _("nothing was confirmed yet"));
      else
        set_store_error (error, path, g_strerror (errno));
      if (fd >= 0)
        close (fd);
      return -1;
    }
  if (status.st_uid != getuid () || (status.st_mode & 077) != 0)
    {
      set_store_error (error, path,
                       _("the folder must belong to you, and nobody else may enter it "
                         "(chmod 700)"));
      close (fd);
      return -1;
    }

  return fd;
}

static char *
record_to_text (const FilGateRecord *record)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();

  g_key_file_set_string (file, GROUP, "device", record->device);
  g_key_file_set_string (file, GROUP, "rig", record->rig_digest);
  g_key_file_set_string (file, GROUP, "boot", record->boot);
  g_key_file_set_string (file, GROUP, "confirmed", record->confirmed);
  g_key_file_set_int64 (file, GROUP, "user", record->user);
  g_key_file_set_int64 (file, GROUP, "made_boottime_ns", record->made_boottime_ns);
  g_key_file_set_int64 (file, GROUP, "deadline_boottime_ns", record->deadline_boottime_ns);
  g_key_file_set_int64 (file, GROUP, "confirmed_utc_ns", record->confirmed_utc_ns);

  return g_key_file_to_data (file, NULL, NULL);
}

static gboolean
write_whole (int         fd,
             const char *text)
{
  gsize length = strlen (text);
  gsize done = 0;

  while (done < length)
    {
      gssize n = write (fd, text + done, length - done);

      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        return FALSE;
      done += (gsize) n;
    }

  return fsync (fd) == 0;
}

/* Writes beside, then renames: a reader finds the old record or the new one. */
static gboolean
replace_file (int         folder,
              const char *name,
              const char *text)
{
  g_autofree char *fresh = g_strdup_printf ("%s.%d.new", name, (int) getpid ());
  gboolean written;
  int fd;

  unlinkat (folder, fresh, 0);
  fd = openat (folder, fresh, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
  if (fd < 0)
    return FALSE;

  written = fchmod (fd, 0600) == 0 && write_whole (fd, text);
  written = close (fd) == 0 && written;
  if (written && renameat (folder, fresh, folder, name) == 0)
    return TRUE;

  unlinkat (folder, fresh, 0);

  return FALSE;
}

/* Leaves a record for later processes of this user. */
gboolean
fil_gate_record_write (const FilGateRecord *record,
                       GError             **error)
{
  g_autofree char *text = record_to_text (record);
  g_autofree char *name = dup_file_name (record->device);
  g_autofree char *path = dup_folder ();
  int folder = open_folder (TRUE, error);
  gboolean written;

  if (folder < 0)
    return FALSE;

  written = replace_file (folder, name, text);
  if (!written)
    set_store_error (error, path, g_strerror (errno));
  close (folder);

  return written;
}

/* Returns: (transfer full) (nullable): the text of a file that only this user
 *   can have written */
static char *
read_own_file (int          folder,
               const char  *name,
               GError     **error)
{
  char text[MAX_BYTES + 1];
  struct stat status;
  gssize n;
  int fd = openat (folder, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);

  if (fd < 0)
    {
      set_closed_error (error, errno == ENOENT ? _("nothing was confirmed for this camera yet")
                                               : g_strerror (errno));
      return NULL;
    }

  if (fstat (fd, &status) != 0 || !S_ISREG (status.st_mode) || status.st_uid != getuid () ||
      (status.st_mode & 07777) != 0600 || status.st_nlink != 1 || status.st_size > MAX_BYTES)
    {
      set_closed_error (error, _("the pass that was left is not this user’s own private file"));
      close (fd);
      return NULL;
    }

  do
    n = read (fd, text, MAX_BYTES);
  while (n < 0 && errno == EINTR);
  close (fd);
  if (n < 0)
    {
      set_closed_error (error, g_strerror (errno));
      return NULL;
    }
  text[n] = '\0';

  return g_strdup (text);
}

static gboolean
get_number (GKeyFile   *file,
            const char *key,
            gint64     *value)
{
  g_autofree char *text = g_key_file_get_value (file, GROUP, key, NULL);

  return text != NULL && g_ascii_string_to_signed (text, 10, G_MININT64, G_MAXINT64, value, NULL);
}

static FilGateRecord *
record_from_text (const char *text)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autoptr (FilGateRecord) record = g_new0 (FilGateRecord, 1);

  if (!g_key_file_load_from_data (file, text, (gsize) -1, G_KEY_FILE_NONE, NULL))
    return NULL;

  record->device = g_key_file_get_string (file, GROUP, "device", NULL);
  record->rig_digest = g_key_file_get_string (file, GROUP, "rig", NULL);
  record->boot = g_key_file_get_string (file, GROUP, "boot", NULL);
  record->confirmed = g_key_file_get_string (file, GROUP, "confirmed", NULL);
  if (record->device == NULL || record->rig_digest == NULL || record->boot == NULL ||
      record->confirmed == NULL || !get_number (file, "user", &record->user) ||
      !get_number (file, "made_boottime_ns", &record->made_boottime_ns) ||
      !get_number (file, "deadline_boottime_ns", &record->deadline_boottime_ns) ||
      !get_number (file, "confirmed_utc_ns", &record->confirmed_utc_ns))
    return NULL;

  return g_steal_pointer (&record);
}

/**
 * fil_gate_record_read:
 *
 * Reads what was left for @device. The file's owner, kind and permissions
 * are checked; what it says is not.
 *
 * Returns: (transfer full): the record, or %NULL with @error set
 */
FilGateRecord *
fil_gate_record_read (const char *device,
                      GError    **error)
{
  g_autofree char *name = dup_file_name (device);
  g_autofree char *text = NULL;
  FilGateRecord *record;
  int folder = open_folder (FALSE, error);

  if (folder < 0)
    return NULL;

  text = read_own_file (folder, name, error);
  close (folder);
  if (text == NULL)
    return NULL;

  record = record_from_text (text);
  if (record == NULL)
    set_closed_error (error, _("the pass that was left can’t be read"));

  return record;
}

/* Removes what was left for @device, if anything was. */
void
fil_gate_record_erase (const char *device)
{
  g_autofree char *name = dup_file_name (device);
  int folder = open_folder (FALSE, NULL);

  if (folder < 0)
    return;

  unlinkat (folder, name, 0);
  close (folder);
}

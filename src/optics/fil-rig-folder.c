/* fil-rig-folder.c: the folder with the user's own rigs
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <glib/gstdio.h>
#include <glib/gi18n-lib.h>

#include "fil-rig-folder.h"
#include "fil-rig-text.h"

#define ENDING         ".rig"
#define LONGEST_BYTES  80
#define MOST_NUMBERS   10000

static void
file_free (gpointer data)
{
  FilRigFile *file = data;

  g_free (file->path);
  g_free (file->name);
  g_free (file->error);
  g_free (file);
}

/* Returns: (transfer full): where the window keeps rigs; it needn't exist yet */
char *
fil_rig_folder_dup_default (void)
{
  return g_build_filename (g_get_user_data_dir (), "filigree", "rigs", NULL);
}

static int
compare_files (gconstpointer a,
               gconstpointer b)
{
  const FilRigFile *one = *(FilRigFile *const *) a, *other = *(FilRigFile *const *) b;
  int order = g_utf8_collate (one->name, other->name);

  return order != 0 ? order : strcmp (one->path, other->path);
}

static FilRigFile *
look_at (const char *folder,
         const char *base)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = NULL;
  FilRigFile *file = g_new0 (FilRigFile, 1);

  file->path = g_build_filename (folder, base, NULL);
  rig = fil_rig_load (file->path, &error);
  file->name = rig != NULL ? g_strdup (fil_rig_get_name (rig)) : g_filename_display_name (base);
  file->error = error != NULL ? g_strdup (error->message) : NULL;

  return file;
}

/**
 * fil_rig_folder_list:
 *
 * Reads each file of the folder that ends in ".rig". A file that is broken is
 * listed with the reason. A folder that isn't there is an empty one.
 *
 * Returns: (transfer full) (element-type FilRigFile): by name
 */
GPtrArray *
fil_rig_folder_list (const char *folder)
{
  GPtrArray *files = g_ptr_array_new_with_free_func (file_free);
  GDir *dir;
  const char *base;

  g_return_val_if_fail (folder != NULL, files);

  dir = g_dir_open (folder, 0, NULL);
  if (dir == NULL)
    return files;

  while ((base = g_dir_read_name (dir)) != NULL)
    if (base[0] != '.' && g_str_has_suffix (base, ENDING))
      g_ptr_array_add (files, look_at (folder, base));
  g_dir_close (dir);
  g_ptr_array_sort (files, compare_files);

  return files;
}

/* "Roof 102" to "roof-102": letters, digits and single hyphens, whatever the
 * name. */
static char *
make_stem (const char *name)
{
  g_autofree char *valid = g_utf8_make_valid (name, -1);
  g_autofree char *small = g_utf8_strdown (valid, -1);
  g_autofree char *composed = g_utf8_normalize (small, -1, G_NORMALIZE_DEFAULT_COMPOSE);
  GString *stem = g_string_new (NULL);

  for (const char *p = composed; *p != '\0' && stem->len < LONGEST_BYTES; p = g_utf8_next_char (p))
    if (g_unichar_isalnum (g_utf8_get_char (p)))
      g_string_append_unichar (stem, g_utf8_get_char (p));
    else if (stem->len > 0 && stem->str[stem->len - 1] != '-')
      g_string_append_c (stem, '-');

  while (stem->len > 0 && stem->str[stem->len - 1] == '-')
    g_string_truncate (stem, stem->len - 1);
  if (stem->len == 0)
    g_string_append (stem, "rig");

  return g_string_free (stem, FALSE);
}

static char *
numbered_path (const char *folder,
               const char *stem,
               guint       number)
{
  g_autofree char *base = number > 1 ? g_strdup_printf ("%s-%u" ENDING, stem, number)
                                     : g_strconcat (stem, ENDING, NULL);

  return g_build_filename (folder, base, NULL);
}

/**
 * fil_rig_folder_dup_new_path:
 *
 * A path in @folder that nothing stands at yet, with a name that is harmless
 * on every file system. Somebody else may take it in the meantime; see
 * fil_rig_folder_add().
 *
 * Returns: (transfer full): "…/roof-102.rig", or "…/roof-102-2.rig" and so on
 */
char *
fil_rig_folder_dup_new_path (const char *folder,
                             const char *name)
{
  g_autofree char *stem = NULL;

  g_return_val_if_fail (folder != NULL && name != NULL, NULL);

  stem = make_stem (name);
  for (guint number = 1;; number++)
    {
      char *path = numbered_path (folder, stem, number);

      if (faccessat (AT_FDCWD, path, F_OK, AT_SYMLINK_NOFOLLOW) != 0 || number == MOST_NUMBERS)
        return path;
      g_free (path);
    }
}

/* Gives a file a name that nobody has. Returns 0 or the error number. */
static int
rename_to_free_name (const char *from,
                     const char *to)
{
  if (link (from, to) == 0)
    {
      g_unlink (from);
      return 0;
    }
  /* Not every file system knows links. */
  if (errno == EEXIST || renameat2 (AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) != 0)
    return errno;

  return 0;
}

static void
sync_folder (const char *folder)
{
  int fd = open (folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);

  if (fd >= 0)
    {
      fsync (fd);
      close (fd);
    }
}

static char *
refuse_to_write (const char *path,
                 int         code,
                 GError    **error)
{
  g_autofree char *shown = g_filename_display_name (path);

  fil_rig_refuse (error, FIL_RIG_ERROR_WRITE, shown, 0, NULL, "%s", g_strerror (code));

  return NULL;
}

/**
 * fil_rig_folder_add:
 * @folder: made where it doesn't exist
 * @rig: a complete rig
 *
 * Writes @rig into a new file named after it. No file is overwritten, and
 * until all is on the disk there is no file of that name.
 *
 * Returns: (transfer full): its path, or %NULL with a %FIL_RIG_ERROR
 */
char *
fil_rig_folder_add (const char   *folder,
                    const FilRig *rig,
                    GError      **error)
{
  g_autofree char *temporary = NULL;
  int fd, failure = EEXIST;

  g_return_val_if_fail (folder != NULL && rig != NULL, NULL);

  if (!fil_rig_is_complete (rig, error))
    return NULL;
  if (g_mkdir_with_parents (folder, 0755) != 0)
    return refuse_to_write (folder, errno, error);

  temporary = g_build_filename (folder, ".rig-XXXXXX", NULL);
  fd = g_mkstemp_full (temporary, O_RDWR | O_CLOEXEC, 0644);
  if (fd < 0)
    return refuse_to_write (folder, errno, error);
  close (fd);

  if (!fil_rig_save (rig, temporary, error))
    {
      g_unlink (temporary);
      return NULL;
    }
  for (guint tries = 0; failure == EEXIST && tries < MOST_NUMBERS; tries++)
    {
      g_autofree char *path = fil_rig_folder_dup_new_path (folder, fil_rig_get_name (rig));

      failure = rename_to_free_name (temporary, path);
      if (failure != 0)
        continue;
      sync_folder (folder);
      return g_steal_pointer (&path);
    }
  g_unlink (temporary);

  return refuse_to_write (folder, failure, error);
}

/**
 * fil_rig_folder_import:
 * @path: of a rig from anywhere
 *
 * Reads it, with all that fil_rig_load() refuses, and puts it into @folder to
 * the letter.
 *
 * Returns: (transfer full): the path of the new file, or %NULL with a
 *   %FIL_RIG_ERROR; nothing is left in @folder then
 */
char *
fil_rig_folder_import (const char *folder,
                       const char *path,
                       GError    **error)
{
  g_autoptr (FilRig) rig = NULL;

  g_return_val_if_fail (folder != NULL && path != NULL, NULL);

  rig = fil_rig_load (path, error);

  return rig != NULL ? fil_rig_folder_add (folder, rig, error) : NULL;
}

static gboolean
is_taken (const GPtrArray *files,
          const char      *name)
{
  for (guint i = 0; i < files->len; i++)
    if (strcmp (((const FilRigFile *) g_ptr_array_index (files, i))->name, name) == 0)
      return TRUE;

  return FALSE;
}

/**
 * fil_rig_folder_copy:
 *
 * Returns: (transfer full): @rig under a name that no rig in @folder has,
 *   "Roof 102 (copy)"; nothing is written. %NULL with a %FIL_RIG_ERROR where
 *   the name is refused
 */
FilRig *
fil_rig_folder_copy (const char   *folder,
                     const FilRig *rig,
                     GError      **error)
{
  g_autoptr (GPtrArray) files = NULL;
  g_autofree char *name = NULL;

  g_return_val_if_fail (folder != NULL && rig != NULL, NULL);

  files = fil_rig_folder_list (folder);
  name = g_strdup_printf (_("%s (copy)"), fil_rig_get_name (rig));
  for (guint number = 2; is_taken (files, name) && number < MOST_NUMBERS; number++)
    {
      g_free (name);
      name = g_strdup_printf (_("%s (copy %u)"), fil_rig_get_name (rig), number);
    }

  return fil_rig_with_value (rig, "rig", "name", name, error);
}

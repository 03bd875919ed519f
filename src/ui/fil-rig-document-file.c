/* fil-rig-document-file.c: the file of a rig that is being edited
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nobody who stands at a telescope thinks of a save button: a complete rig that
 * has a file is written a short moment after each edit, beside the main thread,
 * and undo takes back what was unwanted. What isn't written by itself: a rig
 * that is incomplete (its file stays as it was), one without a file yet, and
 * one whose file somebody else has changed in the meantime. */

#include <glib/gi18n.h>

#include "fil-rig-document-private.h"
#include "fil-rig-folder.h"

#define AUTOSAVE_MS 1000

static gboolean autosave_cb (gpointer data);

static void
stop_autosave (FilRigDocument *self)
{
  g_clear_handle_id (&self->autosave_id, g_source_remove);
}

static void
take_path (FilRigDocument *self,
           char           *path)
{
  g_free (self->path);
  self->path = path;
  self->demo = FALSE;
}

static void
arm_autosave (FilRigDocument *self)
{
  stop_autosave (self);
  self->autosave_id = g_timeout_add (AUTOSAVE_MS, autosave_cb, self);
}

/* @rig: what the file says now */
static void
note_saved (FilRigDocument *self,
            FilRig         *rig)
{
  fil_rig_ref (rig);
  g_clear_pointer (&self->saved, fil_rig_unref);
  self->saved = rig;
  g_clear_pointer (&self->trouble, g_free);
  fil_rig_document_tell_saved (self);
  fil_rig_document_tell_changed (self);
}

static void
note_trouble (FilRigDocument *self,
              const GError   *error)
{
  g_free (self->trouble);
  self->trouble = g_strdup (error->message);
  fil_rig_document_tell_changed (self);
}

/* Waits for a write under way. Its end may be a trouble; that is told. */
static void
settle (FilRigDocument *self)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) written = NULL;

  if (self->writer == NULL)
    return;

  written = fil_rig_writer_finish (g_steal_pointer (&self->writer), &error);
  if (written != NULL)
    note_saved (self, written);
  else
    note_trouble (self, error);
}

static gboolean
written_cb (gpointer data)
{
  g_autoptr (FilRigDocument) self = g_object_ref (data);

  settle (self);

  return G_SOURCE_REMOVE;
}

static gboolean
write_to_path (FilRigDocument *self,
               GError        **error)
{
  settle (self);
  stop_autosave (self);
  if (!fil_rig_writer_write (self->rig, self->saved, self->path, error))
    return FALSE;

  note_saved (self, self->rig);

  return TRUE;
}

static gboolean
may_autosave (FilRigDocument *self)
{
  return self->path != NULL && fil_rig_document_is_dirty (self) &&
         fil_rig_is_complete (self->rig, NULL);
}

static gboolean
autosave_cb (gpointer data)
{
  FilRigDocument *self = data;

  self->autosave_id = 0;
  if (self->writer != NULL)
    arm_autosave (self);
  else if (may_autosave (self))
    self->writer = fil_rig_writer_start (self->rig, self->saved, self->path, written_cb, self);

  return G_SOURCE_REMOVE;
}

/* Something has changed: in a moment the file will follow, if it may. */
void
fil_rig_document_plan_autosave (FilRigDocument *self)
{
  stop_autosave (self);
  if (self->writer != NULL || may_autosave (self))
    arm_autosave (self);
}

/**
 * fil_rig_document_duplicate:
 *
 * Returns: (transfer full): a copy under a name of its own, in a new file of
 *   the user's folder where it is complete, or %NULL with @error
 */
FilRigDocument *
fil_rig_document_duplicate (FilRigDocument *self,
                            GError        **error)
{
  g_autofree char *folder = fil_rig_folder_dup_default ();
  g_autofree char *path = NULL;
  g_autoptr (FilRig) copy = NULL;

  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), NULL);

  copy = fil_rig_folder_copy (folder, self->rig, error);
  if (copy == NULL)
    return NULL;
  if (fil_rig_is_complete (copy, NULL))
    {
      path = fil_rig_folder_add (folder, copy, error);
      if (path == NULL)
        return NULL;
    }

  return fil_rig_document_new (copy, path);
}

/**
 * fil_rig_document_save:
 *
 * Writes the rig into its file; without one, into a new file of the user's
 * folder, which is its file from then on.
 *
 * Returns: %FALSE with @error: incomplete, changed by somebody else, or not
 *   written; the file is as it was then
 */
gboolean
fil_rig_document_save (FilRigDocument *self,
                       GError        **error)
{
  g_autofree char *folder = fil_rig_folder_dup_default ();
  char *path;

  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);

  if (self->path != NULL)
    return write_to_path (self, error);

  path = fil_rig_folder_add (folder, self->rig, error);
  if (path == NULL)
    return FALSE;

  stop_autosave (self);
  take_path (self, path);
  note_saved (self, self->rig);

  return TRUE;
}

/**
 * fil_rig_document_save_as:
 * @path: is replaced where it exists: ask before
 *
 * Writes the rig into another file, which is its file from then on.
 */
gboolean
fil_rig_document_save_as (FilRigDocument *self,
                          const char     *path,
                          GError        **error)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self) && path != NULL, FALSE);

  settle (self);
  if (!fil_rig_is_complete (self->rig, error) || !fil_rig_save (self->rig, path, error))
    return FALSE;

  stop_autosave (self);
  take_path (self, g_strdup (path));
  note_saved (self, self->rig);

  return TRUE;
}

/**
 * fil_rig_document_flush:
 *
 * Writes at once what would be written by itself a moment later, and waits for
 * it: before the rig is closed. What isn't written by itself stays unwritten.
 *
 * Returns: %FALSE with @error where writing failed
 */
gboolean
fil_rig_document_flush (FilRigDocument *self,
                        GError        **error)
{
  g_autoptr (GError) why = NULL;

  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);

  settle (self);
  stop_autosave (self);
  if (!may_autosave (self) || write_to_path (self, &why))
    return TRUE;

  note_trouble (self, why);
  g_propagate_error (error, g_steal_pointer (&why));

  return FALSE;
}

/**
 * fil_rig_document_revert:
 *
 * Back to what the file says; without a file, to how the rig began. One step,
 * which can be undone.
 *
 * Returns: %FALSE with @error where the file can't be read
 */
gboolean
fil_rig_document_revert (FilRigDocument *self,
                         GError        **error)
{
  FilRig *rig;

  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);

  settle (self);
  rig = self->path != NULL ? fil_rig_load (self->path, error) : fil_rig_ref (self->saved);
  if (rig == NULL)
    return FALSE;

  g_clear_pointer (&self->saved, fil_rig_unref);
  self->saved = fil_rig_ref (rig);
  g_clear_pointer (&self->trouble, g_free);
  fil_rig_document_edit (self, rig, _("Back to the file"));
  fil_rig_unref (rig);

  return TRUE;
}

/**
 * fil_rig_document_trash:
 *
 * Moves the file to the desktop's trash. The rig stays open, without a file.
 *
 * Returns: %FALSE with a #GIOErrorEnum; the file is still there then
 */
gboolean
fil_rig_document_trash (FilRigDocument *self,
                        GError        **error)
{
  g_autoptr (GFile) file = NULL;

  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self) && self->path != NULL, FALSE);

  settle (self);
  file = g_file_new_for_path (self->path);
  if (!g_file_trash (file, NULL, error))
    return FALSE;

  stop_autosave (self);
  take_path (self, NULL);
  fil_rig_document_tell_changed (self);

  return TRUE;
}

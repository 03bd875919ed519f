/* fil-rig-writer.c: a rig written into its file, beside the main thread
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Until a file is on the disk may take seconds while a clip is recorded onto
 * the same one; the picture must not stand still for so long. */

#include <glib/gi18n.h>

#include "fil-rig-writer.h"

struct _FilRigWriter
{
  FilRig      *rig;
  FilRig      *expected;
  char        *path;
  GSourceFunc  done;
  gpointer     data;
  GThread     *thread;

  /* The thread's, until it is joined. */
  GSource     *notice;
  GError      *error;
};

/* Somebody may have changed the file with an editor: that isn't overwritten. */
static gboolean
check_unchanged (FilRig     *expected,
                 const char *path,
                 GError    **error)
{
  g_autofree char *shown = g_filename_display_name (path);
  g_autoptr (FilRig) there = fil_rig_load (path, NULL);

  if (there != NULL ? fil_rig_equal (there, expected) : !g_file_test (path, G_FILE_TEST_EXISTS))
    return TRUE;

  g_set_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_WRITE,
               _("%s: not saved, because somebody else has changed the file; save it under "
                 "another name, or take back what you changed here"),
               shown);

  return FALSE;
}

/**
 * fil_rig_writer_write:
 * @rig: a complete rig
 * @expected: what the file says, unless it is gone
 *
 * Waits for the disk. Any thread.
 */
gboolean
fil_rig_writer_write (FilRig     *rig,
                      FilRig     *expected,
                      const char *path,
                      GError    **error)
{
  g_return_val_if_fail (rig != NULL && expected != NULL && path != NULL, FALSE);

  return fil_rig_is_complete (rig, error) && check_unchanged (expected, path, error) &&
         fil_rig_save (rig, path, error);
}

static gpointer
write_thread (gpointer data)
{
  FilRigWriter *self = data;

  fil_rig_writer_write (self->rig, self->expected, self->path, &self->error);

  self->notice = g_idle_source_new ();
  g_source_set_priority (self->notice, G_PRIORITY_DEFAULT);
  g_source_set_callback (self->notice, self->done, self->data, NULL);
  g_source_attach (self->notice, NULL);

  return NULL;
}

/**
 * fil_rig_writer_start:
 * @done: called in the main thread when it is over, unless
 *   fil_rig_writer_finish() comes first
 *
 * Returns: (transfer full): a write under way
 */
FilRigWriter *
fil_rig_writer_start (FilRig      *rig,
                      FilRig      *expected,
                      const char  *path,
                      GSourceFunc  done,
                      gpointer     data)
{
  FilRigWriter *self;

  g_return_val_if_fail (rig != NULL && expected != NULL && path != NULL && done != NULL, NULL);

  self = g_new0 (FilRigWriter, 1);
  self->rig = fil_rig_ref (rig);
  self->expected = fil_rig_ref (expected);
  self->path = g_strdup (path);
  self->done = done;
  self->data = data;
  self->thread = g_thread_new ("rig-writer", write_thread, self);

  return self;
}

/**
 * fil_rig_writer_finish:
 * @self: (transfer full): freed
 *
 * Waits for the end. @done isn't called any more.
 *
 * Returns: (transfer full): the rig that the file now says, or %NULL with
 *   @error
 */
FilRig *
fil_rig_writer_finish (FilRigWriter *self,
                       GError      **error)
{
  g_autoptr (FilRig) rig = NULL;

  g_return_val_if_fail (self != NULL, NULL);

  g_thread_join (self->thread);
  g_source_destroy (self->notice);
  g_source_unref (self->notice);

  rig = g_steal_pointer (&self->rig);
  if (self->error != NULL)
    {
      g_propagate_error (error, self->error);
      g_clear_pointer (&rig, fil_rig_unref);
    }
  fil_rig_unref (self->expected);
  g_free (self->path);
  g_free (self);

  return g_steal_pointer (&rig);
}

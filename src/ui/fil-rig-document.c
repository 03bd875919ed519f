/* fil-rig-document.c: a rig that is being edited, with undo
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-rig-document-private.h"
#include "fil-rig-keys.h"
#include "fil-rig-typed.h"

enum { CHANGED, SAVED, N_SIGNALS };

G_DEFINE_FINAL_TYPE (FilRigDocument, fil_rig_document, G_TYPE_OBJECT)

static guint signals[N_SIGNALS];

void
fil_rig_document_tell_changed (FilRigDocument *self)
{
  g_signal_emit (self, signals[CHANGED], 0);
}

void
fil_rig_document_tell_saved (FilRigDocument *self)
{
  g_signal_emit (self, signals[SAVED], 0);
}

/* Another rig is the present one; the history knows already. */
static void
take_rig (FilRigDocument *self,
          FilRig         *rig)
{
  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig;
  fil_rig_document_plan_autosave (self);
  fil_rig_document_tell_changed (self);
}

/* @field: (nullable): where edits of the same field follow each other, they
 * are one step. */
static void
push (FilRigDocument *self,
      FilRig         *rig,
      const char     *what,
      const char     *field)
{
  fil_rig_history_push (self->history, self->rig, what, field);
  take_rig (self, rig);
}

static void
fil_rig_document_dispose (GObject *object)
{
  FilRigDocument *self = FIL_RIG_DOCUMENT (object);

  fil_rig_document_flush (self, NULL);

  G_OBJECT_CLASS (fil_rig_document_parent_class)->dispose (object);
}

static void
fil_rig_document_finalize (GObject *object)
{
  FilRigDocument *self = FIL_RIG_DOCUMENT (object);

  g_clear_pointer (&self->rig, fil_rig_unref);
  g_clear_pointer (&self->saved, fil_rig_unref);
  fil_rig_history_free (self->history);
  g_free (self->path);
  g_free (self->trouble);

  G_OBJECT_CLASS (fil_rig_document_parent_class)->finalize (object);
}

static void
fil_rig_document_class_init (FilRigDocumentClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_rig_document_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_rig_document_finalize;

  signals[CHANGED] = g_signal_new ("changed", FIL_TYPE_RIG_DOCUMENT, G_SIGNAL_RUN_LAST, 0, NULL,
                                   NULL, NULL, G_TYPE_NONE, 0);
  signals[SAVED] = g_signal_new ("saved", FIL_TYPE_RIG_DOCUMENT, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
fil_rig_document_init (FilRigDocument *self)
{
  self->history = fil_rig_history_new ();
}

/**
 * fil_rig_document_new:
 * @rig: to begin with; referenced
 * @path: (nullable): the file that @rig was read from
 *
 * Returns: (transfer full): a document with nothing to undo
 */
FilRigDocument *
fil_rig_document_new (FilRig     *rig,
                      const char *path)
{
  FilRigDocument *self;

  g_return_val_if_fail (rig != NULL, NULL);

  self = g_object_new (FIL_TYPE_RIG_DOCUMENT, NULL);
  self->rig = fil_rig_ref (rig);
  self->saved = fil_rig_ref (rig);
  self->path = g_strdup (path);

  return self;
}

/* Returns: (transfer full): a rig without elements and without a file */
FilRigDocument *
fil_rig_document_new_empty (const char *name)
{
  g_autoptr (FilRig) rig = fil_rig_new_empty (name);

  return fil_rig_document_new (rig, NULL);
}

/* Returns: (transfer full): the rig of a file, or %NULL with what
 *   fil_rig_load() refuses */
FilRigDocument *
fil_rig_document_open (const char *path,
                       GError    **error)
{
  g_autoptr (FilRig) rig = NULL;

  g_return_val_if_fail (path != NULL, NULL);

  rig = fil_rig_load (path, error);

  return rig != NULL ? fil_rig_document_new (rig, path) : NULL;
}

/* Returns: (transfer full): the demo rig. Edits of it are kept once they are
 *   saved, in a file of the user's own. */
FilRigDocument *
fil_rig_document_open_demo (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  FilRigDocument *self = fil_rig_document_new (rig, NULL);

  self->demo = TRUE;

  return self;
}

/* Returns: (transfer none): the rig as it is now, which may be incomplete */
FilRig *
fil_rig_document_get_rig (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), NULL);

  return self->rig;
}

const char *
fil_rig_document_get_path (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), NULL);

  return self->path;
}

/* Returns: whether the rig differs from its file; without a file, from how it
 *   began */
gboolean
fil_rig_document_is_dirty (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);

  return !fil_rig_equal (self->rig, self->saved);
}

/* Returns: whether this is the demo rig, or edits of it that have no file yet */
gboolean
fil_rig_document_is_demo (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);

  return self->demo;
}

/* Returns: (nullable): why the rig wasn't written by itself; translated. It
 *   stays until a save works. */
const char *
fil_rig_document_get_trouble (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), NULL);

  return self->trouble;
}

/**
 * fil_rig_document_edit:
 * @rig: (transfer none): how the rig is to be
 * @what: translated; what is done, for undo: "Move the camera to the end"
 *
 * One step.
 */
void
fil_rig_document_edit (FilRigDocument *self,
                       FilRig         *rig,
                       const char     *what)
{
  g_return_if_fail (FIL_IS_RIG_DOCUMENT (self) && rig != NULL && what != NULL);

  if (!fil_rig_equal (rig, self->rig))
    push (self, fil_rig_ref (rig), what, NULL);
}

/* Takes @what, and @rig, which is %NULL where it was refused. */
static gboolean
take_edit (FilRigDocument *self,
           FilRig         *rig,
           char           *what)
{
  gboolean done = rig != NULL;

  if (done)
    fil_rig_document_edit (self, rig, what);
  g_clear_pointer (&rig, fil_rig_unref);
  g_free (what);

  return done;
}

/**
 * fil_rig_document_add_element:
 * @index: where it will be, from 0 at the sky
 *
 * Returns: %FALSE with @error where it was refused; nothing changed then
 */
gboolean
fil_rig_document_add_element (FilRigDocument *self,
                              FilElementKind  kind,
                              guint           index,
                              GError        **error)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);

  /* Translators: %s is an element of the light path, "amplifier" */
  return take_edit (self, fil_rig_with_element (self->rig, kind, index, error),
                    g_strdup_printf (_("Add %s"), fil_element_kind_to_text (kind)));
}

static const char *
kind_text (FilRigDocument *self,
           guint           index)
{
  return fil_element_kind_to_text (fil_rig_get_element (self->rig, index)->kind);
}

gboolean
fil_rig_document_remove_element (FilRigDocument *self,
                                 guint           index,
                                 GError        **error)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);
  g_return_val_if_fail (index < fil_rig_get_n_elements (self->rig), FALSE);

  /* Translators: %s is an element of the light path, "amplifier" */
  return take_edit (self, fil_rig_without_element (self->rig, index, error),
                    g_strdup_printf (_("Remove %s"), kind_text (self, index)));
}

gboolean
fil_rig_document_move_element (FilRigDocument *self,
                               guint           from,
                               guint           to,
                               GError        **error)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), FALSE);
  g_return_val_if_fail (MAX (from, to) < fil_rig_get_n_elements (self->rig), FALSE);

  /* Translators: %s is an element of the light path, "amplifier" */
  return take_edit (self, fil_rig_with_element_moved (self->rig, from, to, error),
                    g_strdup_printf (_("Move %s"), kind_text (self, from)));
}

/**
 * fil_rig_document_set_value:
 * @group: "rig", "site", "element 3"
 * @value: (nullable): as typed; empty or %NULL takes the key away. Numbers may
 *   be followed by their unit, and have the locale's decimal comma
 *
 * Edits of the same field that follow each other are one step, until
 * fil_rig_document_seal().
 *
 * Returns: %FALSE with @error where the value was refused; nothing changed
 *   then. fil_rig_error_get_reason() is what to show beside the field
 */
gboolean
fil_rig_document_set_value (FilRigDocument *self,
                            const char     *group,
                            const char     *key,
                            const char     *value,
                            GError        **error)
{
  g_autofree char *plain = NULL;
  g_autofree char *present = NULL;
  g_autofree char *field = NULL;
  const FilRigKey *row;
  FilRig *rig;

  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self) && group != NULL && key != NULL, FALSE);

  row = fil_rig_find_key (self->rig, group, key);
  plain = fil_rig_typed_value (row, value);
  present = fil_rig_dup_value (self->rig, group, key);
  if (g_strcmp0 (plain, present) == 0)
    return TRUE;

  rig = fil_rig_with_value (self->rig, group, key, plain, error);
  if (rig == NULL)
    return FALSE;

  field = g_strdup_printf ("%s\n%s", group, key);
  push (self, rig, row != NULL ? fil_rig_key_get_label (row) : key, field);

  return TRUE;
}

/* Ends the step that typing into a field makes: the field was left. */
void
fil_rig_document_seal (FilRigDocument *self)
{
  g_return_if_fail (FIL_IS_RIG_DOCUMENT (self));

  fil_rig_history_seal (self->history);
}

gboolean
fil_rig_document_can_undo (FilRigDocument *self)
{
  return fil_rig_document_get_undo_text (self) != NULL;
}

gboolean
fil_rig_document_can_redo (FilRigDocument *self)
{
  return fil_rig_document_get_redo_text (self) != NULL;
}

/* Returns: (nullable): what undo takes back: "Aperture", "Add amplifier" */
const char *
fil_rig_document_get_undo_text (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), NULL);

  return fil_rig_history_get_undo_text (self->history);
}

const char *
fil_rig_document_get_redo_text (FilRigDocument *self)
{
  g_return_val_if_fail (FIL_IS_RIG_DOCUMENT (self), NULL);

  return fil_rig_history_get_redo_text (self->history);
}

/* Takes the last step back; does nothing where there is none. */
void
fil_rig_document_undo (FilRigDocument *self)
{
  FilRig *rig;

  g_return_if_fail (FIL_IS_RIG_DOCUMENT (self));

  rig = fil_rig_history_undo (self->history, self->rig);
  if (rig != NULL)
    take_rig (self, rig);
}

void
fil_rig_document_redo (FilRigDocument *self)
{
  FilRig *rig;

  g_return_if_fail (FIL_IS_RIG_DOCUMENT (self));

  rig = fil_rig_history_redo (self->history, self->rig);
  if (rig != NULL)
    take_rig (self, rig);
}

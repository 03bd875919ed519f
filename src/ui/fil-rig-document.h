/* fil-rig-document.h: a rig that is being edited, with undo
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gio/gio.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_TYPE_RIG_DOCUMENT (fil_rig_document_get_type ())
G_DECLARE_FINAL_TYPE (FilRigDocument, fil_rig_document, FIL, RIG_DOCUMENT, GObject)

/* Signals, without arguments: "changed" after every edit, undo and redo, and
 * when the path, the dirty state or the trouble change; "saved" after the file
 * was written. */

FilRigDocument *fil_rig_document_new             (FilRig          *rig,
                                                  const char      *path);
FilRigDocument *fil_rig_document_new_empty       (const char      *name);
FilRigDocument *fil_rig_document_open            (const char      *path,
                                                  GError         **error);
FilRigDocument *fil_rig_document_open_demo       (void);
FilRigDocument *fil_rig_document_duplicate       (FilRigDocument  *self,
                                                  GError         **error);

FilRig         *fil_rig_document_get_rig         (FilRigDocument  *self);
const char     *fil_rig_document_get_path        (FilRigDocument  *self);   /* NULL: none yet */
gboolean        fil_rig_document_is_dirty        (FilRigDocument  *self);
gboolean        fil_rig_document_is_demo         (FilRigDocument  *self);
const char     *fil_rig_document_get_trouble     (FilRigDocument  *self);   /* NULL: none */

gboolean        fil_rig_document_set_value       (FilRigDocument  *self,
                                                  const char      *group,
                                                  const char      *key,
                                                  const char      *value,
                                                  GError         **error);
gboolean        fil_rig_document_add_element     (FilRigDocument  *self,
                                                  FilElementKind   kind,
                                                  guint            index,
                                                  GError         **error);
gboolean        fil_rig_document_remove_element  (FilRigDocument  *self,
                                                  guint            index,
                                                  GError         **error);
gboolean        fil_rig_document_move_element    (FilRigDocument  *self,
                                                  guint            from,
                                                  guint            to,
                                                  GError         **error);
void            fil_rig_document_edit            (FilRigDocument  *self,
                                                  FilRig          *rig,
                                                  const char      *what);
void            fil_rig_document_seal            (FilRigDocument  *self);

gboolean        fil_rig_document_can_undo        (FilRigDocument  *self);
gboolean        fil_rig_document_can_redo        (FilRigDocument  *self);
const char     *fil_rig_document_get_undo_text   (FilRigDocument  *self);   /* NULL: none */
const char     *fil_rig_document_get_redo_text   (FilRigDocument  *self);   /* NULL: none */
void            fil_rig_document_undo            (FilRigDocument  *self);
void            fil_rig_document_redo            (FilRigDocument  *self);

gboolean        fil_rig_document_save            (FilRigDocument  *self,
                                                  GError         **error);
gboolean        fil_rig_document_save_as         (FilRigDocument  *self,
                                                  const char      *path,
                                                  GError         **error);
gboolean        fil_rig_document_flush           (FilRigDocument  *self,
                                                  GError         **error);
gboolean        fil_rig_document_revert          (FilRigDocument  *self,
                                                  GError         **error);
gboolean        fil_rig_document_trash           (FilRigDocument  *self,
                                                  GError         **error);

G_END_DECLS

/* fil-rig-document-private.h: what a document is made of
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig-document.h"
#include "fil-rig-history.h"
#include "fil-rig-writer.h"

G_BEGIN_DECLS

struct _FilRigDocument
{
  GObject        parent_instance;

  FilRig        *rig;
  FilRig        *saved;      /* as it is in the file, or as it began */
  char          *path;       /* NULL: no file yet */
  char          *trouble;    /* why it wasn't written by itself */
  gboolean       demo;
  FilRigHistory *history;
  guint          autosave_id;
  FilRigWriter  *writer;     /* NULL: nothing is being written */
};

void fil_rig_document_tell_changed  (FilRigDocument *self);
void fil_rig_document_tell_saved    (FilRigDocument *self);
void fil_rig_document_plan_autosave (FilRigDocument *self);

G_END_DECLS

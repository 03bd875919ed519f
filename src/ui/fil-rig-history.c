/* fil-rig-history.c: the steps of editing a rig, back and forth
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-rig-history.h"

#define MOST_STEPS 500

/* The rig on the other side of a step. */
typedef struct
{
  FilRig *rig;
  char   *what;
} Step;

struct _FilRigHistory
{
  GQueue undo, redo;   /* of Step, the next one at the head */
  char  *field;        /* where the newest step was typed; NULL: nowhere */
};

static void
step_free (gpointer data)
{
  Step *step = data;

  fil_rig_unref (step->rig);
  g_free (step->what);
  g_free (step);
}

FilRigHistory *
fil_rig_history_new (void)
{
  FilRigHistory *self = g_new0 (FilRigHistory, 1);

  g_queue_init (&self->undo);
  g_queue_init (&self->redo);

  return self;
}

void
fil_rig_history_free (FilRigHistory *self)
{
  if (self == NULL)
    return;

  g_queue_clear_full (&self->undo, step_free);
  g_queue_clear_full (&self->redo, step_free);
  g_free (self->field);
  g_free (self);
}

static void
add (GQueue     *queue,
     FilRig     *rig,
     const char *what)
{
  Step *step = g_new0 (Step, 1);

  step->rig = fil_rig_ref (rig);
  step->what = g_strdup (what);
  g_queue_push_head (queue, step);
  if (queue->length > MOST_STEPS)
    step_free (g_queue_pop_tail (queue));
}

/**
 * fil_rig_history_push:
 * @before: the rig that an edit has just changed; referenced
 * @what: translated; what was done
 * @field: (nullable): where it was typed. Edits of the same field that follow
 *   each other are one step
 */
void
fil_rig_history_push (FilRigHistory *self,
                      FilRig        *before,
                      const char    *what,
                      const char    *field)
{
  g_return_if_fail (self != NULL && before != NULL && what != NULL);

  g_queue_clear_full (&self->redo, step_free);
  if (field == NULL || g_strcmp0 (field, self->field) != 0)
    add (&self->undo, before, what);

  g_free (self->field);
  self->field = g_strdup (field);
}

/* Whatever is typed from now on is another step. */
void
fil_rig_history_seal (FilRigHistory *self)
{
  g_return_if_fail (self != NULL);

  g_clear_pointer (&self->field, g_free);
}

static FilRig *
step_over (FilRigHistory *self,
           GQueue        *from,
           GQueue        *to,
           FilRig        *present)
{
  Step *step = g_queue_pop_head (from);
  FilRig *rig;

  if (step == NULL)
    return NULL;

  fil_rig_history_seal (self);
  add (to, present, step->what);
  rig = fil_rig_ref (step->rig);
  step_free (step);

  return rig;
}

/* Returns: (transfer full) (nullable): the rig before the last step */
FilRig *
fil_rig_history_undo (FilRigHistory *self,
                      FilRig        *present)
{
  g_return_val_if_fail (self != NULL && present != NULL, NULL);

  return step_over (self, &self->undo, &self->redo, present);
}

/* Returns: (transfer full) (nullable): the rig behind the step taken back */
FilRig *
fil_rig_history_redo (FilRigHistory *self,
                      FilRig        *present)
{
  g_return_val_if_fail (self != NULL && present != NULL, NULL);

  return step_over (self, &self->redo, &self->undo, present);
}

static const char *
get_text (const GQueue *queue)
{
  const Step *step = g_queue_peek_head ((GQueue *) queue);

  return step != NULL ? step->what : NULL;
}

const char *
fil_rig_history_get_undo_text (const FilRigHistory *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return get_text (&self->undo);
}

const char *
fil_rig_history_get_redo_text (const FilRigHistory *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return get_text (&self->redo);
}

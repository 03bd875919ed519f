/* fil-target-list.c: the observer's targets
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n-lib.h>

#include "fil-target-list.h"

G_DEFINE_QUARK (fil-target-error-quark, fil_target_error)

static void
free_target (gpointer data)
{
  fil_target_free (data);
}

/* Returns: (transfer full): an empty list */
FilTargetList *
fil_target_list_new (void)
{
  FilTargetList *list = g_new0 (FilTargetList, 1);

  list->targets = g_ptr_array_new_with_free_func (free_target);
  list->rotation = FIL_ROTATION_MAGNETIC;

  return list;
}

void
fil_target_list_free (FilTargetList *list)
{
  if (list == NULL)
    return;

  g_ptr_array_unref (list->targets);
  g_free (list->current);
  g_free (list->saved);
  g_free (list);
}

static gboolean
find_index (FilTargetList *list,
            const char    *name,
            guint         *index)
{
  for (guint i = 0; i < list->targets->len; i++)
    {
      const FilTarget *target = g_ptr_array_index (list->targets, i);

      if (g_str_equal (target->name, name))
        {
          *index = i;
          return TRUE;
        }
    }

  return FALSE;
}

/* Returns: (nullable) (transfer none) */
FilTarget *
fil_target_list_find (FilTargetList *list,
                      const char    *name)
{
  guint index;

  g_return_val_if_fail (list != NULL, NULL);

  if (name == NULL || !find_index (list, name, &index))
    return NULL;

  return g_ptr_array_index (list->targets, index);
}

/**
 * fil_target_check_name:
 *
 * A name stands in headers, on labels and in a file: one line, not empty, no
 * control characters, at most %FIL_TARGET_NAME_MAX characters.
 */
gboolean
fil_target_check_name (const char *name,
                       GError    **error)
{
  g_autofree char *bare = NULL;
  const char *reason = NULL;

  g_return_val_if_fail (name != NULL, FALSE);

  if (!g_utf8_validate (name, -1, NULL))
    reason = _("a name is UTF-8 text");
  else
    {
      bare = g_strstrip (g_strdup (name));
      if (bare[0] == '\0')
        reason = _("a target needs a name");
      else if (g_utf8_strlen (name, -1) > FIL_TARGET_NAME_MAX)
        reason = _("a name has at most 60 characters");
      for (const char *p = name; reason == NULL && *p != '\0'; p = g_utf8_next_char (p))
        if (g_unichar_iscntrl (g_utf8_get_char (p)))
          reason = _("a name stays on one line, without control characters");
    }
  if (reason == NULL)
    return TRUE;
  g_set_error_literal (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_VALUE, reason);

  return FALSE;
}

static gboolean
check_new_name (FilTargetList *list,
                const char    *name,
                GError       **error)
{
  if (!fil_target_check_name (name, error))
    return FALSE;
  if (fil_target_list_find (list, name) == NULL)
    return TRUE;
  g_set_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_VALUE,
               _("there is a target named “%s” already"), name);

  return FALSE;
}

/**
 * fil_target_list_add:
 * @target: (transfer full): also on failure
 * @position: from 0; −1: at the end
 *
 * Returns: %FALSE with a %FIL_TARGET_ERROR_VALUE where the name won't do or
 *   the list is full
 */
gboolean
fil_target_list_add (FilTargetList *list,
                     FilTarget     *target,
                     int            position,
                     GError       **error)
{
  g_autoptr (FilTarget) held = target;

  g_return_val_if_fail (list != NULL && target != NULL, FALSE);

  if (!check_new_name (list, target->name, error))
    return FALSE;
  if (list->targets->len >= FIL_TARGETS_MAX)
    {
      g_set_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_VALUE,
                   _("the list is full with %d targets; remove some first"), FIL_TARGETS_MAX);
      return FALSE;
    }
  if (position < 0 || (guint) position > list->targets->len)
    position = (int) list->targets->len;
  g_ptr_array_insert (list->targets, position, g_steal_pointer (&held));

  return TRUE;
}

/**
 * fil_target_list_take:
 * @position: (out) (optional): where it stood, for fil_target_list_add() to
 *   bring it back
 *
 * The current target may go too; none is current then.
 *
 * Returns: (nullable) (transfer full): what was taken out
 */
FilTarget *
fil_target_list_take (FilTargetList *list,
                      const char    *name,
                      int           *position)
{
  guint index;

  g_return_val_if_fail (list != NULL && name != NULL, NULL);

  if (!find_index (list, name, &index))
    return NULL;
  if (g_strcmp0 (list->current, name) == 0)
    g_clear_pointer (&list->current, g_free);
  if (position != NULL)
    *position = (int) index;

  return g_ptr_array_steal_index (list->targets, index);
}

gboolean
fil_target_list_rename (FilTargetList *list,
                        const char    *name,
                        const char    *new_name,
                        GError       **error)
{
  g_autofree char *old = g_strdup (name);
  FilTarget *target = fil_target_list_find (list, name);

  g_return_val_if_fail (target != NULL && new_name != NULL, FALSE);

  if (g_str_equal (old, new_name))
    return TRUE;
  if (!check_new_name (list, new_name, error))
    return FALSE;
  g_free (target->name);
  target->name = g_strdup (new_name);
  if (g_strcmp0 (list->current, old) == 0)
    fil_target_list_set_current (list, new_name);

  return TRUE;
}

/* @name: (nullable): of a target in the list; %NULL: none is current */
void
fil_target_list_set_current (FilTargetList *list,
                             const char    *name)
{
  char *held;

  g_return_if_fail (list != NULL);
  g_return_if_fail (name == NULL || fil_target_list_find (list, name) != NULL);

  held = g_strdup (name);
  g_free (list->current);
  list->current = held;
}

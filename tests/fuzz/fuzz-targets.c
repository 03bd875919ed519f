/* fuzz-targets.c: the reader of the observer's list of targets
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-target-list.h"

int LLVMFuzzerTestOneInput (const guint8 *data,
                            gsize         size);

/* What was taken can be kept, and is read again as it was. */
static void
use_list (FilTargetList *list)
{
  g_autoptr (FilTargetList) again = fil_target_list_new ();
  g_autoptr (GError) error = NULL;
  g_autofree char *text = fil_target_list_to_text (list), *same = NULL;

  fil_target_list_parse (again, text, strlen (text), "again", &error);
  g_assert_no_error (error);
  same = fil_target_list_to_text (again);
  g_assert_cmpstr (text, ==, same);

  for (guint i = 0; i < MIN (list->targets->len, 4); i++)
    {
      const FilTarget *target = g_ptr_array_index (list->targets, i);
      FilTargetPlace place;

      g_assert_true (g_utf8_validate (target->name, -1, NULL));
      if (fil_target_predict (target, list->rotation, G_GINT64_CONSTANT (1786527000000000000),
                              &place, NULL))
        g_assert_true (isfinite (place.mu) && isfinite (place.offset_arcmin));
    }
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  g_autofree char *text = g_malloc (size + 1);
  g_autoptr (FilTargetList) list = fil_target_list_new ();
  g_autoptr (GError) error = NULL;

  if (size > 0)
    memcpy (text, data, size);
  text[size] = '\0';
  if (fil_target_list_parse (list, text, size, "fuzz", &error))
    use_list (list);
  else
    g_assert_true (error != NULL && g_utf8_validate (error->message, -1, NULL));

  return 0;
}

/* fil-rig-blocks.c: elements of a rig added, taken away and moved
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The text is cut into blocks, one a group. The comments directly above a
 * group belong to it, and so does all that comes behind it; but comments above
 * the first group are the file's and stay at its head. Blank lines at the end
 * of a block belong to the place and not to the block, so that a file keeps
 * its looks when elements change places. */

#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-edit.h"

typedef struct
{
  char    *body;      /* comments above, the group's line, its entries */
  gsize    header;    /* where in @body the group's line begins */
  char    *gap;       /* blank lines behind */
  gboolean element;
} Block;

typedef struct
{
  char      *head;     /* what stands above the first group */
  GPtrArray *blocks;   /* of Block, in the order of the file */
} Blocks;

static void
block_free (gpointer data)
{
  Block *block = data;

  g_free (block->body);
  g_free (block->gap);
  g_free (block);
}

static void
blocks_clear (Blocks *self)
{
  g_clear_pointer (&self->head, g_free);
  g_clear_pointer (&self->blocks, g_ptr_array_unref);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Blocks, blocks_clear)

static gboolean
is_comment (const char *line,
            const char *end)
{
  while (line < end && g_ascii_isspace (*line))
    line++;

  return line < end && *line == '#';
}

/* Returns: the offset at which the comments directly above a group begin */
gsize
fil_rig_edit_block_start (const FilRig *rig,
                          guint         group)
{
  const FilRigGroup *here = g_ptr_array_index (rig->groups, group);
  gsize start = here->start;
  gsize limit;

  if (group == 0)
    return start;

  limit = ((const FilRigGroup *) g_ptr_array_index (rig->groups, group - 1))->end;
  while (start > limit)
    {
      gsize line = start - 1;

      while (line > limit && rig->text[line - 1] != '\n')
        line--;
      if (!is_comment (rig->text + line, rig->text + start))
        break;
      start = line;
    }

  return start;
}

/* Where the blank lines at the end of the text from @start to @end begin. */
static gsize
find_gap (const char *text,
          gsize       start,
          gsize       end)
{
  gsize gap = end;

  while (gap > start && g_ascii_isspace (text[gap - 1]))
    gap--;
  while (gap < end && text[gap] != '\n')
    gap++;

  return gap < end ? gap + 1 : end;
}

static Block *
block_cut (const FilRig *rig,
           guint         group)
{
  const FilRigGroup *here = g_ptr_array_index (rig->groups, group);
  gsize start = fil_rig_edit_block_start (rig, group);
  gsize end = group + 1 < rig->groups->len ? fil_rig_edit_block_start (rig, group + 1)
                                           : rig->length;
  gsize gap = find_gap (rig->text, start, end);
  Block *block = g_new0 (Block, 1);

  block->body = g_strndup (rig->text + start, gap - start);
  block->header = here->start - start;
  block->gap = g_strndup (rig->text + gap, end - gap);
  block->element = fil_rig_text_is_element (here->name);

  return block;
}

static void
blocks_cut (const FilRig *rig,
            Blocks       *self)
{
  gsize first = rig->groups->len > 0 ? fil_rig_edit_block_start (rig, 0) : rig->length;

  self->head = g_strndup (rig->text, first);
  self->blocks = g_ptr_array_new_with_free_func (block_free);
  for (guint i = 0; i < rig->groups->len; i++)
    g_ptr_array_add (self->blocks, block_cut (rig, i));
}

/* Appends, on a line of its own. */
static void
append_part (GString    *text,
             const char *part,
             const char *line_end)
{
  if (part[0] == '\0')
    return;
  if (text->len > 0 && text->str[text->len - 1] != '\n' &&
      !fil_rig_text_is_mark (text->str, text->len))
    g_string_append (text, line_end);
  g_string_append (text, part);
}

static void
append_block (GString     *text,
              const Block *block,
              guint        number,
              const char  *line_end)
{
  const char *header = block->body + block->header;
  g_autoptr (GString) body = g_string_new (block->body);

  if (block->element)
    {
      const char *open = strchr (header, '[');
      const char *close = strchr (header, ']');
      g_autofree char *name = g_strdup_printf ("element %u", number);

      g_string_erase (body, open + 1 - block->body, close - open - 1);
      g_string_insert (body, open + 1 - block->body, name);
    }
  append_part (text, body->str, line_end);
  append_part (text, block->gap, line_end);
}

/* Puts the text together again, the elements numbered anew. */
static FilRig *
blocks_join (const Blocks *self,
             const FilRig *rig,
             GError      **error)
{
  const char *line_end = fil_rig_edit_line_end (rig);
  g_autoptr (GString) text = g_string_new (self->head);
  guint number = 0;

  for (guint i = 0; i < self->blocks->len; i++)
    {
      const Block *block = g_ptr_array_index (self->blocks, i);

      number += block->element;
      append_block (text, block, number, line_end);
    }

  return fil_rig_parse_text (text->str, text->len, rig->file_name, TRUE, error);
}

/* Returns: which block the element is; with @element the number of elements,
 *   the place behind the last one */
static guint
find_place (const Blocks *self,
            guint         element)
{
  guint behind_last = self->blocks->len;

  for (guint i = 0, n = 0; i < self->blocks->len; i++)
    {
      const Block *block = g_ptr_array_index (self->blocks, i);

      if (!block->element)
        continue;
      if (n++ == element)
        return i;
      behind_last = i + 1;
    }

  return behind_last;
}

static Block *
block_new (FilElementKind kind,
           const char    *line_end)
{
  g_autofree const FilRigKey **keys = fil_element_list_keys (kind, NULL);
  GString *body = g_string_new (NULL);
  Block *block = g_new0 (Block, 1);

  g_string_append_printf (body, "[element 0]%skind=%s%s", line_end, fil_element_kind_to_key (kind),
                          line_end);
  for (guint i = 0; keys[i] != NULL; i++)
    if (keys[i]->usual != NULL)
      g_string_append_printf (body, "%s=%s%s", keys[i]->key, keys[i]->usual, line_end);

  block->body = g_string_free (body, FALSE);
  block->gap = g_strdup ("");
  block->element = TRUE;

  return block;
}

static void
swap_gaps (Block *a,
           Block *b)
{
  char *gap = a->gap;

  a->gap = b->gap;
  b->gap = gap;
}

/**
 * fil_rig_with_element:
 * @index: where it will be, from 0 at the sky; as many as there are elements:
 *   at the sensor
 *
 * Puts in an element with its usual values. What the gate or a finding goes
 * by isn't among them: it must be told.
 *
 * Returns: (transfer full): a new rig, which may be incomplete, or %NULL with
 *   a %FIL_RIG_ERROR where it would be too large
 */
FilRig *
fil_rig_with_element (const FilRig  *rig,
                      FilElementKind kind,
                      guint          index,
                      GError       **error)
{
  g_auto (Blocks) blocks = { NULL, NULL };
  const char *line_end;
  Block *block;
  guint place;

  g_return_val_if_fail (rig != NULL && (guint) kind < FIL_ELEMENT_N_KINDS, NULL);
  g_return_val_if_fail (index <= fil_rig_get_n_elements (rig), NULL);

  line_end = fil_rig_edit_line_end (rig);
  blocks_cut (rig, &blocks);
  place = find_place (&blocks, index);
  block = block_new (kind, line_end);
  if (fil_rig_edit_is_spaced (rig))
    {
      g_free (block->gap);
      block->gap = g_strdup (line_end);
    }
  /* The last block's gap is the end of the file, and stays there. */
  if (place > 0 && place == blocks.blocks->len)
    swap_gaps (block, g_ptr_array_index (blocks.blocks, place - 1));
  g_ptr_array_insert (blocks.blocks, (int) place, block);

  return blocks_join (&blocks, rig, error);
}

/**
 * fil_rig_without_element:
 * @index: from 0 at the sky
 *
 * Takes an element away, with its unknown keys and its comments.
 *
 * Returns: (transfer full): a new rig, which may be incomplete, or %NULL with
 *   a %FIL_RIG_ERROR
 */
FilRig *
fil_rig_without_element (const FilRig *rig,
                         guint         index,
                         GError      **error)
{
  g_auto (Blocks) blocks = { NULL, NULL };
  guint place;

  g_return_val_if_fail (rig != NULL && index < fil_rig_get_n_elements (rig), NULL);

  blocks_cut (rig, &blocks);
  place = find_place (&blocks, index);
  if (place > 0 && place + 1 == blocks.blocks->len)
    swap_gaps (g_ptr_array_index (blocks.blocks, place),
               g_ptr_array_index (blocks.blocks, place - 1));
  g_ptr_array_remove_index (blocks.blocks, place);

  return blocks_join (&blocks, rig, error);
}

/**
 * fil_rig_with_element_moved:
 * @from: which element, from 0 at the sky
 * @to: where it will be
 *
 * Its unknown keys and comments move with it. Other groups stay where they
 * are.
 *
 * Returns: (transfer full): a new rig, or %NULL with a %FIL_RIG_ERROR
 */
FilRig *
fil_rig_with_element_moved (const FilRig *rig,
                            guint         from,
                            guint         to,
                            GError      **error)
{
  g_auto (Blocks) blocks = { NULL, NULL };
  guint n;

  g_return_val_if_fail (rig != NULL, NULL);
  n = fil_rig_get_n_elements (rig);
  g_return_val_if_fail (from < n && to < n, NULL);

  blocks_cut (rig, &blocks);
  /* Step by step past each neighbour. */
  for (guint at = from; at != to; at += at < to ? 1 : -1u)
    {
      guint one = find_place (&blocks, at), other = find_place (&blocks, at < to ? at + 1 : at - 1);
      Block *block = g_ptr_array_index (blocks.blocks, one);
      Block *neighbour = g_ptr_array_index (blocks.blocks, other);

      swap_gaps (block, neighbour);
      g_ptr_array_index (blocks.blocks, one) = neighbour;
      g_ptr_array_index (blocks.blocks, other) = block;
    }

  return blocks_join (&blocks, rig, error);
}

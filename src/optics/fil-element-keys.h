/* fil-element-keys.h: which keys an element has, and what they may say
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-rig-text.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_VALUE_POSITIVE,   /* double, above 0 */
  FIL_VALUE_DENSITY,    /* double, above 0, up to 10 */
  FIL_VALUE_PERCENT,    /* double, 0 to 100 */
  FIL_VALUE_PIXELS,     /* int, 1 to 100000 */
  FIL_VALUE_BITS,       /* int, 1 to 16 */
  FIL_VALUE_YES_NO,     /* gboolean */
  FIL_VALUE_WORD,       /* char *, one of a list */
  FIL_VALUE_TYPE,       /* FilObjectiveType */
  FIL_VALUE_TEXT,       /* char * */
} FilValueType;

/* @kinds: bits 1 << FilElementKind; @offset: into FilElement */
typedef struct
{
  const char  *key;
  guint        kinds;
  FilValueType type;
  gsize        offset;
  const char  *words[3];   /* FIL_VALUE_WORD, ended by NULL */
} FilElementKey;

const FilElementKey *fil_element_find_key (FilElementKind       kind,
                                           const char          *key);
FilElement          *fil_element_parse    (const FilRigGroup   *group,
                                           const char          *file_name,
                                           GError             **error);
void                 fil_element_free     (FilElement          *element);
gboolean             fil_value_number     (const FilRigEntry   *entry,
                                           const char          *file_name,
                                           double               smallest,
                                           double               largest,
                                           double              *value,
                                           GError             **error);
char                *fil_value_dup_text   (const FilRigEntry   *entry,
                                           const char          *file_name,
                                           gboolean             one_line,
                                           GError             **error);

G_END_DECLS

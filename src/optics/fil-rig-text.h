/* fil-rig-text.h: the lines of a rig file, before they mean anything
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_RIG_MAX_BYTES (1024 * 1024)

/* "key=value", trimmed; @start and @end are byte offsets of its whole line. */
typedef struct
{
  char *key;
  char *value;
  guint line;   /* from 1 */
  gsize start, end;
} FilRigEntry;

/* "[name]"; @start is the offset of that line, @end the one just behind its
 * last entry. */
typedef struct
{
  char      *name;
  guint      line;
  gsize      start, end;
  GPtrArray *entries;   /* of FilRigEntry, in the order of the file */
} FilRigGroup;

GPtrArray         *fil_rig_text_scan   (const char        *text,
                                        gsize              length,
                                        const char        *file_name,
                                        GError           **error);
const FilRigGroup *fil_rig_text_find   (const GPtrArray   *groups,
                                        const char        *name);
const FilRigEntry *fil_rig_group_find  (const FilRigGroup *group,
                                        const char        *key);
char              *fil_rig_text_digest (const GPtrArray   *groups);
gboolean           fil_rig_text_is_element (const char    *group_name);
gboolean           fil_rig_text_is_mark (const char       *text,
                                         gsize             length);
gboolean           fil_rig_refuse      (GError           **error,
                                        FilRigError        code,
                                        const char        *file_name,
                                        guint              line,
                                        const char        *key,
                                        const char        *format,
                                        ...) G_GNUC_PRINTF (6, 7);

G_END_DECLS

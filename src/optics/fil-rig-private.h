/* fil-rig-private.h: what a rig is made of
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include <stdatomic.h>

#include "fil-rig-keys.h"
#include "fil-rig-text.h"

G_BEGIN_DECLS

#define FIL_RIG_MAX_ELEMENTS 200   /* a window shows each of them */

/* What [rig] and [site] say. NULL and NaN stand for "not given". */
typedef struct
{
  char     *name;
  char     *observer;
  char     *finder;
  gboolean  altazimuth;
  double    latitude_deg;
  double    longitude_deg;
  double    height_m;
} FilRigHead;

struct _FilRig
{
  atomic_int  references;

  char       *text;       /* exactly as read */
  gsize       length;
  char       *file_name;  /* for messages about changed values */
  char       *digest;
  GPtrArray  *groups;     /* of FilRigGroup, as scanned from the text */
  GPtrArray  *elements;   /* of FilElement */
  FilRigHead  head;
};

FilRig          *fil_rig_parse_text    (const char         *text,
                                        gsize               length,
                                        const char         *file_name,
                                        gboolean            draft,
                                        GError            **error);

FilElement      *fil_element_parse     (const FilRigGroup  *group,
                                        const char         *file_name,
                                        GError            **error);
void             fil_element_free      (FilElement         *element);

const FilRigKey *fil_rig_key_list_all  (gsize              *n_keys);   /* of elements */
const FilRigKey *fil_rig_key_find      (const char         *group,
                                        const char         *key);
void             fil_rig_key_clear     (const FilRigKey    *key,
                                        gpointer            record);
gboolean         fil_rig_key_parse     (const FilRigKey    *key,
                                        gpointer            record,
                                        const FilRigEntry  *entry,
                                        const char         *file_name,
                                        GError            **error);
gboolean         fil_value_word        (const FilRigEntry  *entry,
                                        const char         *file_name,
                                        const char *const  *words,
                                        guint               n_words,
                                        guint              *index,
                                        GError            **error);
gboolean         fil_value_number      (const FilRigEntry  *entry,
                                        const char         *file_name,
                                        double              smallest,
                                        double              largest,
                                        double             *value,
                                        GError            **error);
char            *fil_value_dup_text    (const FilRigEntry  *entry,
                                        const char         *file_name,
                                        gboolean            one_line,
                                        GError            **error);

G_END_DECLS

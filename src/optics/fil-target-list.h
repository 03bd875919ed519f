/* fil-target-list.h: the observer's targets, and the file they are kept in
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-target.h"

G_BEGIN_DECLS

#define FIL_TARGET_ERROR (fil_target_error_quark ())

typedef enum
{
  FIL_TARGET_ERROR_READ,      /* the file can't be read */
  FIL_TARGET_ERROR_SYNTAX,    /* it is no list of targets */
  FIL_TARGET_ERROR_VALUE,     /* a value that is refused */
  FIL_TARGET_ERROR_WRITE,     /* it wasn't saved; what was there is untouched */
  FIL_TARGET_ERROR_CHANGED,   /* not saved: somebody else wrote the file since */
} FilTargetError;

GQuark fil_target_error_quark (void);

#define FIL_TARGETS_MAX 500

/**
 * FilTargetList:
 *
 * Targets in the order they were added; names are unique. One thread at a time.
 */
typedef struct
{
  GPtrArray  *targets;    /* of FilTarget, owned */
  char       *current;    /* name of the one that is recorded now; NULL: none */
  FilRotation rotation;   /* what their places are carried by */
  char       *saved;      /* the file as it was when read or written; NULL: there was none */
  gboolean    refused;    /* the file is not ours to overwrite */
} FilTargetList;

FilTargetList *fil_target_list_new     (void);
void           fil_target_list_free    (FilTargetList  *list);
char          *fil_target_list_dup_path (void);
gboolean       fil_target_list_load    (FilTargetList  *list,
                                        const char     *path,
                                        GError        **error);
gboolean       fil_target_list_parse   (FilTargetList  *list,
                                        const char     *text,
                                        gsize           length,
                                        const char     *shown,
                                        GError        **error);
char          *fil_target_list_to_text (FilTargetList  *list);
gboolean       fil_target_list_save    (FilTargetList  *list,
                                        const char     *path,
                                        GError        **error);
FilTarget     *fil_target_list_find    (FilTargetList  *list,
                                        const char     *name);
gboolean       fil_target_list_add     (FilTargetList  *list,
                                        FilTarget      *target,
                                        int             position,
                                        GError        **error);
FilTarget     *fil_target_list_take    (FilTargetList  *list,
                                        const char     *name,
                                        int            *position);
gboolean       fil_target_list_rename  (FilTargetList  *list,
                                        const char     *name,
                                        const char     *new_name,
                                        GError        **error);
void           fil_target_list_set_current (FilTargetList *list,
                                            const char    *name);
gboolean       fil_target_check_name   (const char     *name,
                                        GError        **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilTargetList, fil_target_list_free)

G_END_DECLS

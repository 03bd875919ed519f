/* fil-rig-folder.h: the folder with the user's own rigs
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

/* One file of the folder. @error: (nullable): why it can't be used, with line
 * and key; @name is the file's name then. */
typedef struct
{
  char *path;
  char *name;
  char *error;
} FilRigFile;

char      *fil_rig_folder_dup_default   (void);
GPtrArray *fil_rig_folder_list          (const char    *folder);   /* of FilRigFile, owned */
char      *fil_rig_folder_dup_new_path  (const char    *folder,
                                         const char    *name);
char      *fil_rig_folder_add           (const char    *folder,
                                         const FilRig  *rig,
                                         GError       **error);
char      *fil_rig_folder_import        (const char    *folder,
                                         const char    *path,
                                         GError       **error);
FilRig    *fil_rig_folder_copy          (const char    *folder,
                                         const FilRig  *rig,
                                         GError       **error);

G_END_DECLS

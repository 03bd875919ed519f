/* fil-clip-info-copy.c: a header's facts, kept
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-clip-info-copy.h"

/* Returns: (transfer full): a copy that owns its strings and its rig */
FilClipInfo *
fil_clip_info_copy (const FilClipInfo *info)
{
  FilClipInfo *copy = g_memdup2 (info, sizeof *info);

  copy->fourcc = g_strdup (info->fourcc);
  copy->detector = g_strdup (info->detector);
  copy->driver = g_strdup (info->driver);
  copy->filter_confirmed = g_strdup (info->filter_confirmed);
  copy->simulated = g_strdup (info->simulated);
  copy->stamp_comment = g_strdup (info->stamp_comment);
  if (info->rig != NULL)
    copy->rig = fil_rig_ref ((FilRig *) info->rig);

  return copy;
}

void
fil_clip_info_free (FilClipInfo *info)
{
  if (info == NULL)
    return;

  g_free ((char *) info->fourcc);
  g_free ((char *) info->detector);
  g_free ((char *) info->driver);
  g_free ((char *) info->filter_confirmed);
  g_free ((char *) info->simulated);
  g_free ((char *) info->stamp_comment);
  if (info->rig != NULL)
    fil_rig_unref ((FilRig *) info->rig);
  g_free (info);
}

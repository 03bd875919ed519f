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
  copy->target = g_strdup (info->target);
  if (info->place != NULL)
    copy->place = g_memdup2 (info->place, sizeof *info->place);
  if (info->rig != NULL)
    copy->rig = fil_rig_ref ((FilRig *) info->rig);

  return copy;
}

/**
 * fil_clip_info_cut:
 * @info: a copy of ours
 * @cut: from the top left, inside of the picture
 *
 * What is stored is a part of the picture: its size, and where disc and patch
 * lie on it. A patch that isn't stored whole is left out.
 */
void
fil_clip_info_cut (FilClipInfo   *info,
                   const FilRect *cut)
{
  FilPlace *place = (FilPlace *) info->place;

  if (place != NULL)
    {
      place->centre_x -= cut->x;
      place->centre_y -= info->height - cut->y - cut->height;
    }
  info->patch.x -= cut->x;
  info->patch.y -= cut->y;
  info->width = cut->width;
  info->height = cut->height;
  if (!fil_rect_is_inside (&info->patch, info->width, info->height))
    info->patch = (FilRect) { 0 };
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
  g_free ((char *) info->target);
  g_free ((FilPlace *) info->place);
  if (info->rig != NULL)
    fil_rig_unref ((FilRig *) info->rig);
  g_free (info);
}

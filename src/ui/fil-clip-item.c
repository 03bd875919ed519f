/* fil-clip-item.c: a clip in the list, with a small picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>

#include <glib/gi18n.h>

#include "fil-clip-item.h"
#include "fil-clip.h"
#include "fil-render.h"

#define MOST_CLIPS    200
#define PICTURE_WIDTH 132
#define PICTURE_HEIGHT 75

struct _FilClipItem
{
  GObject     parent_instance;

  char       *path, *title, *detail;
  GdkTexture *picture;    /* NULL: the clip has no frame that can be shown */
};

G_DEFINE_FINAL_TYPE (FilClipItem, fil_clip_item, G_TYPE_OBJECT)

static void
fil_clip_item_finalize (GObject *object)
{
  FilClipItem *self = FIL_CLIP_ITEM (object);

  g_free (self->path);
  g_free (self->title);
  g_free (self->detail);
  g_clear_object (&self->picture);

  G_OBJECT_CLASS (fil_clip_item_parent_class)->finalize (object);
}

static void
fil_clip_item_class_init (FilClipItemClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_clip_item_finalize;
}

static void
fil_clip_item_init (FilClipItem *self)
{
}

/* The largest part of the frame that has the small picture's shape. */
static FilRegion
middle_of (const FilFrame *frame)
{
  double scale = MIN ((double) frame->width / PICTURE_WIDTH,
                      (double) frame->height / PICTURE_HEIGHT);
  FilRegion region = { 0, 0, PICTURE_WIDTH * scale, PICTURE_HEIGHT * scale };

  region.x = (frame->width - region.width) / 2.0;
  region.y = (frame->height - region.height) / 2.0;

  return region;
}

static GdkTexture *
new_picture (FilClip *clip)
{
  g_autoptr (FilRenderer) renderer = fil_renderer_new ();
  g_autoptr (FilFrame) frame = fil_clip_read_frame (clip, 0, NULL);
  g_autoptr (GBytes) bytes = NULL;
  FilLook look;
  FilRegion region;
  uint32_t *pixels;

  if (frame == NULL)
    return NULL;

  region = middle_of (frame);
  fil_look_init (&look, fil_clip_get_full_scale (clip));
  look.paint_full = FALSE;
  if (!fil_renderer_stretch (renderer, frame, &look, NULL))
    return NULL;

  pixels = g_new (uint32_t, PICTURE_WIDTH * PICTURE_HEIGHT);
  bytes = g_bytes_new_take (pixels, sizeof *pixels * PICTURE_WIDTH * PICTURE_HEIGHT);
  if (!fil_renderer_draw (renderer, frame, &region, &look, pixels, PICTURE_WIDTH,
                          PICTURE_HEIGHT, PICTURE_WIDTH, NULL))
    return NULL;

  return gdk_memory_texture_new (PICTURE_WIDTH, PICTURE_HEIGHT, GDK_MEMORY_DEFAULT, bytes,
                                 sizeof *pixels * PICTURE_WIDTH);
}

static char *
describe (FilClip *clip)
{
  guint64 n_frames = fil_clip_get_n_frames (clip);

  if (!fil_clip_is_complete (clip))
    return g_strdup_printf (_("%" PRIu64 " · interrupted"), n_frames);

  return g_strdup_printf (_("%" PRIu64 " · %d × %d"), n_frames,
                          fil_clip_get_width (clip), fil_clip_get_height (clip));
}

static char *
title_of (FilClip    *clip,
          const char *name)
{
  gint64 begin_ns = fil_clip_get_utc_begin_ns (clip);
  g_autoptr (GDateTime) utc = NULL, local = NULL;

  if (begin_ns == G_MININT64)
    return g_strdup (name);

  utc = g_date_time_new_from_unix_utc (begin_ns / G_GINT64_CONSTANT (1000000000));
  local = utc != NULL ? g_date_time_to_local (utc) : NULL;

  return local != NULL ? g_date_time_format (local, "%H:%M:%S") : g_strdup (name);
}

static FilClipItem *
new_item (const char *folder,
          const char *name)
{
  FilClipItem *self = g_object_new (FIL_TYPE_CLIP_ITEM, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilClip) clip = NULL;

  self->path = g_build_filename (folder, name, NULL);
  clip = fil_clip_open (self->path, &error);
  if (clip == NULL)
    {
      self->title = g_strdup (name);
      self->detail = g_strdup (_("can’t be read"));
      return self;
    }

  self->title = title_of (clip, name);
  self->detail = describe (clip);
  self->picture = new_picture (clip);

  return self;
}

typedef struct
{
  char  *name;
  gint64 modified;
} Entry;

static void
entry_clear (gpointer data)
{
  g_free (((Entry *) data)->name);
}

static int
compare_entries (gconstpointer a,
                 gconstpointer b)
{
  const Entry *x = a, *y = b;

  return (y->modified > x->modified) - (y->modified < x->modified);
}

static gboolean
is_fits (const char *name)
{
  g_autofree char *lower = g_ascii_strdown (name, -1);

  return g_str_has_suffix (lower, ".fits") || g_str_has_suffix (lower, ".fit") ||
         g_str_has_suffix (lower, ".fits.fz");
}

static GArray *
list_names (const char *folder,
            GError    **error)
{
  g_autoptr (GFile) file = g_file_new_for_path (folder);
  g_autoptr (GFileEnumerator) enumerator = NULL;
  GArray *entries;

  enumerator = g_file_enumerate_children (
    file, G_FILE_ATTRIBUTE_STANDARD_NAME "," G_FILE_ATTRIBUTE_TIME_MODIFIED,
    G_FILE_QUERY_INFO_NONE, NULL, error);
  if (enumerator == NULL)
    return NULL;

  entries = g_array_new (FALSE, FALSE, sizeof (Entry));
  g_array_set_clear_func (entries, entry_clear);
  for (;;)
    {
      GFileInfo *info = NULL;
      Entry entry;

      if (!g_file_enumerator_iterate (enumerator, &info, NULL, NULL, NULL) || info == NULL)
        break;
      if (!is_fits (g_file_info_get_name (info)))
        continue;
      entry.name = g_strdup (g_file_info_get_name (info));
      entry.modified = (gint64) g_file_info_get_attribute_uint64 (
        info, G_FILE_ATTRIBUTE_TIME_MODIFIED);
      g_array_append_val (entries, entry);
    }
  g_array_sort (entries, compare_entries);
  if (entries->len > MOST_CLIPS)
    g_array_set_size (entries, MOST_CLIPS);

  return entries;
}

static void
list_thread (GTask        *task,
             gpointer      source_object,
             gpointer      task_data,
             GCancellable *cancellable)
{
  const char *folder = task_data;
  GError *error = NULL;
  g_autoptr (GArray) entries = list_names (folder, &error);
  GPtrArray *items;

  if (entries == NULL)
    {
      g_task_return_error (task, error);
      return;
    }

  items = g_ptr_array_new_with_free_func (g_object_unref);
  for (guint i = 0; i < entries->len && !g_cancellable_is_cancelled (cancellable); i++)
    {
      const Entry *entry = &g_array_index (entries, Entry, i);

      g_ptr_array_add (items, new_item (folder, entry->name));
    }
  g_task_return_pointer (task, items, (GDestroyNotify) g_ptr_array_unref);
}

void
fil_clip_item_list_async (const char          *folder,
                          GCancellable        *cancellable,
                          GAsyncReadyCallback  callback,
                          gpointer             user_data)
{
  g_autoptr (GTask) task = g_task_new (NULL, cancellable, callback, user_data);

  g_task_set_task_data (task, g_strdup (folder), g_free);
  g_task_run_in_thread (task, list_thread);
}

/* Returns: (transfer full) (element-type FilClipItem): the clips, newest first */
GPtrArray *
fil_clip_item_list_finish (GAsyncResult *result,
                           GError      **error)
{
  return g_task_propagate_pointer (G_TASK (result), error);
}

const char *
fil_clip_item_get_path (FilClipItem *self)
{
  g_return_val_if_fail (FIL_IS_CLIP_ITEM (self), NULL);

  return self->path;
}

/* Returns: the local time of its first frame, or its file's name */
const char *
fil_clip_item_get_title (FilClipItem *self)
{
  g_return_val_if_fail (FIL_IS_CLIP_ITEM (self), NULL);

  return self->title;
}

const char *
fil_clip_item_get_detail (FilClipItem *self)
{
  g_return_val_if_fail (FIL_IS_CLIP_ITEM (self), NULL);

  return self->detail;
}

/* Returns: (transfer none) (nullable): its first frame, small */
GdkPaintable *
fil_clip_item_get_picture (FilClipItem *self)
{
  g_return_val_if_fail (FIL_IS_CLIP_ITEM (self), NULL);

  return GDK_PAINTABLE (self->picture);
}

/* fil-plug-watch.c: cameras that come and go
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * udev tells when it has made a node ready. Where no udev runs (a container,
 * a small machine), the kernel's own nodes are watched instead. Either way
 * that is only a hint to look: what was seen before is compared with what is
 * there now, so that no event can be missed or told twice. */

#include <gio/gio.h>
#include <gudev/gudev.h>

#include "fil-plug-watch.h"
#include "fil-source.h"

#define SETTLE_MS 150   /* nodes come in groups, and get their rights a moment later */

struct _FilPlugWatch
{
  GObject       parent_instance;

  GUdevClient  *client;
  GFileMonitor *nodes;
  GHashTable   *present;   /* path to identity */
  guint         look_id;
};

enum
{
  ADDED,
  REMOVED,
  N_SIGNALS
};

G_DEFINE_FINAL_TYPE (FilPlugWatch, fil_plug_watch, G_TYPE_OBJECT)

static guint signals[N_SIGNALS];

/* Returns: (transfer full): path to identity, of the cameras there are */
static GHashTable *
look (void)
{
  GHashTable *found = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  g_autoptr (GPtrArray) listings = fil_source_list ();

  for (guint i = 0; i < listings->len; i++)
    {
      const FilSourceListing *listing = g_ptr_array_index (listings, i);
      char *identity;

      if (!fil_source_name_is_live (listing->path))
        continue;
      identity = fil_source_dup_identity (listing->path, NULL);
      if (identity != NULL)
        g_hash_table_insert (found, g_strdup (listing->path), identity);
    }

  return found;
}

/* A camera that was replaced by another at the same path is both. */
static gboolean
compare_cb (gpointer user_data)
{
  FilPlugWatch *self = g_object_ref (user_data);
  g_autoptr (GHashTable) before = g_steal_pointer (&self->present);
  GHashTableIter iter;
  gpointer path, identity;
  GHashTable *now = look ();

  self->look_id = 0;
  self->present = g_hash_table_ref (now);

  g_hash_table_iter_init (&iter, before);
  while (g_hash_table_iter_next (&iter, &path, &identity))
    if (g_strcmp0 (g_hash_table_lookup (now, path), identity) != 0)
      g_signal_emit (self, signals[REMOVED], 0, path, identity);

  g_hash_table_iter_init (&iter, now);
  while (g_hash_table_iter_next (&iter, &path, &identity))
    if (g_strcmp0 (g_hash_table_lookup (before, path), identity) != 0)
      g_signal_emit (self, signals[ADDED], 0, path);

  g_hash_table_unref (now);
  g_object_unref (self);

  return G_SOURCE_REMOVE;
}

static void
look_soon (FilPlugWatch *self)
{
  if (self->look_id == 0)
    self->look_id = g_timeout_add (SETTLE_MS, compare_cb, self);
}

static void
uevent_cb (GUdevClient  *client,
           const char   *action,
           GUdevDevice  *device,
           FilPlugWatch *self)
{
  look_soon (self);
}

static void
node_cb (GFileMonitor      *monitor,
         GFile             *file,
         GFile             *other,
         GFileMonitorEvent  event,
         FilPlugWatch      *self)
{
  g_autofree char *name = g_file_get_basename (file);

  if (name != NULL && g_str_has_prefix (name, "video") &&
      (event == G_FILE_MONITOR_EVENT_CREATED || event == G_FILE_MONITOR_EVENT_DELETED ||
       event == G_FILE_MONITOR_EVENT_ATTRIBUTE_CHANGED))
    look_soon (self);
}

static void
fil_plug_watch_dispose (GObject *object)
{
  FilPlugWatch *self = FIL_PLUG_WATCH (object);

  g_clear_handle_id (&self->look_id, g_source_remove);
  if (self->client != NULL)
    g_signal_handlers_disconnect_by_data (self->client, self);
  if (self->nodes != NULL)
    g_signal_handlers_disconnect_by_data (self->nodes, self);
  g_clear_object (&self->client);
  g_clear_object (&self->nodes);
  g_clear_pointer (&self->present, g_hash_table_unref);

  G_OBJECT_CLASS (fil_plug_watch_parent_class)->dispose (object);
}

static void
fil_plug_watch_class_init (FilPlugWatchClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_plug_watch_dispose;

  signals[ADDED] =
    g_signal_new ("added", FIL_TYPE_PLUG_WATCH, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 1, G_TYPE_STRING);
  signals[REMOVED] =
    g_signal_new ("removed", FIL_TYPE_PLUG_WATCH, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 2, G_TYPE_STRING, G_TYPE_STRING);
}

static void
fil_plug_watch_init (FilPlugWatch *self)
{
  static const char *const subsystems[] = { "video4linux", NULL };
  g_autoptr (GFile) directory = g_file_new_for_path ("/dev");

  self->client = g_udev_client_new (subsystems);
  g_signal_connect (self->client, "uevent", G_CALLBACK (uevent_cb), self);
  self->nodes = g_file_monitor_directory (directory, G_FILE_MONITOR_NONE, NULL, NULL);
  if (self->nodes != NULL)
    g_signal_connect (self->nodes, "changed", G_CALLBACK (node_cb), self);
  self->present = look ();
}

/* Returns: (transfer full): a watch; it ends when it is let go */
FilPlugWatch *
fil_plug_watch_new (void)
{
  return g_object_new (FIL_TYPE_PLUG_WATCH, NULL);
}

/* fil-v4l2-node.c: video nodes, looked at without opening them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

#include <glib/gi18n-lib.h>
#include <gudev/gudev.h>

#include "fil-source-backend.h"
#include "fil-v4l2-device.h"
#include "fil-v4l2-node.h"

#define VIDEO_MAJOR 81   /* linux-doc, admin-guide/devices.txt: 81 char, video4linux */

/* Whether @path names a device node, whatever kind: never a file to replay. */
gboolean
fil_v4l2_node_claims (const char *path)
{
  struct stat info;

  return g_str_has_prefix (path, "/dev/") ||
         (stat (path, &info) == 0 && (S_ISCHR (info.st_mode) || S_ISBLK (info.st_mode)));
}

static void
set_no_camera (GError    **error,
               const char *path)
{
  g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA,
               _("%s is no camera"), path);
}

/**
 * fil_v4l2_node_dup_identity:
 * @path: a device node
 *
 * One plugging-in of one device. The kernel makes a new directory in sysfs
 * and a new node each time, and gives both numbers that it doesn't use again
 * for a very long time; together with the place on the bus they name it.
 *
 * Returns: (transfer full): the identity, or %NULL for what is no video node
 */
char *
fil_v4l2_node_dup_identity (const char *path,
                            GError    **error)
{
  g_autofree char *link = NULL;
  g_autofree char *subsystem = NULL;
  g_autofree char *class = NULL;
  char *directory;
  struct stat node, sysfs;
  char *identity;

  if (stat (path, &node) < 0)
    {
      fil_v4l2_set_errno (error, errno == ENOTDIR ? ENOENT : errno, path);
      return NULL;
    }
  if (!S_ISCHR (node.st_mode) || major (node.st_rdev) != VIDEO_MAJOR)
    {
      set_no_camera (error, path);
      return NULL;
    }

  link = g_strdup_printf ("/sys/dev/char/%u:%u", major (node.st_rdev), minor (node.st_rdev));
  directory = realpath (link, NULL);
  if (directory == NULL || stat (directory, &sysfs) < 0)
    {
      /* A node left behind by a camera that is gone, or no sysfs at all. */
      free (directory);
      fil_v4l2_set_errno (error, ENODEV, path);
      return NULL;
    }

  subsystem = g_build_filename (directory, "subsystem", NULL);
  class = g_file_read_link (subsystem, NULL);
  if (class == NULL || !g_str_has_suffix (class, "/video4linux"))
    {
      free (directory);
      set_no_camera (error, path);
      return NULL;
    }

  identity = g_strdup_printf ("v4l2:%u:%u:%s:%" G_GUINT64_FORMAT ":%" G_GUINT64_FORMAT,
                              major (node.st_rdev), minor (node.st_rdev), directory,
                              (guint64) sysfs.st_ino, (guint64) node.st_ino);
  free (directory);

  return identity;
}

/* The driver of the nearest parent that has one; "" where none tells. */
static char *
dup_driver (GUdevDevice *device)
{
  g_autoptr (GUdevDevice) at = g_object_ref (device);

  while (at != NULL)
    {
      const char *driver = g_udev_device_get_driver (at);
      GUdevDevice *parent;

      if (driver != NULL)
        return g_strdup (driver);
      parent = g_udev_device_get_parent (at);
      g_object_unref (at);
      at = parent;
    }

  return g_strdup ("");
}

static char *
dup_bus (GUdevDevice *device)
{
  g_autoptr (GUdevDevice) parent = NULL;
  const char *place = g_udev_device_get_property (device, "ID_PATH");

  if (place != NULL)
    return g_strdup (place);

  parent = g_udev_device_get_parent (device);

  return g_strdup (parent != NULL ? g_udev_device_get_name (parent) : "");
}

/* udev's database says what a node can do; where no udev runs, it is silent,
 * and the node is a candidate. */
static gboolean
may_capture (GUdevDevice *device)
{
  const char *file = g_udev_device_get_device_file (device);
  const char *can = g_udev_device_get_property (device, "ID_V4L_CAPABILITIES");

  if (file == NULL || !g_str_has_prefix (g_udev_device_get_name (device), "video"))
    return FALSE;

  return can == NULL || strstr (can, ":capture:") != NULL;
}

static gint
compare_paths (gconstpointer a,
               gconstpointer b)
{
  const FilSourceListing *first = *(FilSourceListing *const *) a;
  const FilSourceListing *second = *(FilSourceListing *const *) b;
  gsize first_length = strlen (first->path), second_length = strlen (second->path);

  if (first_length != second_length)
    return first_length < second_length ? -1 : 1;

  return strcmp (first->path, second->path);
}

/* Adds the cameras that are plugged in, by node. */
void
fil_v4l2_node_list (GPtrArray *listings)
{
  g_autoptr (GUdevClient) client = g_udev_client_new (NULL);
  g_autoptr (GPtrArray) found = g_ptr_array_new ();
  GList *devices = g_udev_client_query_by_subsystem (client, "video4linux");

  for (GList *l = devices; l != NULL; l = l->next)
    {
      FilSourceListing *listing;
      const char *name = g_udev_device_get_sysfs_attr (l->data, "name");

      if (!may_capture (l->data))
        continue;

      listing = g_new0 (FilSourceListing, 1);
      listing->path = g_strdup (g_udev_device_get_device_file (l->data));
      listing->name = g_utf8_make_valid (name != NULL ? name : listing->path, -1);
      listing->driver = dup_driver (l->data);
      listing->bus = dup_bus (l->data);
      g_ptr_array_add (found, listing);
    }
  g_list_free_full (devices, g_object_unref);

  g_ptr_array_sort (found, compare_paths);
  for (guint i = 0; i < found->len; i++)
    g_ptr_array_add (listings, g_ptr_array_index (found, i));
}

/* fil-v4l2-device.c: one open video node, and its answers
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The kernel's interface: linux-doc, userspace-api/media/v4l. */

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "fil-v4l2-device.h"
#include "fil-v4l2-node.h"

static int
kernel_call (int           fd,
             unsigned long request,
             gpointer      argument)
{
  int result;

  do
    result = ioctl (fd, request, argument);
  while (result < 0 && errno == EINTR);

  return result;
}

static void *
kernel_map (int    fd,
            gsize  length,
            gint64 offset)
{
  void *data = mmap (NULL, length, PROT_READ, MAP_SHARED, fd, offset);

  return data == MAP_FAILED ? NULL : data;
}

static void
kernel_unmap (void *data,
              gsize length)
{
  munmap (data, length);
}

const FilV4l2Ops fil_v4l2_kernel_ops = {
  .call = kernel_call,
  .map = kernel_map,
  .unmap = kernel_unmap,
  .stall_ns = 5 * G_GINT64_CONSTANT (1000000000),
};

/**
 * fil_v4l2_set_errno:
 * @number: an errno
 * @what: what was tried, translated
 *
 * Sets the %FIL_SOURCE_ERROR that @number stands for on a video node.
 */
void
fil_v4l2_set_errno (GError    **error,
                    int         number,
                    const char *what)
{
  switch (number)
    {
    case ENOENT:
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_FOUND,
                   _("%s: there is no such device; plug the camera in"), what);
      break;
    case ENODEV:
    case ENXIO:
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_UNPLUGGED,
                   _("%s: the camera is gone; plug it in and open it again"), what);
      break;
    case EBUSY:
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY,
                   _("%s: another program is using the camera; end it and try again"), what);
      break;
    case ENOSPC:
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY,
                   _("%s: the bus has no room left for this rate; choose a smaller size or "
                     "another port"), what);
      break;
    case EACCES:
    case EPERM:
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_ACCESS,
                   _("%s: not permitted; ask to be put into the group “video”"), what);
      break;
    default:
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL,
                   _("%s: the driver answered “%s”"), what, g_strerror (number));
      break;
    }
}

/* As ioctl(), never interrupted. Any thread. */
int
fil_v4l2_device_call (const FilV4l2Device *device,
                      unsigned long        request,
                      gpointer             argument)
{
  return device->ops->call (device->fd, request, argument);
}

static char *
dup_driver_text (const guint8 *text,
                 gsize         size)
{
  g_autofree char *bytes = g_strndup ((const char *) text, size);

  return g_utf8_make_valid (bytes, -1);
}

/* Whether what QUERYCAP told is a camera that we can stream from. */
static gboolean
check_capabilities (const struct v4l2_capability *capability,
                    const char                   *path,
                    GError                      **error)
{
  guint32 can = (capability->capabilities & V4L2_CAP_DEVICE_CAPS) != 0
                ? capability->device_caps : capability->capabilities;

  if ((can & V4L2_CAP_VIDEO_CAPTURE) == 0 && (can & V4L2_CAP_VIDEO_CAPTURE_MPLANE) != 0)
    g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA,
                 _("%s delivers pictures in several planes, which is not supported"), path);
  else if ((can & V4L2_CAP_VIDEO_CAPTURE) == 0)
    g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA,
                 _("%s captures no pictures; choose another node of the camera"), path);
  else if ((can & V4L2_CAP_STREAMING) == 0)
    g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA,
                 _("%s can't stream into memory, which is needed"), path);
  else
    return TRUE;

  return FALSE;
}

/**
 * fil_v4l2_device_adopt:
 * @fd: an open, non-blocking video node; taken, also when this fails
 * @ops: how to talk to it; kept by reference
 *
 * Asks the node what it is.
 *
 * Returns: (transfer full): the device, or %NULL
 */
FilV4l2Device *
fil_v4l2_device_adopt (int               fd,
                       const FilV4l2Ops *ops,
                       const char       *path,
                       const char       *identity,
                       GError          **error)
{
  g_autoptr (FilV4l2Device) device = g_new0 (FilV4l2Device, 1);
  struct v4l2_capability capability = { 0 };

  device->fd = fd;
  device->ops = ops;
  device->path = g_strdup (path);
  device->identity = g_strdup (identity);

  if (fil_v4l2_device_call (device, VIDIOC_QUERYCAP, &capability) < 0)
    {
      if (errno == ENOTTY || errno == EINVAL)
        g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA,
                     _("%s is no camera"), path);
      else
        fil_v4l2_set_errno (error, errno, path);
      return NULL;
    }
  if (!check_capabilities (&capability, path, error))
    return NULL;

  device->name = dup_driver_text (capability.card, sizeof capability.card);
  device->driver = dup_driver_text (capability.driver, sizeof capability.driver);
  device->bus = dup_driver_text (capability.bus_info, sizeof capability.bus_info);

  return g_steal_pointer (&device);
}

/**
 * fil_v4l2_device_open:
 * @path: a device node
 *
 * Opens the node for questions; nothing streams. What is no video node is
 * refused before it is opened, since opening some nodes does things.
 *
 * Returns: (transfer full): the device, or %NULL
 */
FilV4l2Device *
fil_v4l2_device_open (const char *path,
                      GError    **error)
{
  g_autofree char *identity = fil_v4l2_node_dup_identity (path, error);
  g_autofree char *opened = NULL;
  int fd;

  if (identity == NULL)
    return NULL;

  fd = g_open (path, O_RDWR | O_NONBLOCK | O_CLOEXEC | O_NOCTTY, 0);
  if (fd < 0)
    {
      fil_v4l2_set_errno (error, errno, path);
      return NULL;
    }

  /* Between the two, one camera may have taken another's place. */
  opened = fil_v4l2_node_dup_identity (path, NULL);
  if (g_strcmp0 (identity, opened) != 0)
    {
      close (fd);
      fil_v4l2_set_errno (error, ENODEV, path);
      return NULL;
    }

  return fil_v4l2_device_adopt (fd, &fil_v4l2_kernel_ops, path, identity, error);
}

void
fil_v4l2_device_close (FilV4l2Device *device)
{
  if (device == NULL)
    return;

  close (device->fd);
  g_free (device->path);
  g_free (device->name);
  g_free (device->driver);
  g_free (device->bus);
  g_free (device->identity);
  g_free (device);
}

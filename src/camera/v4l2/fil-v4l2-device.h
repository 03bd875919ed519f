/* fil-v4l2-device.h: one open video node, and its answers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <linux/videodev2.h>

#include "fil-source.h"

G_BEGIN_DECLS

#define FIL_V4L2_MAX_SIDE  32768          /* pixels; nothing larger is believed */
#define FIL_V4L2_MAX_BYTES (1u << 30)     /* of one frame */

/**
 * FilV4l2Ops:
 * @call: as ioctl(), but never interrupted: −1 and errno, or at least 0
 * @map: as mmap() of a shared buffer; %NULL and errno when it fails
 * @unmap: as munmap()
 * @stall_ns: silence after which a stream has stalled, less the exposure
 *
 * What stands between us and the kernel. Tests put a made-up driver here.
 */
typedef struct
{
  int   (*call)  (int           fd,
                  unsigned long request,
                  gpointer      argument);
  void *(*map)   (int           fd,
                  gsize         length,
                  gint64        offset);
  void  (*unmap) (void         *data,
                  gsize         length);
  gint64 stall_ns;
} FilV4l2Ops;

/**
 * FilV4l2Device:
 * @fd: owned; non-blocking
 * @identity: see fil_v4l2_node_dup_identity()
 *
 * Never changes after it was opened; ioctls on @fd are for any thread.
 */
typedef struct
{
  int               fd;
  const FilV4l2Ops *ops;
  char             *path;
  char             *name;
  char             *driver;
  char             *bus;
  char             *identity;
} FilV4l2Device;

extern const FilV4l2Ops fil_v4l2_kernel_ops;

FilV4l2Device *fil_v4l2_device_open    (const char           *path,
                                        GError              **error);
FilV4l2Device *fil_v4l2_device_adopt   (int                   fd,
                                        const FilV4l2Ops     *ops,
                                        const char           *path,
                                        const char           *identity,
                                        GError              **error);
void           fil_v4l2_device_close   (FilV4l2Device        *device);
int            fil_v4l2_device_call    (const FilV4l2Device  *device,
                                        unsigned long         request,
                                        gpointer              argument);
void           fil_v4l2_set_errno      (GError              **error,
                                        int                   number,
                                        const char           *what);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilV4l2Device, fil_v4l2_device_close)

G_END_DECLS

/* fake-driver.h: a made-up camera driver, which can be told to answer nonsense
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <pthread.h>

#include "v4l2/fil-v4l2-device.h"

G_BEGIN_DECLS

#define FAKE_MAX_BUFFERS 32
#define FAKE_WIDTH  64
#define FAKE_HEIGHT 32

typedef struct
{
  struct v4l2_query_ext_ctrl query;
  gint64                     value;
  char                       text[32];
} FakeControl;

/**
 * FakeDriver:
 * @fail: errno that an ioctl answers, by its number (_IOC_NR); 0: it works
 * @spoil: changes the answer to S_FMT
 * @buffers_given: how many REQBUFS gives at most
 * @crop_step: 0: no selection; else regions are aligned to it
 *
 * One at a time. Set up before it is opened; then only through functions.
 */
typedef struct
{
  guint32         capabilities, device_caps;
  int             fail[256];
  void          (*spoil) (struct v4l2_pix_format *pix);
  guint           buffers_given;
  int             crop_step;
  gboolean        crop_scales;      /* frames keep their size whatever the region */
  gboolean        endless;          /* lists never end */
  guint32         size_type;        /* of frame sizes and intervals */
  FakeControl     controls[16];
  guint           n_controls;

  pthread_mutex_t lock;             /* guards what follows, and fail */
  int             fd;
  struct v4l2_pix_format pix;
  struct v4l2_rect crop;
  struct v4l2_fract interval;
  guint           n_buffers;
  guint8         *memory[FAKE_MAX_BUFFERS];
  guint32         queued[FAKE_MAX_BUFFERS];
  guint           n_queued;
  struct v4l2_buffer done[FAKE_MAX_BUFFERS];
  guint           n_done;
  guint           n_mapped;
  guint           n_stream_on, n_stream_off;
} FakeDriver;

extern FakeDriver fake;

void       fake_reset    (void);
FilSource *fake_open     (GError            **error);
void       fake_fail     (unsigned long       request,
                          int                 number);
gboolean   fake_push     (guint32             sequence,
                          guint8              fill,
                          guint32             bytesused,
                          guint32             flags,
                          gint64              stamp_us);
void       fake_push_raw (const struct v4l2_buffer *buffer);
guint      fake_n_queued (void);
guint      fake_n_mapped (void);

G_END_DECLS

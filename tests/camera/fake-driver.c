/* fake-driver.c: a made-up camera driver, which can be told to answer nonsense
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "fake-driver.h"
#include "v4l2/fil-v4l2-source.h"

FakeDriver fake = { .lock = PTHREAD_MUTEX_INITIALIZER };

static const guint32 formats[] = {
  V4L2_PIX_FMT_YUYV, V4L2_PIX_FMT_GREY, V4L2_PIX_FMT_Y12, V4L2_PIX_FMT_SRGGB10,
  V4L2_PIX_FMT_MJPEG, V4L2_PIX_FMT_HSV24,
};

static int
answer_error (int number)
{
  errno = number;

  return -1;
}

static int
query_capabilities (struct v4l2_capability *answer)
{
  memcpy (answer->driver, "fake", 5);
  memcpy (answer->card, "Made-up camera \xff", 17);   /* not UTF-8 */
  memcpy (answer->bus_info, "bus-1", 6);
  answer->capabilities = fake.capabilities;
  answer->device_caps = fake.device_caps;

  return 0;
}

static int
list_formats (struct v4l2_fmtdesc *answer)
{
  if (answer->index >= G_N_ELEMENTS (formats) && !fake.endless)
    return answer_error (EINVAL);

  answer->pixelformat = formats[answer->index % G_N_ELEMENTS (formats)];

  return 0;
}

static int
list_sizes (struct v4l2_frmsizeenum *answer)
{
  if (answer->index > 2 && !fake.endless)
    return answer_error (EINVAL);

  answer->type = fake.size_type;
  if (fake.size_type == V4L2_FRMSIZE_TYPE_DISCRETE)
    {
      /* The last one is nonsense. */
      static const struct v4l2_frmsize_discrete sizes[] = {
        { FAKE_WIDTH / 2, FAKE_HEIGHT / 2 }, { FAKE_WIDTH, FAKE_HEIGHT }, { 0, G_MAXUINT32 },
      };

      answer->discrete = sizes[answer->index % 3];
      return 0;
    }

  answer->stepwise = (struct v4l2_frmsize_stepwise) {
    16, FAKE_WIDTH, 8, 16, FAKE_HEIGHT, 4
  };

  return answer->index == 0 ? 0 : answer_error (EINVAL);
}

static int
list_intervals (struct v4l2_frmivalenum *answer)
{
  static const struct v4l2_fract steps[] = { { 1, 10 }, { 1, 50 }, { 0, 0 }, { 1, 25 } };

  if (answer->index >= G_N_ELEMENTS (steps) && !fake.endless)
    return answer_error (EINVAL);

  answer->type = fake.size_type;
  answer->discrete = steps[answer->index % G_N_ELEMENTS (steps)];
  if (fake.size_type != V4L2_FRMSIZE_TYPE_DISCRETE)
    {
      answer->stepwise.min = (struct v4l2_fract) { 1, 100 };
      answer->stepwise.max = (struct v4l2_fract) { 2, 1 };
    }

  return 0;
}

static void
lay_out (struct v4l2_pix_format *pix)
{
  const FilPixelFormat *format = fil_pixel_format_from_fourcc (pix->pixelformat);

  pix->bytesperline = (guint32) fil_pixel_format_min_stride (format, (int) pix->width);
  if (pix->bytesperline > 0)
    pix->bytesperline += 6;   /* rows needn't be tight */
  pix->sizeimage = pix->bytesperline > 0 ? pix->bytesperline * pix->height : 4096;
}

static int
set_format (struct v4l2_format *format)
{
  struct v4l2_pix_format *pix = &format->fmt.pix;

  pix->width = CLAMP (pix->width, 16, FAKE_WIDTH);
  pix->height = CLAMP (pix->height, 16, FAKE_HEIGHT);
  if (fake.crop_step > 0 && !fake.crop_scales)
    {
      pix->width = fake.crop.width;
      pix->height = fake.crop.height;
    }
  pix->field = V4L2_FIELD_NONE;
  lay_out (pix);
  fake.pix = *pix;
  if (fake.spoil != NULL)
    fake.spoil (pix);

  return 0;
}

static int
get_format (struct v4l2_format *format)
{
  format->fmt.pix = fake.pix;

  return 0;
}

static int
get_selection (struct v4l2_selection *selection)
{
  if (fake.crop_step == 0)
    return answer_error (ENOTTY);

  /* The field begins at an odd place, as some do. */
  selection->r = selection->target == V4L2_SEL_TGT_CROP
                 ? fake.crop : (struct v4l2_rect) { 3, 5, FAKE_WIDTH, FAKE_HEIGHT };

  return 0;
}

static int
set_selection (struct v4l2_selection *selection)
{
  int step = fake.crop_step;
  int left, top, right, bottom;

  if (step == 0)
    return answer_error (ENOTTY);

  left = (selection->r.left - 3) / step * step;
  top = (selection->r.top - 5) / step * step;
  right = (selection->r.left - 3 + (int) selection->r.width + step - 1) / step * step;
  bottom = (selection->r.top - 5 + (int) selection->r.height + step - 1) / step * step;
  fake.crop = (struct v4l2_rect) {
    left + 3, top + 5, (guint32) (right - left), (guint32) (bottom - top)
  };
  selection->r = fake.crop;

  return 0;
}

static int
get_parm (struct v4l2_streamparm *parm)
{
  parm->parm.capture.capability = V4L2_CAP_TIMEPERFRAME;
  parm->parm.capture.timeperframe = fake.interval;

  return 0;
}

/* Knows 10, 25 and 50 frames a second; takes the nearest. */
static int
set_parm (struct v4l2_streamparm *parm)
{
  static const guint32 rates[] = { 10, 25, 50 };
  const struct v4l2_fract *wish = &parm->parm.capture.timeperframe;
  double wanted = (double) wish->denominator / wish->numerator, best = 1e9;

  for (gsize i = 0; i < G_N_ELEMENTS (rates); i++)
    if (ABS (rates[i] - wanted) < best)
      {
        best = ABS (rates[i] - wanted);
        fake.interval = (struct v4l2_fract) { 1, rates[i] };
      }

  return get_parm (parm);
}

static FakeControl *
find_control (guint32 id)
{
  for (guint i = 0; i < fake.n_controls; i++)
    if (fake.controls[i].query.id == id)
      return &fake.controls[i];

  return NULL;
}

static int
query_control (struct v4l2_query_ext_ctrl *answer)
{
  const guint32 next = V4L2_CTRL_FLAG_NEXT_CTRL | V4L2_CTRL_FLAG_NEXT_COMPOUND;
  guint32 id = answer->id & ~next;
  FakeControl *control = NULL;

  if ((answer->id & next) == 0)
    control = find_control (id);
  else
    for (guint i = 0; control == NULL && i < fake.n_controls; i++)
      if (fake.controls[i].query.id > id || fake.endless)
        control = &fake.controls[i];

  if (control == NULL)
    return answer_error (EINVAL);
  *answer = control->query;

  return 0;
}

static int
query_menu (struct v4l2_querymenu *menu)
{
  if (menu->index == 2)
    return answer_error (EINVAL);   /* a hole */

  g_snprintf ((char *) menu->name, sizeof menu->name, "item %u", menu->index);

  return 0;
}

static int
get_control (struct v4l2_ext_controls *set)
{
  FakeControl *control = find_control (set->controls->id);

  if (control == NULL)
    return answer_error (EINVAL);

  if (control->query.type == V4L2_CTRL_TYPE_STRING)
    memcpy (set->controls->string, control->text, MIN (set->controls->size, 32));
  else if (control->query.type == V4L2_CTRL_TYPE_INTEGER64)
    set->controls->value64 = control->value;
  else
    set->controls->value = (gint32) control->value;

  return 0;
}

static int
set_control (struct v4l2_ext_controls *set)
{
  FakeControl *control = find_control (set->controls->id);

  if (control == NULL)
    return answer_error (EINVAL);

  if (control->query.type == V4L2_CTRL_TYPE_STRING)
    g_strlcpy (control->text, set->controls->string, sizeof control->text);
  else if (control->query.type == V4L2_CTRL_TYPE_INTEGER64)
    control->value = set->controls->value64;
  else
    control->value = set->controls->value;

  return 0;
}

static int
request_buffers (struct v4l2_requestbuffers *request)
{
  fake.n_queued = fake.n_done = 0;
  fake.n_buffers = request->count = MIN (request->count, fake.buffers_given);

  return 0;
}

static int
query_buffer (struct v4l2_buffer *buffer)
{
  buffer->length = fake.pix.sizeimage;
  buffer->m.offset = buffer->index * 0x1000;

  return 0;
}

static int
queue_buffer (struct v4l2_buffer *buffer)
{
  fake.queued[fake.n_queued++] = buffer->index;

  return 0;
}

static int
dequeue_buffer (struct v4l2_buffer *buffer)
{
  eventfd_t one;

  if (fake.n_done == 0)
    return answer_error (EAGAIN);

  eventfd_read (fake.fd, &one);
  *buffer = fake.done[0];
  fake.n_done--;
  memmove (&fake.done[0], &fake.done[1], fake.n_done * sizeof fake.done[0]);

  return 0;
}

static int
answer (unsigned long request,
        void         *argument)
{
  switch (request)
    {
    case VIDIOC_QUERYCAP:
      return query_capabilities (argument);
    case VIDIOC_ENUM_FMT:
      return list_formats (argument);
    case VIDIOC_ENUM_FRAMESIZES:
      return list_sizes (argument);
    case VIDIOC_ENUM_FRAMEINTERVALS:
      return list_intervals (argument);
    case VIDIOC_G_FMT:
      return get_format (argument);
    case VIDIOC_S_FMT:
      return set_format (argument);
    case VIDIOC_G_SELECTION:
      return get_selection (argument);
    case VIDIOC_S_SELECTION:
      return set_selection (argument);
    case VIDIOC_G_PARM:
      return get_parm (argument);
    case VIDIOC_S_PARM:
      return set_parm (argument);
    case VIDIOC_QUERY_EXT_CTRL:
      return query_control (argument);
    case VIDIOC_QUERYMENU:
      return query_menu (argument);
    case VIDIOC_G_EXT_CTRLS:
      return get_control (argument);
    case VIDIOC_S_EXT_CTRLS:
      return set_control (argument);
    case VIDIOC_REQBUFS:
      return request_buffers (argument);
    case VIDIOC_QUERYBUF:
      return query_buffer (argument);
    case VIDIOC_QBUF:
      return queue_buffer (argument);
    case VIDIOC_DQBUF:
      return dequeue_buffer (argument);
    case VIDIOC_STREAMON:
      fake.n_stream_on++;
      return 0;
    case VIDIOC_STREAMOFF:
      fake.n_stream_off++;
      return 0;
    default:
      return answer_error (ENOTTY);
    }
}

static int
fake_call (int           fd,
           unsigned long request,
           gpointer      argument)
{
  int result;

  pthread_mutex_lock (&fake.lock);
  result = fake.fail[_IOC_NR (request)] != 0 ? answer_error (fake.fail[_IOC_NR (request)])
                                             : answer (request, argument);
  pthread_mutex_unlock (&fake.lock);

  return result;
}

/* A place of its own for each mapping, freed with it: what is read after it
 * was unmapped is seen by the address sanitizer. */
static void *
fake_map (int    fd,
          gsize  length,
          gint64 offset)
{
  guint8 *memory = g_malloc0 (length);

  pthread_mutex_lock (&fake.lock);
  fake.memory[offset / 0x1000] = memory;
  fake.n_mapped++;
  pthread_mutex_unlock (&fake.lock);

  return memory;
}

static void
fake_unmap (void *data,
            gsize length)
{
  pthread_mutex_lock (&fake.lock);
  fake.n_mapped--;
  pthread_mutex_unlock (&fake.lock);
  g_free (data);
}

static const FilV4l2Ops fake_ops = {
  .call = fake_call,
  .map = fake_map,
  .unmap = fake_unmap,
  .stall_ns = 300000000,
};

/* A camera that works. */
void
fake_reset (void)
{
  pthread_mutex_lock (&fake.lock);
  memset (fake.fail, 0, sizeof fake.fail);
  memset (fake.controls, 0, sizeof fake.controls);
  fake.capabilities = V4L2_CAP_VIDEO_CAPTURE | V4L2_CAP_STREAMING | V4L2_CAP_DEVICE_CAPS;
  fake.device_caps = V4L2_CAP_VIDEO_CAPTURE | V4L2_CAP_STREAMING;
  fake.spoil = NULL;
  fake.buffers_given = FAKE_MAX_BUFFERS;
  fake.crop_step = 0;
  fake.crop_scales = fake.endless = FALSE;
  fake.size_type = V4L2_FRMSIZE_TYPE_DISCRETE;
  fake.n_controls = 0;
  fake.pix = (struct v4l2_pix_format) {
    .width = FAKE_WIDTH, .height = FAKE_HEIGHT, .pixelformat = V4L2_PIX_FMT_GREY,
  };
  fake.crop = (struct v4l2_rect) { 3, 5, FAKE_WIDTH, FAKE_HEIGHT };
  fake.interval = (struct v4l2_fract) { 1, 25 };
  fake.n_queued = fake.n_done = fake.n_stream_on = fake.n_stream_off = 0;
  pthread_mutex_unlock (&fake.lock);
}

FilSource *
fake_open (GError **error)
{
  FilV4l2Device *device;

  fake.fd = eventfd (0, EFD_SEMAPHORE | EFD_NONBLOCK | EFD_CLOEXEC);
  device = fil_v4l2_device_adopt (fake.fd, &fake_ops, "/dev/made-up", "fake:1", error);

  return device != NULL ? fil_v4l2_source_new (device) : NULL;
}

void
fake_fail (unsigned long request,
           int           number)
{
  pthread_mutex_lock (&fake.lock);
  fake.fail[_IOC_NR (request)] = number;
  pthread_mutex_unlock (&fake.lock);
}

/* Says that @buffer is done, whatever stands in it. */
void
fake_push_raw (const struct v4l2_buffer *buffer)
{
  pthread_mutex_lock (&fake.lock);
  fake.done[fake.n_done++] = *buffer;
  eventfd_write (fake.fd, 1);
  pthread_mutex_unlock (&fake.lock);
}

/* Fills the next queued buffer. Returns: %FALSE where none is queued. */
gboolean
fake_push (guint32 sequence,
           guint8  fill,
           guint32 bytesused,
           guint32 flags,
           gint64  stamp_us)
{
  struct v4l2_buffer buffer = {
    .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
    .memory = V4L2_MEMORY_MMAP,
    .sequence = sequence,
    .bytesused = bytesused,
    .flags = flags,
    .timestamp = { .tv_sec = stamp_us / 1000000, .tv_usec = stamp_us % 1000000 },
  };

  pthread_mutex_lock (&fake.lock);
  if (fake.n_queued == 0)
    {
      pthread_mutex_unlock (&fake.lock);
      return FALSE;
    }
  buffer.index = fake.queued[0];
  fake.n_queued--;
  memmove (&fake.queued[0], &fake.queued[1], fake.n_queued * sizeof fake.queued[0]);
  memset (fake.memory[buffer.index], fill, fake.pix.sizeimage);
  pthread_mutex_unlock (&fake.lock);
  fake_push_raw (&buffer);

  return TRUE;
}

guint
fake_n_queued (void)
{
  guint n;

  pthread_mutex_lock (&fake.lock);
  n = fake.n_queued;
  pthread_mutex_unlock (&fake.lock);

  return n;
}

guint
fake_n_mapped (void)
{
  guint n;

  pthread_mutex_lock (&fake.lock);
  n = fake.n_mapped;
  pthread_mutex_unlock (&fake.lock);

  return n;
}

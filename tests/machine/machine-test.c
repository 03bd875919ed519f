/* machine-test.c: what the tests on the kernel's test camera share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>
#include <time.h>

#include <gio/gio.h>

#include "machine-test.h"

#define LIMIT_S 30

static void
on_frame (FilSource *source,
          FilFrame  *frame,
          gpointer   user_data)
{
  Seen *seen = user_data;

  pthread_mutex_lock (&seen->lock);
  seen->n_frames++;
  if (seen->frames->len < seen->wanted)
    {
      FilFrame *copy = fil_frame_new_alloc (frame->format, frame->width, frame->height);

      for (int y = 0; y < frame->height; y++)
        memcpy ((guint8 *) copy->data + (gsize) y * copy->stride,
                frame->data + (gsize) y * frame->stride, copy->stride);
      copy->sequence = frame->sequence;
      copy->time_ns = frame->time_ns;
      copy->stamp = frame->stamp;
      copy->clock = frame->clock;
      copy->flags = frame->flags;
      g_ptr_array_add (seen->frames, copy);
    }
  pthread_cond_signal (&seen->changed);
  pthread_mutex_unlock (&seen->lock);
}

static void
on_state (FilSource      *source,
          FilSourceState  state,
          const GError   *error,
          gpointer        user_data)
{
  Seen *seen = user_data;

  pthread_mutex_lock (&seen->lock);
  seen->state = state;
  if (error != NULL)
    {
      g_clear_error (&seen->error);
      seen->error = g_error_copy (error);
    }
  pthread_cond_signal (&seen->changed);
  pthread_mutex_unlock (&seen->lock);
}

static void
on_control (FilSource *source,
            guint32    id,
            gpointer   user_data)
{
  Seen *seen = user_data;

  pthread_mutex_lock (&seen->lock);
  g_hash_table_add (seen->controls, GUINT_TO_POINTER (id));
  pthread_cond_signal (&seen->changed);
  pthread_mutex_unlock (&seen->lock);
}

/* Confirms all checks of the demo rig, as somebody at the telescope would. */
FilGatePass *
machine_confirm (const char *identity)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGate) gate = fil_gate_new (rig, identity, &error);
  FilGatePass *pass;

  g_assert_no_error (error);
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    fil_gate_tick (gate, i, TRUE);
  pass = fil_gate_confirm (gate, fil_gate_list_filters (gate)[0], &error);
  g_assert_no_error (error);

  return pass;
}

FilSource *
machine_open (guint32 fourcc,
              double  fps)
{
  g_autoptr (GError) error = NULL;
  FilSourceMode mode = { .fourcc = fourcc, .width = WIDTH, .height = HEIGHT, .fps = fps };
  FilSource *source = fil_source_open (DEVICE, NULL, &error);

  g_assert_no_error (error);
  fil_source_set_mode (source, &mode, NULL, &error);
  g_assert_no_error (error);

  return source;
}

/* Streams, and keeps copies of the first @wanted frames. */
Seen *
machine_start (FilSource *source,
               guint      wanted)
{
  static const FilSourceSink sink = {
    .frame = on_frame, .state = on_state, .control = on_control,
  };
  g_autoptr (FilGatePass) pass = NULL;
  g_autoptr (GError) error = NULL;
  FilSourceInfo info;
  Seen *seen = g_new0 (Seen, 1);

  pthread_mutex_init (&seen->lock, NULL);
  pthread_cond_init (&seen->changed, NULL);
  seen->wanted = wanted;
  seen->frames = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_frame_unref);
  seen->controls = g_hash_table_new (NULL, NULL);

  fil_source_get_info (source, &info);
  pass = machine_confirm (info.identity);
  fil_source_start (source, pass, &sink, seen, &error);
  g_assert_no_error (error);

  return seen;
}

/* Returns: %FALSE after LIMIT_S. With the lock held. */
static gboolean
wait_change (Seen            *seen,
             struct timespec *limit)
{
  if (limit->tv_sec == 0)
    {
      clock_gettime (CLOCK_REALTIME, limit);
      limit->tv_sec += LIMIT_S;
    }

  return pthread_cond_timedwait (&seen->changed, &seen->lock, limit) == 0;
}

void
machine_wait_frames (Seen *seen)
{
  struct timespec limit = { 0 };

  pthread_mutex_lock (&seen->lock);
  while (seen->frames->len < seen->wanted)
    if (!wait_change (seen, &limit))
      g_error ("%u of %u frames in %d s, state %d: %s", seen->frames->len, seen->wanted, LIMIT_S,
               seen->state, seen->error != NULL ? seen->error->message : "no error");
  pthread_mutex_unlock (&seen->lock);
}

void
machine_wait_state (Seen          *seen,
                    FilSourceState state)
{
  struct timespec limit = { 0 };

  pthread_mutex_lock (&seen->lock);
  while (seen->state != state)
    if (!wait_change (seen, &limit))
      g_error ("state %d instead of %d after %d s, %u frames", seen->state, state, LIMIT_S,
               seen->n_frames);
  pthread_mutex_unlock (&seen->lock);
}

gboolean
machine_wait_control (Seen   *seen,
                      guint32 id)
{
  struct timespec limit = { 0 };
  gboolean heard = TRUE;

  pthread_mutex_lock (&seen->lock);
  while (heard && !g_hash_table_contains (seen->controls, GUINT_TO_POINTER (id)))
    heard = wait_change (seen, &limit);
  pthread_mutex_unlock (&seen->lock);

  return heard;
}

void
machine_stop (FilSource *source,
              Seen      *seen)
{
  fil_source_stop (source);
  g_ptr_array_unref (seen->frames);
  g_hash_table_unref (seen->controls);
  g_clear_error (&seen->error);
  pthread_mutex_destroy (&seen->lock);
  pthread_cond_destroy (&seen->changed);
  g_free (seen);
}

/* By the driver's name for it. */
FilControl *
machine_find_control (FilSource  *source,
                      const char *name)
{
  g_autoptr (GPtrArray) controls = fil_source_list_controls (source);

  for (guint i = 0; i < controls->len; i++)
    {
      const FilControl *control = g_ptr_array_index (controls, i);

      if (g_str_equal (control->name, name))
        return fil_source_dup_control (source, control->id);
    }

  g_error ("the driver has no control “%s”", name);
}

void
machine_set_number (FilSource  *source,
                    const char *name,
                    gint64      value)
{
  g_autoptr (FilControl) control = machine_find_control (source, name);
  g_autoptr (GError) error = NULL;

  fil_source_set_control (source, control->id,
                          control->type == FIL_CONTROL_BOOLEAN
                          ? g_variant_new_boolean (value != 0) : g_variant_new_int64 (value),
                          &error);
  g_assert_no_error (error);
}

void
machine_press (FilSource  *source,
               const char *name)
{
  g_autoptr (FilControl) control = machine_find_control (source, name);
  g_autoptr (GError) error = NULL;

  fil_source_set_control (source, control->id, NULL, &error);
  g_assert_no_error (error);
}

/* Returns: (transfer full): what the command printed on either channel */
char *
machine_run (const char *command)
{
  g_autofree char *together = g_strconcat (command, " 2>&1", NULL);
  const char *argv[] = { "/bin/sh", "-c", together, NULL };
  g_autoptr (GError) error = NULL;
  char *output = NULL;
  int status;

  g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &output, NULL,
                &status, &error);
  g_assert_no_error (error);
  if (!g_spawn_check_wait_status (status, &error))
    g_error ("%s: %s: %s", command, error->message, output);

  return output;
}

/* As if the cable were pulled: the driver lets go of the device. */
void
machine_unplug (void)
{
  g_free (machine_run ("echo vivid.0 > " DRIVER "unbind"));
}

void
machine_plug (void)
{
  g_free (machine_run ("echo vivid.0 > " DRIVER "bind"));
  for (int i = 0; i < 100 && !g_file_test (DEVICE, G_FILE_TEST_EXISTS); i++)
    g_usleep (50000);
}

/* test-tone.c: a tone whose pitch tells a figure
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <gst/gst.h>

#include "fil-tone.h"

#define RATE 44100.0

/* What a sink heard; its streaming thread writes, under GLib's locks of the
 * pipeline, and the test reads when the pipeline has been stopped. */
typedef struct
{
  GMutex  lock;
  GCond   more;
  GArray *samples;   /* of gint16 */
} Ear;

static Ear ear;

static GstPadProbeReturn
hear (GstPad          *pad,
      GstPadProbeInfo *info,
      gpointer         user_data)
{
  GstBuffer *buffer = GST_PAD_PROBE_INFO_BUFFER (info);
  GstMapInfo map;

  g_assert_true (gst_buffer_map (buffer, &map, GST_MAP_READ));
  g_mutex_lock (&ear.lock);
  g_array_append_vals (ear.samples, map.data, (guint) (map.size / 2));
  g_cond_signal (&ear.more);
  g_mutex_unlock (&ear.lock);
  gst_buffer_unmap (buffer, &map);

  return GST_PAD_PROBE_OK;
}

/* An element of the test's own registry: what it is given it passes on to
 * hear(). */
static GstStaticPadTemplate sink_template =
  GST_STATIC_PAD_TEMPLATE ("sink", GST_PAD_SINK, GST_PAD_ALWAYS, GST_STATIC_CAPS_ANY);

typedef struct { GstBin parent; } EarSink;
typedef struct { GstBinClass parent; } EarSinkClass;
GType ear_sink_get_type (void);
G_DEFINE_TYPE (EarSink, ear_sink, GST_TYPE_BIN)

static void
ear_sink_class_init (EarSinkClass *klass)
{
  gst_element_class_add_static_pad_template (GST_ELEMENT_CLASS (klass), &sink_template);
  gst_element_class_set_static_metadata (GST_ELEMENT_CLASS (klass), "ear", "Sink", "test", "test");
}

static void
ear_sink_init (EarSink *self)
{
  GstElement *sink = gst_element_factory_make ("fakesink", NULL);
  g_autoptr (GstPad) inner = NULL;

  g_object_set (sink, "sync", FALSE, "async", FALSE, NULL);
  gst_bin_add (GST_BIN (self), sink);
  inner = gst_element_get_static_pad (sink, "sink");
  gst_pad_add_probe (inner, GST_PAD_PROBE_TYPE_BUFFER, hear, NULL, NULL);
  gst_element_add_pad (GST_ELEMENT (self), gst_ghost_pad_new ("sink", inner));
}

/* Whole periods between rising zeroes of the last @n samples. */
static double
pitch (const gint16 *samples,
       guint         n)
{
  double first = NAN, last = NAN;
  int crossings = 0;

  for (guint i = 1; i < n; i++)
    if (samples[i - 1] < 0 && samples[i] >= 0)
      {
        last = i - (double) samples[i] / (samples[i] - samples[i - 1]);
        if (crossings++ == 0)
          first = last;
      }

  return (crossings - 1) * RATE / (last - first);
}

static double
listen (FilTone *tone,
        double   share,
        guint    wanted)
{
  double hz;

  fil_tone_set (tone, share);
  g_mutex_lock (&ear.lock);
  g_array_set_size (ear.samples, 0);
  while (ear.samples->len < wanted + 4096)
    g_cond_wait (&ear.more, &ear.lock);
  hz = pitch (&g_array_index (ear.samples, gint16, ear.samples->len - wanted), wanted);
  g_mutex_unlock (&ear.lock);

  return hz;
}

/* Two tones of known pitch, heard at the end of the pipeline. */
static void
test_pitch (void)
{
  g_autoptr (FilTone) tone = fil_tone_new ("earsink");

  g_assert_cmpfloat_with_epsilon (listen (tone, 0.0, 8192), 220.0, 0.5);
  g_assert_cmpfloat_with_epsilon (listen (tone, 1.0 / 3.0, 8192), 440.0, 0.5);
  g_assert_cmpfloat_with_epsilon (listen (tone, 7.0, 8192), 1760.0, 1.0);
  g_assert_null (fil_tone_get_problem (tone));
  fil_tone_silence (tone);
  g_assert_cmpfloat_with_epsilon (listen (tone, 2.0 / 3.0, 8192), 880.0, 0.5);
}

/* Equal steps are equal intervals: the higher, the brighter. */
static void
test_scale (void)
{
  for (int i = 1; i <= 36; i++)
    g_assert_cmpfloat_with_epsilon (fil_tone_pitch_hz (i / 36.0) / fil_tone_pitch_hz ((i - 1) / 36.0),
                                    exp2 (1.0 / 12.0), 1e-12);
}

/* Without a loudspeaker the reason can be told, and nothing else happens. */
static void
test_no_sound (void)
{
  g_autoptr (FilTone) tone = fil_tone_new ("filesrc");

  g_assert_null (fil_tone_get_problem (tone));
  fil_tone_set (tone, 0.5);
  g_assert_nonnull (fil_tone_get_problem (tone));
  fil_tone_set (tone, 0.6);
  fil_tone_set (tone, NAN);
  g_assert_nonnull (fil_tone_get_problem (tone));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  gst_init (NULL, NULL);
  gst_element_register (NULL, "earsink", GST_RANK_NONE, ear_sink_get_type ());
  ear.samples = g_array_new (FALSE, FALSE, sizeof (gint16));

  g_test_add_func ("/tone/scale", test_scale);
  g_test_add_func ("/tone/pitch", test_pitch);
  g_test_add_func ("/tone/no-sound", test_no_sound);

  return g_test_run ();
}

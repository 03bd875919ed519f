/* fil-tone.c: a tone whose pitch tells a figure
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Hands at the tube and eyes on the shadow: the ear is free. The sound server
 * is asked only when something is to be heard, and may be missing: then there
 * is no tone, and a reason. */

#include <math.h>

#include <glib/gi18n.h>
#include <gst/gst.h>

#include "fil-tone.h"

#define VOLUME 0.35

struct _FilTone
{
  char       *sink;
  GstElement *pipeline;   /* NULL: not tried yet, or it failed */
  GstElement *source;     /* belongs to the pipeline */
  guint       watch;
  gboolean    sounding;
  char       *problem;    /* why there is no tone; NULL: none known */
};

/**
 * fil_tone_new:
 * @sink: (nullable): where the sound goes, in GStreamer's words; %NULL: the
 *   desktop's loudspeaker
 *
 * Returns: (transfer full): silent
 */
FilTone *
fil_tone_new (const char *sink)
{
  FilTone *tone = g_new0 (FilTone, 1);

  tone->sink = g_strdup (sink != NULL ? sink : "autoaudiosink");

  return tone;
}

static void
stop (FilTone *tone)
{
  g_clear_handle_id (&tone->watch, g_source_remove);
  if (tone->pipeline != NULL)
    gst_element_set_state (tone->pipeline, GST_STATE_NULL);
  g_clear_pointer (&tone->pipeline, gst_object_unref);
  tone->source = NULL;
  tone->sounding = FALSE;
}

void
fil_tone_free (FilTone *tone)
{
  if (tone == NULL)
    return;

  stop (tone);
  g_free (tone->problem);
  g_free (tone->sink);
  g_free (tone);
}

static void
fail (FilTone    *tone,
      const char *reason)
{
  g_free (tone->problem);
  tone->problem = g_strdup_printf (_("No sound: %s"), reason);
  stop (tone);
}

static gboolean
message_cb (GstBus     *bus,
            GstMessage *message,
            gpointer    user_data)
{
  FilTone *tone = user_data;
  g_autoptr (GError) error = NULL;

  if (GST_MESSAGE_TYPE (message) != GST_MESSAGE_ERROR)
    return G_SOURCE_CONTINUE;

  gst_message_parse_error (message, &error, NULL);
  tone->watch = 0;   /* this one, removed by the return value */
  fail (tone, error->message);

  return G_SOURCE_REMOVE;
}

static void
start (FilTone *tone)
{
  g_autofree char *description = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (GstBus) bus = NULL;

  if (!gst_init_check (NULL, NULL, &error))
    {
      fail (tone, error->message);
      return;
    }

  /* Short buffers, so that the pitch follows at once. */
  description = g_strdup_printf ("audiotestsrc name=source is-live=true wave=sine volume=0 "
                                 "samplesperbuffer=512 ! "
                                 "audio/x-raw,format=S16LE,rate=44100,channels=1 ! "
                                 "audioconvert ! audioresample ! %s", tone->sink);
  tone->pipeline = gst_parse_launch (description, &error);
  if (tone->pipeline == NULL || error != NULL)
    {
      fail (tone, error != NULL ? error->message : _("GStreamer can’t be used"));
      return;
    }

  tone->source = gst_bin_get_by_name (GST_BIN (tone->pipeline), "source");
  gst_object_unref (tone->source);   /* the pipeline holds it */
  bus = gst_element_get_bus (tone->pipeline);
  tone->watch = gst_bus_add_watch (bus, message_cb, tone);
  if (gst_element_set_state (tone->pipeline, GST_STATE_PLAYING) == GST_STATE_CHANGE_FAILURE)
    fail (tone, _("no loudspeaker can be opened"));
}

/**
 * fil_tone_pitch_hz:
 * @share: 0 to 1, cut where it lies beyond
 *
 * Three octaves, equal steps of @share sounding equally large.
 */
double
fil_tone_pitch_hz (double share)
{
  return FIL_TONE_LOWEST_HZ *
         pow (FIL_TONE_HIGHEST_HZ / FIL_TONE_LOWEST_HZ, CLAMP (share, 0.0, 1.0));
}

/**
 * fil_tone_set:
 * @share: 0 the lowest pitch, 1 the highest; NaN: silent
 *
 * Sounds until it is silenced. Where that has failed once it isn't tried
 * again: fil_tone_get_problem() tells.
 */
void
fil_tone_set (FilTone *tone,
              double   share)
{
  g_return_if_fail (tone != NULL);

  if (isnan (share))
    {
      fil_tone_silence (tone);
      return;
    }

  if (tone->pipeline == NULL && tone->problem == NULL)
    start (tone);
  if (tone->pipeline == NULL)
    return;

  g_object_set (tone->source, "freq", fil_tone_pitch_hz (share), NULL);
  if (!tone->sounding)
    g_object_set (tone->source, "volume", VOLUME, NULL);
  tone->sounding = TRUE;
}

/* The loudspeaker is given back as well. */
void
fil_tone_silence (FilTone *tone)
{
  g_return_if_fail (tone != NULL);

  stop (tone);
}

/* Returns: (nullable): why there is no tone, translated */
const char *
fil_tone_get_problem (FilTone *tone)
{
  g_return_val_if_fail (tone != NULL, NULL);

  return tone->problem;
}

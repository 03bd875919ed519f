/* test-sim-source.c: the simulated Sun delivers like a camera
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <pthread.h>
#include <string.h>

#include "fil-source.h"

#define MAX_FRAMES 400

/* Keeps the first frames that come. */
typedef struct
{
  pthread_mutex_t lock;
  pthread_cond_t  wake;
  guint           wanted, n;
  FilFrame       *frames[MAX_FRAMES];
} Catch;

static void
on_frame (FilSource *source,
          FilFrame  *frame,
          gpointer   user_data)
{
  Catch *got = user_data;

  pthread_mutex_lock (&got->lock);
  if (got->n < got->wanted)
    got->frames[got->n++] = fil_frame_ref (frame);
  pthread_cond_signal (&got->wake);
  pthread_mutex_unlock (&got->lock);
}

static void
catch_init (Catch *got)
{
  memset (got, 0, sizeof *got);
  pthread_mutex_init (&got->lock, NULL);
  pthread_cond_init (&got->wake, NULL);
}

static void
catch_clear (Catch *got)
{
  for (guint i = 0; i < got->n; i++)
    fil_frame_unref (got->frames[i]);
  pthread_cond_destroy (&got->wake);
  pthread_mutex_destroy (&got->lock);
}

static void
catch_wait (Catch *got,
            guint  wanted)
{
  pthread_mutex_lock (&got->lock);
  while (got->n < wanted)
    pthread_cond_wait (&got->wake, &got->lock);
  pthread_mutex_unlock (&got->lock);
}

static void
start (FilSource *source,
       Catch     *got,
       guint      wanted)
{
  const FilSourceSink sink = { .frame = on_frame };
  g_autoptr (GError) error = NULL;

  got->wanted = wanted;
  g_assert_true (fil_source_start (source, NULL, &sink, got, &error));
  g_assert_no_error (error);
}

static FilSource *
open_sim (const char *name)
{
  g_autoptr (GError) error = NULL;
  FilSource *source = fil_source_open (name, NULL, &error);

  g_assert_no_error (error);
  g_assert_nonnull (source);

  return source;
}

static void
take (const char *name,
      Catch      *got,
      guint       n)
{
  g_autoptr (FilSource) source = open_sim (name);

  catch_init (got);
  start (source, got, n);
  catch_wait (got, n);
  fil_source_stop (source);
}

static double
get_mean (const FilFrame *frame)
{
  double sum = 0.0;

  for (int y = 0; y < frame->height; y++)
    for (int x = 0; x < frame->width; x++)
      sum += frame->format->bits == 8
               ? frame->data[(gsize) y * frame->stride + (gsize) x]
               : ((const guint16 *) (gconstpointer) (frame->data + (gsize) y * frame->stride))[x];

  return sum / ((double) frame->width * frame->height);
}

static gboolean
is_same (const FilFrame *a,
         const FilFrame *b)
{
  return a->size == b->size && memcmp (a->data, b->data, a->size) == 0;
}

static void
test_refused (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_source_open ("sim:colour=red", NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME);
  g_assert_false (fil_source_name_is_live ("sim:"));
}

static void
test_info (void)
{
  g_autoptr (FilSource) paced = open_sim ("sim:");
  g_autoptr (FilSource) unpaced = open_sim ("sim:paced=no,width=320,height=200");
  FilSourceInfo info;

  fil_source_get_info (paced, &info);
  g_assert_false (info.live);
  g_assert_false (info.waits);
  g_assert_true (info.raw);
  g_assert_cmpint (info.sensor_width, ==, 1936);   /* the demo rig's camera */
  g_assert_cmpint (info.sensor_height, ==, 1096);
  fil_source_get_info (unpaced, &info);
  g_assert_true (info.waits);
  g_assert_cmpint (info.sensor_width, ==, 320);
}

/* The same seed and settings give the same frames; another seed others. */
static void
test_deterministic (void)
{
  const char *name = "sim:paced=no,width=200,height=120,seed=5";
  Catch a, b, c;

  take (name, &a, 40);
  take (name, &b, 40);
  take ("sim:paced=no,drive=off,width=200,height=120,seed=6", &c, 1);
  for (guint i = 0; i < a.n; i++)
    {
      g_assert_true (is_same (a.frames[i], b.frames[i]));
      g_assert_cmpfloat (a.frames[i]->truth.shift_x_px, ==, b.frames[i]->truth.shift_x_px);
      g_assert_cmpuint (a.frames[i]->sequence, ==, i);
      g_assert_true (a.frames[i]->truth.known);
    }
  g_assert_false (is_same (a.frames[0], a.frames[1]));
  g_assert_false (is_same (a.frames[0], c.frames[0]));
  catch_clear (&a);
  catch_clear (&b);
  catch_clear (&c);
}

/* Unpaced frames are k/fps apart and outlive their source. */
static void
test_unpaced_times (void)
{
  Catch got;

  take ("sim:paced=no,width=64,height=48,fps=40", &got, 90);
  for (guint i = 1; i < got.n; i++)
    {
      g_assert_cmpint (got.frames[i]->time_ns - got.frames[i - 1]->time_ns, ==, 25000000);
      g_assert_cmpint (got.frames[i]->clock, ==, FIL_CLOCK_UTC);
    }
  g_assert_cmpfloat (get_mean (got.frames[89]), >, 100.0);
  catch_clear (&got);
}

/* With the drive off no frame may repeat: they are rendered one by one. */
static void
test_drift (void)
{
  Catch got;

  take ("sim:paced=no,width=96,height=64,fps=25,drive=off,r0_mm=5000,noise=no", &got, 60);
  /* 15 arcsec a second × cos 5.66°, 0.2932 arcsec a pixel; one reflection:
   * west is to the left. */
  g_assert_cmpfloat_with_epsilon (got.frames[50]->truth.shift_x_px - got.frames[0]->truth.shift_x_px,
                                  -15.0 * 0.99513 * 2.0 / 0.29322, 0.5);
  g_assert_cmpfloat_with_epsilon (got.frames[50]->truth.shift_y_px, got.frames[0]->truth.shift_y_px, 0.5);
  catch_clear (&got);
}

typedef struct
{
  const char *fourcc, *pattern;
  int         bits;
} FormatCase;

static void
test_format (gconstpointer data)
{
  const FormatCase *c = data;
  g_autofree char *name = g_strdup_printf ("sim:paced=no,drive=off,width=98,height=66,bits=%d,pattern=%s,level=40%%",
                                           c->bits, c->pattern);
  double full = (double) ((1 << c->bits) - 1);
  Catch got;

  take (name, &got, 1);
  g_assert_true (got.frames[0]->format == fil_pixel_format_from_name (c->fourcc));
  g_assert_true (fil_frame_check (got.frames[0], NULL));
  /* The level is the mean in % of full; the air moves it a little. */
  g_assert_cmpfloat_with_epsilon (get_mean (got.frames[0]) / full, 0.40, 0.015);
  catch_clear (&got);
}

static const FormatCase formats[] = {
  { "GREY", "mono", 8 }, { "Y10 ", "mono", 10 }, { "Y12 ", "mono", 12 }, { "Y14 ", "mono", 14 },
  { "Y16 ", "mono", 16 }, { "RGGB", "rggb", 8 }, { "BA10", "grbg", 10 }, { "GB12", "gbrg", 12 },
  { "BG12", "bggr", 12 }, { "RG14", "rggb", 14 }, { "BYR2", "bggr", 16 },
};

/* Longer exposures and more gain make it brighter, as reckoned; the frame says so. */
static void
test_exposure (void)
{
  g_autoptr (FilSource) source = open_sim ("sim:paced=no,drive=off,width=128,height=96,level=20");
  g_autoptr (FilControl) black = fil_source_dup_role (source, FIL_ROLE_BLACK_LEVEL);
  g_autoptr (FilControl) gain = fil_source_dup_role (source, FIL_ROLE_GAIN);
  double zero = g_variant_get_double (black->value);
  double ms = fil_source_get_exposure_ms (source);
  Catch one, two, three;

  catch_init (&one);
  start (source, &one, 1);
  catch_wait (&one, 1);
  fil_source_stop (source);
  g_assert_cmpfloat (one.frames[0]->exposure_ms, ==, ms);

  g_assert_true (fil_source_set_exposure_ms (source, 2.0 * ms, NULL));
  g_assert_cmpfloat (fil_source_get_exposure_ms (source), ==, 2.0 * ms);
  catch_init (&two);
  start (source, &two, 1);
  catch_wait (&two, 1);
  fil_source_stop (source);
  g_assert_cmpfloat_with_epsilon ((get_mean (two.frames[0]) - zero) / (get_mean (one.frames[0]) - zero),
                                  2.0, 0.01);

  g_assert_true (fil_source_set_control (source, gain->id, g_variant_new_double (6.0206), NULL));
  catch_init (&three);
  start (source, &three, 1);
  catch_wait (&three, 1);
  fil_source_stop (source);
  g_assert_cmpfloat_with_epsilon ((get_mean (three.frames[0]) - zero) / (get_mean (one.frames[0]) - zero),
                                  4.0, 0.02);
  g_assert_cmpfloat_with_epsilon (three.frames[0]->gain, 6.0206, 1e-9);
  catch_clear (&one);
  catch_clear (&two);
  catch_clear (&three);
}

/* A region shows what lies there on the whole sensor. */
static void
test_region (void)
{
  g_autoptr (FilSource) source = open_sim ("sim:paced=no,drive=off,width=320,height=240,noise=no,seed=3");
  FilSourceMode mode = { .roi = { 100, 60, 128, 64 } }, got_mode;
  Catch whole, part;
  double worst = 0.0;

  catch_init (&whole);
  start (source, &whole, 1);
  catch_wait (&whole, 1);
  fil_source_stop (source);

  g_assert_true (fil_source_set_mode (source, &mode, &got_mode, NULL));
  g_assert_cmpint (got_mode.width, ==, 128);
  catch_init (&part);
  start (source, &part, 1);
  catch_wait (&part, 1);
  fil_source_stop (source);
  g_assert_cmpint (part.frames[0]->width, ==, 128);
  g_assert_cmpint (part.frames[0]->height, ==, 64);
  for (int y = 0; y < 64; y++)
    for (int x = 0; x < 128; x++)
      {
        const guint16 *a = (const guint16 *) (gconstpointer) (whole.frames[0]->data +
                                                              (gsize) (y + 60) * whole.frames[0]->stride);
        const guint16 *b = (const guint16 *) (gconstpointer) (part.frames[0]->data +
                                                              (gsize) y * part.frames[0]->stride);

        worst = MAX (worst, fabs ((double) a[x + 100] - b[x]));
      }
  /* The distortion's nodes lie differently: a part in a hundred at most. */
  g_assert_cmpfloat (worst, <, 40.0);

  mode.roi.x = 300;
  g_assert_false (fil_source_set_mode (source, &mode, &got_mode, NULL));
  catch_clear (&whole);
  catch_clear (&part);
}

static void
test_modes (void)
{
  g_autoptr (FilSource) source = open_sim ("sim:width=640,height=480");
  g_autoptr (GPtrArray) formats_offered = fil_source_list_formats (source, NULL);
  g_autoptr (GError) error = NULL;
  FilSourceMode mode = { .fourcc = FIL_FOURCC ('M', 'J', 'P', 'G') }, got;

  g_assert_cmpuint (formats_offered->len, ==, 25);
  g_assert_false (fil_source_set_mode (source, &mode, &got, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
  mode = (FilSourceMode) { .width = 641 };
  g_assert_false (fil_source_set_mode (source, &mode, &got, NULL));
  mode = (FilSourceMode) { .width = 320, .height = 240, .fps = 17.0,
                           .fourcc = FIL_FOURCC ('G', 'R', 'E', 'Y') };
  g_assert_true (fil_source_set_mode (source, &mode, &got, NULL));
  g_assert_cmpint (got.width, ==, 320);
  g_assert_cmpfloat (got.fps, ==, 17.0);
}

/* Paced frames come in order; what is missing in the count is in the gaps. */
static void
test_paced (void)
{
  g_autoptr (FilSource) source = open_sim ("sim:width=160,height=120,fps=100");
  Catch got;

  catch_init (&got);
  start (source, &got, 30);
  catch_wait (&got, 30);
  fil_source_stop (source);
  for (guint i = 1; i < got.n; i++)
    {
      guint64 steps = got.frames[i]->sequence - got.frames[i - 1]->sequence;

      g_assert_cmpuint (got.frames[i]->sequence, >, got.frames[i - 1]->sequence);
      g_assert_cmpint (got.frames[i]->time_ns - got.frames[i - 1]->time_ns, ==,
                       (gint64) steps * 10000000);
      g_assert_cmpint (got.frames[i]->clock, ==, FIL_CLOCK_MONOTONIC);
    }
  catch_clear (&got);
}

/* Buttons, menus and switches; what they can't take is refused. */
static void
test_controls (void)
{
  g_autoptr (FilSource) source = open_sim ("sim:width=64,height=64,paced=no,r0_mm=45,drive=off");
  g_autoptr (GPtrArray) controls = fil_source_list_controls (source);
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (controls->len, ==, 14);
  for (guint i = 0; i < controls->len; i++)
    {
      const FilControl *control = g_ptr_array_index (controls, i);

      g_assert_cmpstr (control->name, !=, NULL);
      if (control->type == FIL_CONTROL_BUTTON)
        g_assert_true (fil_source_set_control (source, control->id, NULL, NULL));
      else
        g_assert_true (fil_source_set_control (source, control->id, control->value, NULL));
      g_assert_false (fil_source_set_control (source, control->id + 1000, NULL, NULL));
      if (control->type != FIL_CONTROL_BUTTON)
        {
          g_assert_false (fil_source_set_control (source, control->id, g_variant_new_string ("x"),
                                                  &error));
          g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL);
          g_clear_error (&error);
        }
    }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/sim/source/refused", test_refused);
  g_test_add_func ("/sim/source/info", test_info);
  g_test_add_func ("/sim/source/deterministic", test_deterministic);
  g_test_add_func ("/sim/source/unpaced-times", test_unpaced_times);
  g_test_add_func ("/sim/source/drift", test_drift);
  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    {
      g_autofree char *path = g_strdup_printf ("/sim/source/format/%s-%d", formats[i].pattern,
                                               formats[i].bits);

      g_test_add_data_func (path, &formats[i], test_format);
    }
  g_test_add_func ("/sim/source/exposure", test_exposure);
  g_test_add_func ("/sim/source/region", test_region);
  g_test_add_func ("/sim/source/modes", test_modes);
  g_test_add_func ("/sim/source/paced", test_paced);
  g_test_add_func ("/sim/source/controls", test_controls);

  return g_test_run ();
}

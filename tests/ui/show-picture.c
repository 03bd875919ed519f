/* show-picture.c: the picture alone in a window, for looking at and timing
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Usage: show-picture [OPTION…]; see entries[]. Prints the frames drawn a
 * second when it ends by --seconds. */

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include <adwaita.h>

#include "fil-picture.h"
#include "fil-source.h"

#define N_FRAMES 4

static int width = 1280, height = 800, shelf = 216, columns = 1936, rows = 1096;
static double zoom, fps = 30.0, seconds;
static char *format_name, *message, *source_name;
static double turn, sky_scale = 0.2933, centre_x = 2600.0, centre_y = -800.0;
static gboolean sky, mirrored, nominal, solar, no_grid, arrow, fitted, picking;
static gboolean earth, light, sunlit, far_full, focus_patch, no_patch;

static const GOptionEntry entries[] = {
  { "width", 0, 0, G_OPTION_ARG_INT, &width, "of the window", "PX" },
  { "height", 0, 0, G_OPTION_ARG_INT, &height, "of the window", "PX" },
  { "shelf", 0, 0, G_OPTION_ARG_INT, &shelf, "kept free below the picture", "PX" },
  { "columns", 0, 0, G_OPTION_ARG_INT, &columns, "of the frame", "PX" },
  { "rows", 0, 0, G_OPTION_ARG_INT, &rows, "of the frame", "PX" },
  { "zoom", 0, 0, G_OPTION_ARG_DOUBLE, &zoom, "0: fit", "FACTOR" },
  { "fps", 0, 0, G_OPTION_ARG_DOUBLE, &fps, "frames offered a second", "RATE" },
  { "seconds", 0, 0, G_OPTION_ARG_DOUBLE, &seconds, "0: until closed", "S" },
  { "format", 0, 0, G_OPTION_ARG_STRING, &format_name, "Y12, RG12 …", "FOURCC" },
  { "source", 0, 0, G_OPTION_ARG_STRING, &source_name, "in place of a scene of its own", "SIM" },
  { "message", 0, 0, G_OPTION_ARG_STRING, &message, "in place of the picture", "TEXT" },
  { "earth", 0, 0, G_OPTION_ARG_NONE, &earth, "to scale", NULL },
  { "light", 0, 0, G_OPTION_ARG_NONE, &light, "light theme", NULL },
  { "daylight", 0, 0, G_OPTION_ARG_NONE, &sunlit, "for use in the sun, with --light", NULL },
  { "full", 0, 0, G_OPTION_ARG_NONE, &far_full, "some full pixels", NULL },
  { "focus-patch", 0, 0, G_OPTION_ARG_NONE, &focus_patch, "by keyboard", NULL },
  { "no-patch", 0, 0, G_OPTION_ARG_NONE, &no_patch, "none", NULL },
  { "sky", 0, 0, G_OPTION_ARG_NONE, &sky, "compass, grid, limb, pointer", NULL },
  { "turn", 0, 0, G_OPTION_ARG_DOUBLE, &turn, "position angle of up", "DEGREES" },
  { "mirrored", 0, 0, G_OPTION_ARG_NONE, &mirrored, "one reflection", NULL },
  { "sky-scale", 0, 0, G_OPTION_ARG_DOUBLE, &sky_scale, "of the picture", "ARCSEC/PX" },
  { "centre-x", 0, 0, G_OPTION_ARG_DOUBLE, &centre_x, "of the disc", "PX" },
  { "centre-y", 0, 0, G_OPTION_ARG_DOUBLE, &centre_y, "of the disc", "PX" },
  { "nominal", 0, 0, G_OPTION_ARG_NONE, &nominal, "angle and place not measured", NULL },
  { "solar", 0, 0, G_OPTION_ARG_NONE, &solar, "compass by the Sun's axis", NULL },
  { "no-grid", 0, 0, G_OPTION_ARG_NONE, &no_grid, "compass and limb alone", NULL },
  { "arrow", 0, 0, G_OPTION_ARG_NONE, &arrow, "to the disc's centre", NULL },
  { "fitted", 0, 0, G_OPTION_ARG_NONE, &fitted, "a limb was found", NULL },
  { "pick", 0, 0, G_OPTION_ARG_NONE, &picking, "a place", NULL },
  G_OPTION_ENTRY_NULL
};

typedef struct
{
  GMainLoop *loop;
  GtkWidget *window, *picture;
  FilFrame  *frames[N_FRAMES];
  guint      next;
  FilSource *source;        /* NULL: frames[] in turn */
  gboolean   stretched;
  gint64     begun_us;
  guint64    drawn_before;

  pthread_mutex_t lock;     /* guards the newest frame */
  FilFrame  *newest;
} Show;

/* Smooth noise of about @size pixels, −1 to 1. */
static double
bumps (double x,
       double y,
       double size,
       double phase)
{
  double u = x / size, v = y / size;

  return (sin (6.1 * u + 2.0 * sin (3.3 * v + phase)) +
          sin (5.3 * v + 2.0 * sin (4.1 * u - phase)) +
          sin (4.7 * (u + v) + 1.7 * sin (2.9 * (u - v)))) / 3.0;
}

/* A spot with a dark middle on a grainy ground; not the Sun, but of its kind. */
static double
scene (double x,
       double y)
{
  double dx = (x - 0.57 * columns) / rows, dy = (y - 0.5 * rows) / rows;
  double r = hypot (dx, dy) + 0.01 * bumps (x, y, 60.0, 1.0);
  double ground = 0.66 + 0.05 * bumps (x, y, 22.0, 0.0) + 0.03 * bumps (y, x, 9.0, 2.0);
  double threads = 0.06 * sin (60.0 * atan2 (dy, dx) + 8.0 * bumps (x, y, 80.0, 0.3));

  if (r < 0.065)
    return 0.12 + 0.02 * bumps (x, y, 12.0, 0.5);
  if (r < 0.16)
    return 0.45 + 0.9 * (r - 0.065) + threads;

  return ground;
}

static FilFrame *
frame_new (const FilPixelFormat *format)
{
  FilFrame *frame = fil_frame_new_alloc (format, columns, rows);
  guint full = (1u << format->bits) - 1;
  g_autoptr (GRand) noise = g_rand_new_with_seed (7);

  g_assert_nonnull (frame);
  for (int y = 0; y < rows; y++)
    for (int x = 0; x < columns; x++)
      {
        double value = scene (x, y) + 0.01 * (g_rand_double (noise) - 0.5);
        guint count = (guint) (full * CLAMP (value, 0.0, 1.0));
        guint8 *at = (guint8 *) frame->data + (gsize) y * frame->stride;

        if (far_full && hypot (x - 0.2 * columns, y - 0.3 * rows) < 9.0)
          count = full;
        if (far_full && x % 400 == 17 && y % 300 == 11)
          count = full;
        if (format->packing == FIL_PACKING_8)
          at[x] = (guint8) count;
        else
          ((guint16 *) (gpointer) at)[x] = GUINT16_TO_LE ((guint16) count);
      }

  return frame;
}

/* Two rows further down, so that a mosaic keeps its colours. */
static FilFrame *
frame_new_moved (const FilFrame *from)
{
  FilFrame *frame = fil_frame_new_alloc (from->format, columns, rows);
  gsize step = 2 * from->stride;

  g_assert_nonnull (frame);
  memcpy ((guint8 *) frame->data, from->data, from->size);
  memcpy ((guint8 *) frame->data + step, from->data, from->size - step);

  return frame;
}

static void
make_frames (Show                 *show,
             const FilPixelFormat *format)
{
  show->frames[0] = frame_new (format);
  for (int i = 1; i < N_FRAMES; i++)
    show->frames[i] = frame_new_moved (show->frames[i - 1]);
}

/* Capture thread. */
static void
take_frame (FilSource *source,
            FilFrame  *frame,
            gpointer   user_data)
{
  Show *show = user_data;
  FilFrame *older;

  pthread_mutex_lock (&show->lock);
  older = show->newest;
  show->newest = fil_frame_ref (frame);
  pthread_mutex_unlock (&show->lock);
  if (older != NULL)
    fil_frame_unref (older);
}

static void
take_state (FilSource      *source,
            FilSourceState  state,
            const GError   *error,
            gpointer        user_data)
{
  if (error != NULL)
    g_printerr ("%s\n", error->message);
}

static void
take_control (FilSource *source,
              guint32    id,
              gpointer   user_data)
{
}

static const FilSourceSink sink = { take_frame, take_state, take_control };

static void
open_source (Show *show)
{
  FilSourceOptions options = { 0 };
  g_autoptr (GError) error = NULL;

  show->source = fil_source_open (source_name, &options, &error);
  if (show->source == NULL || !fil_source_start (show->source, NULL, &sink, show, &error))
    g_error ("%s", error->message);
}

static void
show_newest (Show *show)
{
  FilFrame *frame;

  pthread_mutex_lock (&show->lock);
  frame = g_steal_pointer (&show->newest);
  pthread_mutex_unlock (&show->lock);
  if (frame == NULL)
    return;

  fil_picture_set_frame (FIL_PICTURE (show->picture), frame);
  fil_frame_unref (frame);
  if (!show->stretched)
    fil_picture_stretch (FIL_PICTURE (show->picture));
  show->stretched = TRUE;
}

static gboolean
next_frame_cb (gpointer user_data)
{
  Show *show = user_data;

  if (show->source != NULL)
    {
      show_newest (show);
      return G_SOURCE_CONTINUE;
    }

  fil_picture_set_frame (FIL_PICTURE (show->picture), show->frames[show->next++ % N_FRAMES]);

  return G_SOURCE_CONTINUE;
}

static gboolean
begin_cb (gpointer user_data)
{
  Show *show = user_data;

  show->begun_us = g_get_monotonic_time ();
  show->drawn_before = fil_picture_get_n_drawn (FIL_PICTURE (show->picture));

  return G_SOURCE_REMOVE;
}

static gboolean
end_cb (gpointer user_data)
{
  Show *show = user_data;
  double took = (double) (g_get_monotonic_time () - show->begun_us) / G_USEC_PER_SEC;
  guint64 drawn = fil_picture_get_n_drawn (FIL_PICTURE (show->picture)) - show->drawn_before;

  g_print ("%.1f frames/s drawn of %.1f offered, %d × %d\n", (double) drawn / took, fps,
           gtk_widget_get_width (show->picture), gtk_widget_get_height (show->picture));
  g_main_loop_quit (show->loop);

  return G_SOURCE_REMOVE;
}

/* 2014-09-23 09:30 UTC by sunpy 4.1.2; see sky-golden.py. */
static void
set_up_sky (FilPicture *picture)
{
  const FilSun sun = { .p_deg = 25.239275, .b0_deg = 7.025232, .distance_au = 1.003503752,
                       .semidiameter_arcsec = 955.8820 };
  const FilPlace place = { .plate_scale_arcsec_per_px = sky_scale, .plate_scale_error = NAN,
                           .position_angle_deg = turn, .mirrored = mirrored,
                           .oriented = !nominal, .placed = !nominal,
                           .centre_x = centre_x, .centre_y = centre_y };
  const FilLimb limb = { .seen = TRUE, .centre_x = centre_x, .centre_y = centre_y,
                         .radius_px = sun.semidiameter_arcsec / sky_scale };

  g_object_set (picture, "show-grid", !no_grid, "compass-solar", solar, NULL);
  fil_picture_set_sky (picture, &place, &sun);
  if (fitted)
    fil_picture_set_limb (picture, &limb);
  fil_picture_set_centre_arrow (picture, arrow);
}

static void
picked_cb (FilPicture *picture,
           double      x,
           double      y)
{
  g_print ("picked %.2f %.2f\n", x, y);
}

static void
cancelled_cb (FilPicture *picture)
{
  g_print ("pick cancelled\n");
}

static void
set_up_picture (FilPicture *picture)
{
  FilRect patch = { (int) (0.57 * columns) - 220, rows / 2 - 220, 440, 440 };
  FilLook look;

  fil_picture_set_scale (picture, 0.2933, 212.7);
  if (!no_patch)
    fil_picture_set_patch (picture, &patch);
  g_object_set (picture, "show-earth", earth, NULL);
  fil_picture_stretch (picture);
  fil_picture_get_look (picture, &look);
  if (far_full)
    look.white = look.full;
  fil_picture_set_look (picture, &look);
  if (sky)
    set_up_sky (picture);
  g_signal_connect (picture, "picked", G_CALLBACK (picked_cb), NULL);
  g_signal_connect (picture, "pick-cancelled", G_CALLBACK (cancelled_cb), NULL);
  if (message != NULL)
    fil_picture_set_message (picture, message,
                             "Nothing was recorded, and nothing was lost. Plug the camera "
                             "in again, then confirm the filter.",
                             "Open the gate", "picture.fit");
}

static gboolean
settle_cb (gpointer user_data)
{
  Show *show = user_data;

  if (zoom > 0.0)
    fil_picture_zoom_to (FIL_PICTURE (show->picture), zoom);
  fil_picture_set_picking (FIL_PICTURE (show->picture), picking);
  if (focus_patch)
    gtk_widget_child_focus (show->window, GTK_DIR_TAB_FORWARD);

  return G_SOURCE_REMOVE;
}

static void
load_sheet (const char *path)
{
  g_autoptr (GtkCssProvider) style = gtk_css_provider_new ();

  gtk_css_provider_load_from_resource (style, path);
  gtk_style_context_add_provider_for_display (gdk_display_get_default (),
                                              GTK_STYLE_PROVIDER (style),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
}

static void
load_style (void)
{
  load_sheet ("/io/github/filigree/Filigree/style.css");
  if (!light)
    load_sheet ("/io/github/filigree/Filigree/style-dark.css");
  if (sunlit)
    load_sheet ("/io/github/filigree/Filigree/daylight.css");
  adw_style_manager_set_color_scheme (adw_style_manager_get_default (),
                                      light ? ADW_COLOR_SCHEME_FORCE_LIGHT
                                            : ADW_COLOR_SCHEME_FORCE_DARK);
}

static void
open_window (Show *show)
{
  GtkWidget *column = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *below = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  show->window = adw_window_new ();
  gtk_widget_add_css_class (show->window, "filigree");
  if (sunlit)
    gtk_widget_add_css_class (show->window, "daylight");
  show->picture = fil_picture_new ();
  gtk_window_set_default_size (GTK_WINDOW (show->window), width, height);
  gtk_window_set_decorated (GTK_WINDOW (show->window), FALSE);
  gtk_widget_set_vexpand (show->picture, TRUE);
  gtk_widget_set_size_request (below, -1, shelf);
  gtk_box_append (GTK_BOX (column), adw_header_bar_new ());
  gtk_box_append (GTK_BOX (column), show->picture);
  gtk_box_append (GTK_BOX (column), below);
  adw_window_set_content (ADW_WINDOW (show->window), column);
  next_frame_cb (show);
  set_up_picture (FIL_PICTURE (show->picture));
  g_signal_connect_swapped (show->window, "close-request", G_CALLBACK (g_main_loop_quit),
                            show->loop);
  gtk_window_present (GTK_WINDOW (show->window));
}

int
main (int argc, char *argv[])
{
  g_autoptr (GOptionContext) context = g_option_context_new (NULL);
  g_autoptr (GError) error = NULL;
  const FilPixelFormat *format;
  Show show = { 0 };

  g_option_context_add_main_entries (context, entries, NULL);
  if (!g_option_context_parse (context, &argc, &argv, &error))
    g_error ("%s", error->message);
  format = fil_pixel_format_from_name (format_name != NULL ? format_name : "Y12");
  if (format == NULL)
    g_error ("no such format");

  adw_init ();
  load_style ();
  pthread_mutex_init (&show.lock, NULL);
  if (source_name != NULL)
    open_source (&show);
  else
    make_frames (&show, format);
  show.loop = g_main_loop_new (NULL, FALSE);
  open_window (&show);
  g_timeout_add (300, settle_cb, &show);
  g_timeout_add (MAX ((guint) (1000.0 / fps), 1), next_frame_cb, &show);
  if (seconds > 0.0)
    {
      g_timeout_add (1000, begin_cb, &show);
      g_timeout_add (1000 + (guint) (1000.0 * seconds), end_cb, &show);
    }
  g_main_loop_run (show.loop);

  if (show.source != NULL)
    fil_source_stop (show.source);
  g_clear_object (&show.source);
  g_clear_pointer (&show.newest, fil_frame_unref);
  pthread_mutex_destroy (&show.lock);
  gtk_window_destroy (GTK_WINDOW (show.window));
  for (int i = 0; i < N_FRAMES; i++)
    g_clear_pointer (&show.frames[i], fil_frame_unref);
  g_main_loop_unref (show.loop);

  return EXIT_SUCCESS;
}

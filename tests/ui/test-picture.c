/* test-picture.c: the picture in a window, by its functions, pointer and keys
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Needs a display of its own without a window manager, and xdotool. */

#include <math.h>
#include <string.h>

#include "fil-picture.h"
#include "picture-help.h"
#include "render-help.h"

#define WIDTH   800
#define HEIGHT  600
#define COLUMNS 1000
#define ROWS    500

typedef struct
{
  GtkWidget  *window;
  FilPicture *picture;
  FilFrame   *frame;
  guint       n_patch_changed;
} Fixture;

static guint
count_at (int x,
          int y)
{
  return (guint) ((x * 7 + y * 13) % 200);
}

static void
patch_changed_cb (FilPicture *picture,
                  Fixture    *fixture)
{
  fixture->n_patch_changed++;
}

static void
set_up (Fixture      *fixture,
        gconstpointer data)
{
  FilLook look = { .black = 0, .white = 255 };

  fixture->frame = make_frame ("GREY", COLUMNS, ROWS, FALSE, count_at);
  fixture->picture = FIL_PICTURE (fil_picture_new ());
  fixture->window = gtk_window_new ();
  fixture->n_patch_changed = 0;
  g_signal_connect (fixture->picture, "patch-changed", G_CALLBACK (patch_changed_cb), fixture);
  gtk_window_set_decorated (GTK_WINDOW (fixture->window), FALSE);
  gtk_window_set_default_size (GTK_WINDOW (fixture->window), WIDTH, HEIGHT);
  gtk_window_set_child (GTK_WINDOW (fixture->window), GTK_WIDGET (fixture->picture));
  gtk_window_set_title (GTK_WINDOW (fixture->window), "picture-under-test");
  fil_picture_set_look (fixture->picture, &look);
  fil_picture_set_frame (fixture->picture, fixture->frame);
  gtk_widget_grab_focus (GTK_WIDGET (fixture->picture));
  gtk_window_present (GTK_WINDOW (fixture->window));
  wait_until (is_drawn, fixture->picture);
  xdotool ("search --sync --name ^picture-under-test$ windowfocus windowmove 0 0");
  wait_until (is_focused, fixture->window);
}

static void
tear_down (Fixture      *fixture,
           gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (fixture->window));
  fil_frame_unref (fixture->frame);
  run_for (20);
}

/* Places the pointer inside the picture, logical pixels from its top left. */
static void
point_at (Fixture *fixture,
          int      x,
          int      y,
          const char *then)
{
  graphene_point_t at = { (float) x, (float) y };
  graphene_point_t in_window;
  double dx, dy;
  g_autofree char *command = NULL;

  g_assert_true (gtk_widget_compute_point (GTK_WIDGET (fixture->picture), fixture->window, &at,
                                           &in_window));
  gtk_native_get_surface_transform (GTK_NATIVE (fixture->window), &dx, &dy);
  command = g_strdup_printf ("mousemove %.0f %.0f%s", round ((double) in_window.x + dx),
                             round ((double) in_window.y + dy), then);
  xdotool (command);
}

/* The shown pixel at a place in the widget, as it would come to the screen. */
static guint32
pixel_at (Fixture *fixture,
          int      x,
          int      y)
{
  g_autoptr (GdkPaintable) paintable = gtk_widget_paintable_new (GTK_WIDGET (fixture->picture));
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  int width = gtk_widget_get_width (GTK_WIDGET (fixture->picture));
  int height = gtk_widget_get_height (GTK_WIDGET (fixture->picture));
  g_autofree guint32 *pixels = g_new (guint32, (gsize) width * (gsize) height);
  g_autoptr (GskRenderNode) node = NULL;
  g_autoptr (GdkTexture) texture = NULL;

  gdk_paintable_snapshot (paintable, snapshot, width, height);
  node = gtk_snapshot_free_to_node (snapshot);
  texture = gsk_renderer_render_texture (gtk_native_get_renderer (GTK_NATIVE (fixture->window)),
                                         node, &GRAPHENE_RECT_INIT (0, 0, (float) width,
                                                                    (float) height));
  gdk_texture_download (texture, (guchar *) pixels, (gsize) width * 4);

  return pixels[(gsize) y * (gsize) width + (gsize) x];
}

static void
test_fit_and_keys (Fixture      *fixture,
                   gconstpointer data)
{
  double fit = gtk_widget_get_width (GTK_WIDGET (fixture->picture)) / (double) COLUMNS;
  FilRegion before, after;

  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, fit);
  xdotool ("key 1");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 1.0);
  xdotool ("key plus");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 2.0);
  xdotool ("key KP_Add");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 3.0);
  fil_picture_get_region (fixture->picture, &before);
  xdotool ("key Right Down");
  fil_picture_get_region (fixture->picture, &after);
  g_assert_cmpfloat (after.x, >, before.x + 10);
  g_assert_cmpfloat (after.y, >, before.y + 10);
  g_assert_cmpfloat (after.width, ==, before.width);
  xdotool ("key minus");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 2.0);
  xdotool ("key 0");
  g_assert_true (fil_picture_get_fit (fixture->picture));
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, fit);
}

static void
test_actions (Fixture      *fixture,
              gconstpointer data)
{
  GtkWidget *widget = GTK_WIDGET (fixture->picture);

  g_assert_true (gtk_widget_activate_action (widget, "picture.one-to-one", NULL));
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 1.0);
  g_assert_true (gtk_widget_activate_action (widget, "picture.zoom-in", NULL));
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 2.0);
  g_assert_true (gtk_widget_activate_action (widget, "picture.zoom-out", NULL));
  g_assert_true (gtk_widget_activate_action (widget, "picture.fit", NULL));
  g_assert_true (fil_picture_get_fit (fixture->picture));
}

static void
test_wheel (Fixture      *fixture,
            gconstpointer data)
{
  FilRegion region;

  fil_picture_zoom_to (fixture->picture, 2.0);
  fil_picture_centre_on (fixture->picture, 500, 250);
  point_at (fixture, 200, 150, "");
  fil_picture_get_region (fixture->picture, &region);
  {
    double x = region.x + 200 / 2.0, y = region.y + 150 / 2.0;

    xdotool ("click 4");
    g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 3.0);
    fil_picture_get_region (fixture->picture, &region);
    g_assert_cmpfloat_with_epsilon (region.x + 200 / 3.0, x, 1.0);
    g_assert_cmpfloat_with_epsilon (region.y + 150 / 3.0, y, 1.0);
  }
  xdotool ("click 5");
  xdotool ("click 5");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 1.0);
}

static void
test_drag_and_double_click (Fixture      *fixture,
                            gconstpointer data)
{
  FilRegion before, after;

  point_at (fixture, 300, 300, " click --repeat 2 --delay 40 1");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 1.0);
  fil_picture_zoom_to (fixture->picture, 4.0);
  fil_picture_get_region (fixture->picture, &before);
  run_for (600);   /* no third click of a row */
  point_at (fixture, 300, 300, " mousedown 1");
  point_at (fixture, 360, 260, "");
  point_at (fixture, 380, 260, " mouseup 1");
  fil_picture_get_region (fixture->picture, &after);
  g_assert_cmpfloat_with_epsilon (after.x, before.x - 20, 0.3);
  g_assert_cmpfloat_with_epsilon (after.y, before.y + 10, 0.3);
  run_for (600);
  point_at (fixture, 500, 300, " click --repeat 2 --delay 40 1");
  g_assert_true (fil_picture_get_fit (fixture->picture));
}

static void
test_patch (Fixture      *fixture,
            gconstpointer data)
{
  FilRect patch = { 300, 100, 300, 200 };
  FilRegion region;

  fil_picture_zoom_to (fixture->picture, 1.0);
  fil_picture_set_patch (fixture->picture, &patch);
  run_for (50);
  g_assert_cmpuint (fixture->n_patch_changed, ==, 0);
  fil_picture_get_region (fixture->picture, &region);

  /* Where its middle is drawn: the picture is 500 high in the middle of the widget. */
  {
    int top = (gtk_widget_get_height (GTK_WIDGET (fixture->picture)) - ROWS) / 2;
    int left = (int) (450 - region.x);

    point_at (fixture, left, top + 200, " mousedown 1");
    point_at (fixture, left + 20, top + 230, "");
    point_at (fixture, left + 40, top + 250, " mouseup 1");
    fil_picture_get_patch (fixture->picture, &patch);
    g_assert_cmpint (patch.x, ==, 340);
    g_assert_cmpint (patch.y, ==, 150);
    g_assert_cmpint (patch.width, ==, 300);
    g_assert_cmpuint (fixture->n_patch_changed, ==, 1);

    /* Its lower right corner. */
    point_at (fixture, (int) (640 - region.x), top + 350, " mousedown 1");
    point_at (fixture, (int) (620 - region.x), top + 360, "");
    point_at (fixture, (int) (610 - region.x), top + 370, " mouseup 1");
    fil_picture_get_patch (fixture->picture, &patch);
    g_assert_cmpint (patch.width, ==, 270);
    g_assert_cmpint (patch.height, ==, 220);
    g_assert_cmpuint (fixture->n_patch_changed, ==, 2);
  }

  /* It has the focus now. */
  xdotool ("key Left");
  xdotool ("key ctrl+Down");
  xdotool ("key shift+Right");
  fil_picture_get_patch (fixture->picture, &patch);
  g_assert_cmpint (patch.x, ==, 332);
  g_assert_cmpint (patch.y, ==, 151);
  g_assert_cmpint (patch.width, ==, 278);
  g_assert_cmpint (patch.height, ==, 220);
  g_assert_cmpuint (fixture->n_patch_changed, ==, 5);
  /* And lets the picture have its own keys. */
  xdotool ("key plus");
  g_assert_cmpfloat (fil_picture_get_zoom (fixture->picture), ==, 2.0);
}

static void
test_patch_is_kept_inside (Fixture      *fixture,
                           gconstpointer data)
{
  FilRect patch = { 900, 480, 10, 10 };

  fil_picture_set_patch (fixture->picture, &patch);
  fil_picture_get_patch (fixture->picture, &patch);
  g_assert_cmpint (patch.x, ==, COLUMNS - 128);
  g_assert_cmpint (patch.y, ==, ROWS - 128);
  g_assert_cmpint (patch.width, ==, 128);
  fil_picture_set_patch (fixture->picture, NULL);
  fil_picture_get_patch (fixture->picture, &patch);
  g_assert_cmpint (patch.width, ==, 0);
  g_assert_cmpuint (fixture->n_patch_changed, ==, 0);
}

/* The counts themselves come to the screen, one pixel each, nothing blurred. */
static void
test_pixels (Fixture      *fixture,
             gconstpointer data)
{
  FilRegion region;

  g_object_set (fixture->picture, "show-inset", FALSE, NULL);
  for (int zoom = 1; zoom <= 3; zoom++)
    {
      fil_picture_zoom_to (fixture->picture, zoom);
      fil_picture_centre_on (fixture->picture, 500, 250);
      run_for (300);
      fil_picture_get_region (fixture->picture, &region);
      for (int x = 100; x < 300; x += 37)
        {
          int y = 290;
          int top = MAX ((gtk_widget_get_height (GTK_WIDGET (fixture->picture)) - zoom * ROWS) / 2,
                         0);
          guint count = count_at ((int) floor (region.x + (x + 0.5) / zoom),
                                  (int) floor (region.y + (y - top + 0.5) / zoom));

          g_assert_cmphex (pixel_at (fixture, x, y), ==, grey (count));
        }
    }
}

/* Frames come faster than they can be seen: few are drawn, the last one is. */
static void
test_newest_wins (Fixture      *fixture,
                  gconstpointer data)
{
  guint64 before = fil_picture_get_n_drawn (fixture->picture);
  g_autoptr (FilFrame) white = fil_frame_new_alloc (fixture->frame->format, COLUMNS, ROWS);

  memset ((guint8 *) white->data, 255, white->size);
  for (int i = 0; i < 400; i++)
    {
      fil_picture_set_frame (fixture->picture, i % 2 ? white : fixture->frame);
      g_main_context_iteration (NULL, FALSE);
    }
  run_for (400);
  g_assert_cmpuint (fil_picture_get_n_drawn (fixture->picture), >, before);
  g_assert_cmpuint (fil_picture_get_n_drawn (fixture->picture), <, before + 200);
  g_assert_cmphex (pixel_at (fixture, 400, 300), ==, grey (255));
}

static void
acted_cb (GSimpleAction *action,
          GVariant      *parameter,
          gpointer       user_data)
{
  ++*(guint *) user_data;
}

static void
test_message (Fixture      *fixture,
              gconstpointer data)
{
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();
  g_autoptr (GSimpleAction) action = g_simple_action_new ("open", NULL);
  guint n_acted = 0;

  g_signal_connect (action, "activate", G_CALLBACK (acted_cb), &n_acted);
  g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (action));
  gtk_widget_insert_action_group (fixture->window, "test", G_ACTION_GROUP (group));
  fil_picture_set_message (fixture->picture, "The gate is closed", "Confirm the filter.",
                           "Open the gate", "test.open");
  run_for (100);
  g_assert_cmphex (pixel_at (fixture, 20, 300), !=, grey (count_at (25, 250)));
  /* Zooming waits for a picture. */
  point_at (fixture, 200, 150, " click 4");
  g_assert_true (fil_picture_get_fit (fixture->picture));
  xdotool ("key Tab Return");
  g_assert_cmpuint (n_acted, ==, 1);

  fil_picture_set_message (fixture->picture, NULL, NULL, NULL, NULL);
  run_for (200);
  point_at (fixture, 200, 150, " click 4");
  g_assert_false (fil_picture_get_fit (fixture->picture));
}

/* Other sizes, formats, no frame at all; a damaged one leaves the last standing. */
static void
test_changing_frames (Fixture      *fixture,
                      gconstpointer data)
{
  FilRect patch = { 700, 300, 200, 200 };
  g_autoptr (FilFrame) small = make_frame ("RG12", 150, 90, TRUE, count_at);
  g_autoptr (FilFrame) damaged = make_frame ("GREY", COLUMNS, ROWS, FALSE, count_at);
  FilRegion region;

  fil_picture_set_patch (fixture->picture, &patch);
  fil_picture_zoom_to (fixture->picture, 3.0);
  fil_picture_set_frame (fixture->picture, small);
  g_assert_true (fil_picture_get_fit (fixture->picture));
  fil_picture_get_patch (fixture->picture, &patch);
  g_assert_cmpint (patch.width, ==, 150);
  g_assert_cmpint (patch.height, ==, 90);
  run_for (100);
  fil_picture_set_frame (fixture->picture, NULL);
  g_assert_null (fil_picture_get_frame (fixture->picture));
  fil_picture_zoom_steps (fixture->picture, 2);
  run_for (100);
  damaged->size = 10;
  fil_picture_set_frame (fixture->picture, damaged);
  run_for (100);
  fil_picture_set_frame (fixture->picture, fixture->frame);
  run_for (100);
  fil_picture_get_region (fixture->picture, &region);
  g_assert_cmpfloat (region.width, >, 0);
}

/* Off the screen nothing is drawn, and back on it the newest frame is. */
static void
test_hidden (Fixture      *fixture,
             gconstpointer data)
{
  guint64 before;

  gtk_widget_set_visible (GTK_WIDGET (fixture->picture), FALSE);
  run_for (100);
  before = fil_picture_get_n_drawn (fixture->picture);
  fil_picture_set_frame (fixture->picture, NULL);
  fil_picture_set_frame (fixture->picture, fixture->frame);
  run_for (200);
  g_assert_cmpuint (fil_picture_get_n_drawn (fixture->picture), ==, before);
  gtk_widget_set_visible (GTK_WIDGET (fixture->picture), TRUE);
  run_for (300);
  g_assert_cmpuint (fil_picture_get_n_drawn (fixture->picture), ==, before + 1);
}

static void
add (const char *path,
     void      (*test) (Fixture      *fixture,
                        gconstpointer data))
{
  g_test_add (path, Fixture, NULL, set_up, test, tear_down);
}

int
main (int argc, char *argv[])
{
  gtk_test_init (&argc, &argv, NULL);

  add ("/picture/fit-and-keys", test_fit_and_keys);
  add ("/picture/actions", test_actions);
  add ("/picture/wheel", test_wheel);
  add ("/picture/drag-and-double-click", test_drag_and_double_click);
  add ("/picture/patch", test_patch);
  add ("/picture/patch-is-kept-inside", test_patch_is_kept_inside);
  add ("/picture/pixels", test_pixels);
  add ("/picture/newest-wins", test_newest_wins);
  add ("/picture/message", test_message);
  add ("/picture/changing-frames", test_changing_frames);
  add ("/picture/hidden", test_hidden);

  return g_test_run ();
}

/* test-picture-sky.c: compass, grid, limb and pointer as the picture draws them
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Needs a display of its own without a window manager, and xdotool. Golden
 * places by sunpy and astropy.wcs, see sky-golden.py. */

#include <math.h>
#include <string.h>

#include "fil-picture-private.h"
#include "picture-help.h"
#include "render-help.h"
#include "sky-golden.h"

/* What is left for the picture in a window of 1280 × 800. */
#define WIDTH  1280
#define HEIGHT 537

typedef struct
{
  GtkWidget  *window;
  FilPicture *picture;
  FilFrame   *frame;
  guint32    *pixels;
  guint       n_picked, n_cancelled;
  double      x, y;
} Fixture;

static guint
black (int x,
       int y)
{
  return 0;
}

static gboolean
is_settled (gpointer picture)
{
  return !FIL_PICTURE (picture)->sky.lines_stale;
}

/* Until what was set is laid out. */
static void
settle (Fixture *fixture)
{
  run_for (30);
  wait_until (is_settled, fixture->picture);
}

/* The window stands at the top left of its display. */
static void
point_at (double      x,
          double      y,
          const char *then)
{
  g_autofree char *command = g_strdup_printf ("mousemove %.0f %.0f%s", floor (x), floor (y), then);

  xdotool (command);
}

static void
picked_cb (FilPicture *picture,
           double      x,
           double      y,
           Fixture    *fixture)
{
  fixture->n_picked++;
  fixture->x = x;
  fixture->y = y;
}

static void
cancelled_cb (FilPicture *picture,
              Fixture    *fixture)
{
  fixture->n_cancelled++;
}

static void
load_style (void)
{
  static gboolean loaded;
  g_autoptr (GtkCssProvider) style = gtk_css_provider_new ();

  if (loaded)
    return;

  loaded = TRUE;
  gtk_css_provider_load_from_resource (style, "/io/github/filigree/Filigree/picture.css");
  gtk_style_context_add_provider_for_display (gdk_display_get_default (),
                                              GTK_STYLE_PROVIDER (style),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
}

static void
set_up (Fixture      *fixture,
        gconstpointer data)
{
  load_style ();
  *fixture = (Fixture) { 0 };
  fixture->frame = make_frame ("GREY", GOLDEN_WIDTH, GOLDEN_HEIGHT, FALSE, black);
  fixture->picture = FIL_PICTURE (fil_picture_new ());
  fixture->window = gtk_window_new ();
  fixture->pixels = g_new (guint32, WIDTH * HEIGHT);
  g_signal_connect (fixture->picture, "picked", G_CALLBACK (picked_cb), fixture);
  g_signal_connect (fixture->picture, "pick-cancelled", G_CALLBACK (cancelled_cb), fixture);
  gtk_window_set_decorated (GTK_WINDOW (fixture->window), FALSE);
  gtk_window_set_default_size (GTK_WINDOW (fixture->window), WIDTH, HEIGHT);
  gtk_window_set_child (GTK_WINDOW (fixture->window), GTK_WIDGET (fixture->picture));
  gtk_window_set_title (GTK_WINDOW (fixture->window), "sky-under-test");
  fil_picture_set_frame (fixture->picture, fixture->frame);
  gtk_window_present (GTK_WINDOW (fixture->window));
  wait_until (is_drawn, fixture->picture);
  xdotool ("search --sync --name ^sky-under-test$ windowfocus windowmove 0 0");
  wait_until (is_focused, fixture->window);
}

static void
tear_down (Fixture      *fixture,
           gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (fixture->window));
  fil_frame_unref (fixture->frame);
  g_free (fixture->pixels);
  run_for (20);
}

static void
show_set (Fixture         *fixture,
          const GoldenSet *set,
          gboolean         measured)
{
  FilPlace place = { .plate_scale_arcsec_per_px = set->scale, .plate_scale_error = NAN,
                     .position_angle_deg = set->turn, .mirrored = set->mirrored != 0,
                     .oriented = measured, .placed = measured,
                     .centre_x = set->x, .centre_y = set->y };

  fil_picture_set_sky (fixture->picture, &place, &golden_sun);
}

static GskRenderNode *
snapshot (Fixture *fixture)
{
  g_autoptr (GdkPaintable) paintable = gtk_widget_paintable_new (GTK_WIDGET (fixture->picture));
  GtkSnapshot *shot = gtk_snapshot_new ();

  gdk_paintable_snapshot (paintable, shot, WIDTH, HEIGHT);

  return gtk_snapshot_free_to_node (shot);
}

/* All of the picture as it would come to the screen; nothing comes while it
 * isn't laid out. */
static void
take_pixels (Fixture *fixture)
{
  g_autoptr (GskRenderNode) node = snapshot (fixture);
  g_autoptr (GdkTexture) texture = NULL;

  for (int i = 0; i < 500 && node == NULL; i++)
    {
      run_for (20);
      node = snapshot (fixture);
    }
  g_assert_nonnull (node);
  texture = gsk_renderer_render_texture (gtk_native_get_renderer (GTK_NATIVE (fixture->window)),
                                         node, &GRAPHENE_RECT_INIT (0, 0, WIDTH, HEIGHT));
  gdk_texture_download (texture, (guchar *) fixture->pixels, WIDTH * 4);
}

/* The brightest pixel within one of a place. */
static guint
brightness_near (Fixture *fixture,
                 double   x,
                 double   y)
{
  guint most = 0;

  for (int row = (int) floor (y) - 1; row <= (int) floor (y) + 1; row++)
    for (int column = (int) floor (x) - 1; column <= (int) floor (x) + 1; column++)
      if (column >= 0 && column < WIDTH && row >= 0 && row < HEIGHT)
        most = MAX (most, fixture->pixels[row * WIDTH + column] >> 8 & 0xff);

  return most;
}

/* Where a golden row has to be seen; %FALSE near the edges, where names stand. */
static gboolean
find_on_screen (Fixture         *fixture,
                const GoldenRow *row,
                double          *x,
                double          *y)
{
  FilSkyPoint at = { row->x - 0.5, GOLDEN_HEIGHT - row->y + 0.5 };
  graphene_rect_t shown, inner;

  fil_picture_from_point (fixture->picture, &at, x, y);
  g_assert_true (fil_picture_get_shown (fixture->picture, &shown));
  graphene_rect_inset_r (&shown, 70, 40, &inner);

  return graphene_rect_contains_point (&inner, &GRAPHENE_POINT_INIT ((float) *x, (float) *y));
}

static gboolean
is_under_a_name (Fixture *fixture,
                 double   x,
                 double   y)
{
  const GArray *texts = fixture->picture->sky.texts;

  for (guint i = 0; i < texts->len; i++)
    {
      graphene_rect_t wide;

      graphene_rect_inset_r (&g_array_index (texts, FilSkyText, i).at, -2, -2, &wide);
      if (graphene_rect_contains_point (&wide, &GRAPHENE_POINT_INIT ((float) x, (float) y)))
        return TRUE;
    }

  return FALSE;
}

static void
show_lines_alone (Fixture *fixture)
{
  g_object_set (fixture->picture, "show-compass", FALSE, "show-pointer", FALSE, "show-scale",
                FALSE, "show-inset", FALSE, "show-grid", TRUE, NULL);
  point_at (WIDTH - 2, HEIGHT - 2, "");
}

/* Each line within a pixel of where it belongs, in all turns and mirrors; and
 * most of the picture is left free. */
static void
test_lines (Fixture      *fixture,
            gconstpointer data)
{
  guint n_checked = 0;

  show_lines_alone (fixture);
  for (gsize i = 0; i < G_N_ELEMENTS (golden_sets); i++)
    {
      const GoldenSet *set = &golden_sets[i];
      guint n_bright = 0;

      show_set (fixture, set, TRUE);
      settle (fixture);
      take_pixels (fixture);
      for (int k = 0; k < set->n_rows; k++)
        {
          double x, y;

          if (!find_on_screen (fixture, &set->rows[k], &x, &y) || is_under_a_name (fixture, x, y))
            continue;
          g_assert_cmpuint (brightness_near (fixture, x, y), >, 120);
          n_checked++;
        }
      for (guint k = 0; k < WIDTH * HEIGHT; k++)
        n_bright += (fixture->pixels[k] >> 8 & 0xff) > 60;
      g_assert_cmpuint (n_bright, <, WIDTH * HEIGHT / 12);
    }
  g_assert_cmpuint (n_checked, >, 120);
}

static void
test_lines_zoomed (Fixture      *fixture,
                   gconstpointer data)
{
  show_lines_alone (fixture);
  for (gsize i = 0; i < G_N_ELEMENTS (golden_sets); i++)
    {
      const GoldenSet *set = &golden_sets[i];
      const GoldenRow *row = &set->rows[1];
      double x, y;

      show_set (fixture, set, TRUE);
      fil_picture_zoom_to (fixture->picture, i % 2 ? 4.0 : 12.0);
      fil_picture_centre_on (fixture->picture, row->x, GOLDEN_HEIGHT - row->y);
      settle (fixture);
      take_pixels (fixture);
      g_assert_true (find_on_screen (fixture, row, &x, &y));
      g_assert_cmpuint (brightness_near (fixture, x, y), >, 120);
    }
}

static GtkWidget *
get_plate (FilPicture *picture,
           const char *starts)
{
  for (GtkWidget *child = gtk_widget_get_first_child (GTK_WIDGET (picture)); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (GTK_IS_LABEL (child) && gtk_widget_get_mapped (child) &&
        g_str_has_prefix (gtk_label_get_label (GTK_LABEL (child)), starts))
      return child;

  return NULL;
}

/* Everything that stands over the picture and could hide something else. */
static GArray *
list_plates (FilPicture *picture)
{
  GArray *plates = g_array_new (FALSE, FALSE, sizeof (graphene_rect_t));
  const FilPictureSky *sky = &picture->sky;

  for (GtkWidget *child = gtk_widget_get_first_child (GTK_WIDGET (picture)); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      graphene_rect_t at;

      if (!gtk_widget_get_mapped (child) || !gtk_widget_has_css_class (child, "plate"))
        continue;
      g_assert_true (gtk_widget_compute_bounds (child, GTK_WIDGET (picture), &at));
      g_array_append_val (plates, at);
    }
  for (guint i = 0; i < sky->texts->len; i++)
    g_array_append_val (plates, g_array_index (sky->texts, FilSkyText, i).at);
  if (sky->arrow_shown)
    {
      /* Its middle; it is 44 long, 26 wide. */
      graphene_rect_t arrow = GRAPHENE_RECT_INIT (
        (float) (sky->arrow_x - 22 * sky->centre.edge_towards.x - 13),
        (float) (sky->arrow_y - 22 * sky->centre.edge_towards.y - 13), 26, 26);

      g_array_append_val (plates, arrow);
    }

  return plates;
}

static void
assert_nothing_overlaps (FilPicture *picture)
{
  g_autoptr (GArray) plates = list_plates (picture);
  graphene_rect_t all = GRAPHENE_RECT_INIT (-1, -1, WIDTH + 2, HEIGHT + 2);

  g_assert_cmpuint (plates->len, >=, 6);
  for (guint i = 0; i < plates->len; i++)
    {
      const graphene_rect_t *one = &g_array_index (plates, graphene_rect_t, i);

      if (!graphene_rect_contains_rect (&all, one))
        g_error ("%.0f, %.0f: %.0f × %.0f lies outside", (double) one->origin.x,
                 (double) one->origin.y, (double) one->size.width, (double) one->size.height);
      for (guint k = 0; k < i; k++)
        {
          const graphene_rect_t *other = &g_array_index (plates, graphene_rect_t, k);

          if (graphene_rect_intersection (one, other, NULL))
            g_error ("%.0f, %.0f: %.0f × %.0f lies on %.0f, %.0f: %.0f × %.0f",
                     (double) one->origin.x, (double) one->origin.y, (double) one->size.width,
                     (double) one->size.height, (double) other->origin.x,
                     (double) other->origin.y, (double) other->size.width,
                     (double) other->size.height);
        }
    }
}

/* Everything switched on, at the smallest size promised; with large type too. */
static void
test_nothing_overlaps (Fixture      *fixture,
                       gconstpointer data)
{
  static const double zooms[] = { 0.0, 1.0, 3.0, 16.0 };
  FilPicture *picture = fixture->picture;
  FilRect patch = { 700, 300, 440, 440 };

  g_object_set (picture, "show-grid", TRUE, "show-earth", TRUE, NULL);
  fil_picture_set_patch (picture, &patch);
  fil_picture_set_centre_arrow (picture, TRUE);
  point_at (640, 300, "");
  for (int large = 0; large < 2; large++)
    {
      if (large)
        gtk_widget_add_css_class (fixture->window, "daylight");
      for (gsize i = 0; i < 2 * G_N_ELEMENTS (golden_sets); i++)
        for (gsize k = 0; k < G_N_ELEMENTS (zooms); k++)
          {
            show_set (fixture, &golden_sets[i / 2], i % 2 == 0);
            fil_picture_fit (picture);
            if (zooms[k] > 0.0)
              fil_picture_zoom_to (picture, zooms[k]);
            settle (fixture);
            assert_nothing_overlaps (picture);
          }
    }
}

static void
test_plates (Fixture      *fixture,
             gconstpointer data)
{
  const GoldenSet *set = &golden_sets[0];
  FilPicture *picture = fixture->picture;
  GtkWidget *plate;
  FilLimb limb = { .seen = TRUE, .centre_x = 900, .centre_y = 500, .radius_px = 300 };

  /* Nothing is known: nothing is claimed. */
  g_object_set (picture, "show-grid", TRUE, NULL);
  fil_picture_set_centre_arrow (picture, TRUE);
  point_at (640, 300, "");
  g_assert_false (gtk_widget_get_mapped (picture->sky.compass));
  g_assert_null (get_plate (picture, "grid"));
  g_assert_cmpuint (picture->sky.lines->lines->len, ==, 0);

  /* Not measured, and it says so; no place for the pointer, no way to the centre. */
  show_set (fixture, set, FALSE);
  settle (fixture);
  g_assert_true (gtk_widget_get_mapped (picture->sky.compass));
  plate = get_plate (picture, "grid 10°");
  g_assert_nonnull (plate);
  g_assert_nonnull (strstr (gtk_label_get_label (GTK_LABEL (plate)), "angle not measured yet"));
  g_assert_null (get_plate (picture, "centre"));
  g_assert_null (get_plate (picture, "N "));

  show_set (fixture, set, TRUE);
  settle (fixture);
  plate = get_plate (picture, "grid 10°");
  g_assert_null (strstr (gtk_label_get_label (GTK_LABEL (plate)), "measured"));
  /* 15.1′ and 1.5 fields in the golden row. */
  {
    g_autofree char *text = g_strdup_printf ("centre %.0f′ this way · ", set->distance_arcmin);

    g_assert_nonnull (get_plate (picture, text));
  }
  g_object_set (picture, "show-grid", FALSE, "show-compass", FALSE, "show-pointer", FALSE, NULL);
  fil_picture_set_centre_arrow (picture, FALSE);
  run_for (200);
  g_assert_null (get_plate (picture, "grid"));
  g_assert_null (get_plate (picture, "centre"));
  g_assert_false (gtk_widget_get_mapped (picture->sky.compass));

  /* Without the Sun nothing is known of the sky. A limb that was found needs no
   * coordinates. */
  fil_picture_set_sky (picture, &picture->sky.place, NULL);
  fil_picture_set_limb (picture, &limb);
  run_for (200);
  g_assert_cmpuint (picture->sky.lines->lines->len, ==, 1);
  fil_picture_set_limb (picture, NULL);
  run_for (200);
  g_assert_cmpuint (picture->sky.lines->lines->len, ==, 0);
}

/* Over golden places, in all turns and mirrors, to what the plate shows. */
static void
test_pointer (Fixture      *fixture,
              gconstpointer data)
{
  FilPicture *picture = fixture->picture;
  int width = 0;

  for (gsize i = 0; i < G_N_ELEMENTS (golden_sets) / 2; i++)
    {
      const GoldenRow *row = &golden_sets[i].rows[3];
      double x, y, latitude, longitude, mu;
      char north, west;
      GtkWidget *plate;

      show_set (fixture, &golden_sets[i], TRUE);
      fil_picture_zoom_to (picture, 8.0);
      fil_picture_centre_on (picture, row->x, GOLDEN_HEIGHT - row->y);
      settle (fixture);
      find_on_screen (fixture, row, &x, &y);
      point_at (x + 3, y, "");
      point_at (x, y, "");
      plate = picture->sky.pointer;
      g_assert_true (gtk_widget_get_mapped (plate));
      g_assert_cmpint (sscanf (gtk_label_get_label (GTK_LABEL (plate)), "%c %lf° %c %lf° · μ %lf",
                               &north, &latitude, &west, &longitude, &mu), ==, 5);
      g_assert_cmpfloat_with_epsilon (north == 'N' ? latitude : -latitude, row->latitude, 0.11);
      g_assert_cmpfloat_with_epsilon (west == 'W' ? longitude : -longitude, row->longitude, 0.11);
      g_assert_cmpfloat_with_epsilon (mu, row->mu, 0.011);
      /* It keeps its width. */
      g_assert_true (width == 0 || width == gtk_widget_get_width (plate));
      width = gtk_widget_get_width (plate);
    }
}

/* It makes way for the pointer. */
static void
test_pointer_is_not_hidden (Fixture      *fixture,
                            gconstpointer data)
{
  FilPicture *picture = fixture->picture;
  graphene_rect_t at;
  double x, y;

  show_set (fixture, &golden_sets[0], TRUE);
  settle (fixture);
  point_at (600, 400, "");
  g_assert_true (gtk_widget_compute_bounds (picture->sky.pointer, GTK_WIDGET (picture), &at));
  x = (double) (at.origin.x + at.size.width / 2);
  y = (double) (at.origin.y + at.size.height / 2);
  point_at (x, y, "");
  g_assert_true (gtk_widget_compute_bounds (picture->sky.pointer, GTK_WIDGET (picture), &at));
  g_assert_false (graphene_rect_contains_point (&at, &GRAPHENE_POINT_INIT ((float) x, (float) y)));
}

static void
test_pick (Fixture      *fixture,
           gconstpointer data)
{
  FilPicture *picture = fixture->picture;
  FilRect patch = { 700, 300, 440, 440 };
  FilRegion region;

  fil_picture_set_patch (picture, &patch);
  fil_picture_zoom_to (picture, 1.0);
  run_for (200);
  fil_picture_get_region (picture, &region);

  /* A click where there is no picking picks nothing. */
  point_at (500, 200, " click 1");
  g_assert_cmpuint (fixture->n_picked, ==, 0);

  /* On the patch too, which can't be moved meanwhile. */
  fil_picture_set_picking (picture, TRUE);
  point_at (500, 200, " click 1");
  g_assert_cmpuint (fixture->n_picked, ==, 1);
  g_assert_cmpfloat_with_epsilon (fixture->x, region.x + 500 + 0.5, 1.0);
  g_assert_cmpfloat_with_epsilon (fixture->y, GOLDEN_HEIGHT - (region.y + 200) + 0.5, 1.0);
  g_assert_false (fil_picture_get_picking (picture));
  run_for (600);   /* no second click of a double one */

  /* A drag pans. */
  fil_picture_set_picking (picture, TRUE);
  point_at (500, 200, " mousedown 1");
  point_at (540, 220, "");
  point_at (560, 230, " mouseup 1");
  g_assert_cmpuint (fixture->n_picked, ==, 1);
  g_assert_true (fil_picture_get_picking (picture));
  fil_picture_get_patch (picture, &patch);
  g_assert_cmpint (patch.x, ==, 700);
  xdotool ("key Escape");
  g_assert_cmpuint (fixture->n_cancelled, ==, 1);
  g_assert_false (fil_picture_get_picking (picture));

  /* By keys alone, from the middle. */
  fil_picture_get_region (picture, &region);
  fil_picture_set_picking (picture, TRUE);
  xdotool ("key Right");
  xdotool ("key ctrl+Down");
  xdotool ("key Return");
  g_assert_cmpuint (fixture->n_picked, ==, 2);
  g_assert_cmpfloat_with_epsilon (fixture->x, region.x + region.width / 2 + 10 + 0.5, 1e-6);
  g_assert_cmpfloat_with_epsilon (fixture->y,
                                  GOLDEN_HEIGHT - (region.y + region.height / 2 + 1) + 0.5, 1e-6);
  /* Neither key does anything afterwards. */
  xdotool ("key Return Escape");
  g_assert_cmpuint (fixture->n_picked, ==, 2);
  g_assert_cmpuint (fixture->n_cancelled, ==, 1);
}

/* The lines are drawn once, and not again with each frame. */
static void
test_drawn_once (Fixture      *fixture,
                 gconstpointer data)
{
  FilPicture *picture = fixture->picture;
  g_autoptr (FilFrame) other = make_frame ("GREY", GOLDEN_WIDTH, GOLDEN_HEIGHT, FALSE, black);
  const FilLimb limb = { .seen = TRUE, .centre_x = 900, .centre_y = 500, .radius_px = 300 };
  GskRenderNode *node;

  show_lines_alone (fixture);
  show_set (fixture, &golden_sets[2], TRUE);
  fil_picture_set_limb (picture, &limb);
  run_for (100);
  node = picture->sky.node;
  g_assert_nonnull (node);
  for (int i = 0; i < 6; i++)
    {
      guint64 before = fil_picture_get_n_drawn (picture);

      fil_picture_set_frame (picture, i % 2 ? fixture->frame : other);
      for (int k = 0; k < 100 && fil_picture_get_n_drawn (picture) == before; k++)
        run_for (20);
      show_set (fixture, &golden_sets[2], TRUE);
      fil_picture_set_limb (picture, &limb);
      g_assert_true (picture->sky.node == node);
    }
  fil_picture_zoom_to (picture, 2.0);
  run_for (100);
  g_assert_true (picture->sky.node != node);
  fil_picture_set_frame (picture, NULL);
  run_for (200);
  g_assert_null (picture->sky.node);
}

static void
add (const char *path,
     void      (*test) (Fixture      *fixture,
                        gconstpointer data))
{
  g_test_add (path, Fixture, NULL, set_up, test, tear_down);
}

int
main (int   argc,
      char *argv[])
{
  gtk_test_init (&argc, &argv, NULL);

  add ("/picture-sky/lines", test_lines);
  add ("/picture-sky/lines-zoomed", test_lines_zoomed);
  add ("/picture-sky/nothing-overlaps", test_nothing_overlaps);
  add ("/picture-sky/plates", test_plates);
  add ("/picture-sky/pointer", test_pointer);
  add ("/picture-sky/pointer-is-not-hidden", test_pointer_is_not_hidden);
  add ("/picture-sky/pick", test_pick);
  add ("/picture-sky/drawn-once", test_drawn_once);

  return g_test_run ();
}

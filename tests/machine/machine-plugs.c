/* machine-plugs.c: cameras that come and go, as the watch tells of them
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The machine has no udev: what is tested is the watch on the kernel's own
 * nodes. Everything told is written down in order. */

#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include <glib.h>

#include "fil-plug-watch.h"
#include "fil-source.h"
#include "machine-test.h"

#define LIMIT_MS 20000   /* the machine is slow, and the watch waits for nodes to settle */
#define QUIET_MS 1500    /* what was not told by then is not told */

typedef struct
{
  FilPlugWatch *watch;
  GPtrArray    *told;     /* of char*: "added PATH", "removed PATH IDENTITY" */
} Plugs;

static void
added_cb (FilPlugWatch *watch,
          const char   *path,
          Plugs        *plugs)
{
  g_ptr_array_add (plugs->told, g_strconcat ("added ", path, NULL));
}

static void
removed_cb (FilPlugWatch *watch,
            const char   *path,
            const char   *identity,
            Plugs        *plugs)
{
  g_ptr_array_add (plugs->told, g_strconcat ("removed ", path, " ", identity, NULL));
}

static void
plugs_begin (Plugs *plugs)
{
  plugs->told = g_ptr_array_new_with_free_func (g_free);
  plugs->watch = fil_plug_watch_new ();
  g_signal_connect (plugs->watch, "added", G_CALLBACK (added_cb), plugs);
  g_signal_connect (plugs->watch, "removed", G_CALLBACK (removed_cb), plugs);
}

static void
plugs_end (Plugs *plugs)
{
  g_object_unref (plugs->watch);
  g_ptr_array_unref (plugs->told);
}

static gboolean
end_cb (gpointer user_data)
{
  *(gboolean *) user_data = TRUE;

  return G_SOURCE_REMOVE;
}

/* Turns the main loop until @count things were told, or @limit_ms are over. */
static void
turn (Plugs *plugs,
      guint  count,
      guint  limit_ms)
{
  gboolean over = FALSE;
  guint id = g_timeout_add (limit_ms, end_cb, &over);

  while (!over && plugs->told->len < count)
    g_main_context_iteration (NULL, TRUE);
  if (!over)
    g_source_remove (id);
}

/* Returns: what follows @word in what is told as number @at */
static const char *
expect (Plugs      *plugs,
        guint       at,
        const char *word)
{
  const char *told;

  turn (plugs, at + 1, LIMIT_MS);
  if (at >= plugs->told->len)
    g_error ("nothing was told in %d ms; expected: %s", LIMIT_MS, word);
  told = g_ptr_array_index (plugs->told, at);
  g_test_message ("%s", told);
  g_assert_true (g_str_has_prefix (told, word));

  return told + strlen (word);
}

static void
expect_removed (Plugs      *plugs,
                guint       at,
                const char *path,
                const char *identity)
{
  g_autofree char *wanted = g_strconcat (path, " ", identity, NULL);

  g_assert_cmpstr (expect (plugs, at, "removed "), ==, wanted);
}

static void
expect_no_more (Plugs *plugs,
                guint  count)
{
  turn (plugs, count + 1, QUIET_MS);
  g_assert_cmpuint (plugs->told->len, ==, count);
}

/* Returns: (transfer full): the only camera there is, %NULL where there is none */
static char *
dup_only_camera (void)
{
  g_autoptr (GPtrArray) listings = fil_source_list ();
  char *path = NULL;

  for (guint i = 0; i < listings->len; i++)
    {
      const FilSourceListing *listing = g_ptr_array_index (listings, i);

      if (!fil_source_name_is_live (listing->path))
        continue;
      g_assert_null (path);
      path = g_strdup (listing->path);
    }

  return path;
}

static char *
dup_identity (const char *path)
{
  g_autoptr (GError) error = NULL;
  char *identity = fil_source_dup_identity (path, &error);

  g_assert_no_error (error);

  return identity;
}

/* The only camera, under another identity than before.
 * Returns: (transfer full): its path */
static char *
expect_added (Plugs      *plugs,
              guint       at,
              const char *identity_before)
{
  char *path = g_strdup (expect (plugs, at, "added "));
  g_autofree char *listed = dup_only_camera ();
  g_autofree char *identity = dup_identity (path);

  g_assert_cmpstr (path, ==, listed);
  g_assert_cmpstr (identity, !=, identity_before);

  return path;
}

/* Out and in again, with nobody at the camera: the same node, another
 * plugging-in. */
static void
test_idle (void)
{
  g_autofree char *before = dup_only_camera ();
  g_autofree char *identity = dup_identity (before);
  g_autofree char *gone = NULL;
  g_autofree char *after = NULL;
  Plugs plugs;

  plugs_begin (&plugs);
  expect_no_more (&plugs, 0);

  machine_unplug ();
  expect_removed (&plugs, 0, before, identity);
  gone = dup_only_camera ();
  g_assert_null (gone);
  expect_no_more (&plugs, 1);

  machine_plug ();
  after = expect_added (&plugs, 1, identity);
  g_assert_cmpstr (after, ==, before);
  expect_no_more (&plugs, 2);
  plugs_end (&plugs);
}

/* A program that still holds the old node makes the kernel give the new one
 * another number. */
static void
test_held (void)
{
  g_autofree char *before = dup_only_camera ();
  g_autofree char *identity = dup_identity (before);
  g_autofree char *identity_after = NULL;
  g_autofree char *after = NULL;
  g_autofree char *last = NULL;
  int fd = open (before, O_RDWR | O_CLOEXEC);
  Plugs plugs;

  g_assert_cmpint (fd, >=, 0);
  plugs_begin (&plugs);
  machine_unplug ();
  expect_removed (&plugs, 0, before, identity);

  g_free (machine_run ("echo vivid.0 > " DRIVER "bind"));
  after = expect_added (&plugs, 1, identity);
  g_assert_cmpstr (after, !=, before);
  identity_after = dup_identity (after);
  close (fd);
  expect_no_more (&plugs, 2);

  machine_unplug ();
  expect_removed (&plugs, 2, after, identity_after);
  machine_plug ();
  last = expect_added (&plugs, 3, identity_after);
  g_assert_cmpstr (last, ==, before);
  expect_no_more (&plugs, 4);
  plugs_end (&plugs);
}

/* Out and in again before anybody has looked: both are told, in that order. */
static void
test_quick (void)
{
  g_autofree char *before = dup_only_camera ();
  g_autofree char *identity = dup_identity (before);
  g_autofree char *after = NULL;
  Plugs plugs;

  plugs_begin (&plugs);
  machine_unplug ();
  machine_plug ();
  expect_removed (&plugs, 0, before, identity);
  after = expect_added (&plugs, 1, identity);
  g_assert_cmpstr (after, ==, before);
  expect_no_more (&plugs, 2);
  plugs_end (&plugs);
}

/* What bears such a name, but is no camera, makes the watch look, and no more;
 * so do other rights of a camera's node. */
static void
test_no_camera (void)
{
  g_autofree char *before = dup_only_camera ();
  g_autofree char *after = NULL;
  Plugs plugs;

  plugs_begin (&plugs);
  g_free (machine_run ("echo > /dev/video8; mknod /dev/video9 c 81 200; chmod 660 " DEVICE));
  expect_no_more (&plugs, 0);
  after = dup_only_camera ();
  g_assert_cmpstr (after, ==, before);
  g_free (machine_run ("rm /dev/video8 /dev/video9"));
  expect_no_more (&plugs, 0);
  plugs_end (&plugs);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/plugs/idle", test_idle);
  g_test_add_func ("/plugs/held", test_held);
  g_test_add_func ("/plugs/quick", test_quick);
  g_test_add_func ("/plugs/no-camera", test_no_camera);

  return g_test_run ();
}

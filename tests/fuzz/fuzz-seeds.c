/* fuzz-seeds.c: runs a fuzz target over its seeds, whole and cut short
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>

#include <glib.h>

#define N_CUTS 64

int LLVMFuzzerTestOneInput (const guint8 *data,
                            gsize         size);

/* A copy of exactly the right size, so that a sanitizer sees one byte too far. */
static void
feed (const char *text,
      gsize       size)
{
  g_autofree guint8 *copy = g_memdup2 (text, size);

  LLVMFuzzerTestOneInput (copy, size);
}

static gboolean
feed_file (const char *path)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = NULL;
  gsize size;

  if (!g_file_get_contents (path, &text, &size, &error))
    {
      printf ("# %s\n", error->message);
      return FALSE;
    }

  feed (text, size);
  for (gsize i = 0; i < N_CUTS; i++)
    feed (text, size * i / N_CUTS);

  return TRUE;
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (GDir) dir = NULL;
  const char *name;
  int n = 0;

  if (argc == 2)
    dir = g_dir_open (argv[1], 0, NULL);
  if (dir == NULL)
    {
      puts ("Bail out! the argument is to be the folder of seeds");
      return 1;
    }

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (argv[1], name, NULL);

      printf ("%sok %d - %s\n", feed_file (path) ? "" : "not ", ++n, name);
      fflush (stdout);
    }
  printf ("1..%d\n", n);

  return 0;
}

/* plain-write.c: what the disk takes when a program does nothing but write
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plain-write FILE FRAME_BYTES N: writes N frames with one write() each, then
 * fdatasync(); prints seconds from the first write to the sync's return, and
 * removes the file. The reference for the speed of recording. */

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define N_DIFFERENT 8

static double
now_s (void)
{
  struct timespec now;

  clock_gettime (CLOCK_MONOTONIC, &now);

  return (double) now.tv_sec + (double) now.tv_nsec * 1e-9;
}

/* No file system may find the frames alike, or full of zeros. */
static void
fill (unsigned char *bytes,
      size_t         n)
{
  unsigned state = 1;

  for (size_t i = 0; i < n; i++)
    {
      state = state * 1664525u + 1013904223u;
      bytes[i] = (unsigned char) (state >> 24);
    }
}

static int
write_whole (int                  fd,
             const unsigned char *bytes,
             size_t               n)
{
  while (n > 0)
    {
      ssize_t written = write (fd, bytes, n);

      if (written < 0 && errno == EINTR)
        continue;
      if (written <= 0)
        return -1;
      bytes += written;
      n -= (size_t) written;
    }

  return 0;
}

int
main (int   argc,
      char *argv[])
{
  size_t frame_bytes, n_frames;
  unsigned char *frames;
  double begin_s;
  int fd, failed = 0;

  if (argc != 4)
    {
      fprintf (stderr, "usage: plain-write FILE FRAME_BYTES N\n");
      return 2;
    }

  frame_bytes = strtoull (argv[2], NULL, 10);
  n_frames = strtoull (argv[3], NULL, 10);
  frames = malloc (frame_bytes * N_DIFFERENT);
  if (frames == NULL || frame_bytes == 0)
    return 1;
  fill (frames, frame_bytes * N_DIFFERENT);

  begin_s = now_s ();
  fd = open (argv[1], O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (fd < 0)
    {
      perror (argv[1]);
      return 1;
    }
  for (size_t i = 0; i < n_frames && !failed; i++)
    failed = write_whole (fd, frames + frame_bytes * (i % N_DIFFERENT), frame_bytes) != 0;
  failed = failed || fdatasync (fd) != 0;
  if (failed)
    perror (argv[1]);
  else
    printf ("%.6f\n", now_s () - begin_s);

  close (fd);
  unlink (argv[1]);
  free (frames);

  return failed;
}

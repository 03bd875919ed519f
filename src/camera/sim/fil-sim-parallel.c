/* fil-sim-parallel.c: independent pieces of work on all processors
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <pthread.h>

#include "fil-sim-parallel.h"

#define MAX_THREADS 8

typedef struct
{
  int         n_pieces;
  int         next;        /* atomic */
  FilSimPiece piece;
  gpointer    user_data;
} Job;

static void *
work (void *data)
{
  Job *job = data;
  int index;

  while ((index = __atomic_fetch_add (&job->next, 1, __ATOMIC_RELAXED)) < job->n_pieces)
    job->piece (index, job->user_data);

  return NULL;
}

/**
 * fil_sim_parallel:
 * @n_pieces: how many
 * @piece: does piece @index; called from several threads at once, in any
 *   order, so no piece may touch what another one does
 *
 * Returns when all pieces are done. Results can't depend on the number of
 * threads. Where no thread can be started the caller's does all.
 */
void
fil_sim_parallel (int         n_pieces,
                  FilSimPiece piece,
                  gpointer    user_data)
{
  Job job = { .n_pieces = n_pieces, .piece = piece, .user_data = user_data };
  int n_more = CLAMP ((int) g_get_num_processors () - 1, 0, MIN (MAX_THREADS, n_pieces) - 1);
  pthread_t threads[MAX_THREADS];
  int started = 0;

  while (started < n_more && pthread_create (&threads[started], NULL, work, &job) == 0)
    started++;
  work (&job);
  for (int i = 0; i < started; i++)
    pthread_join (threads[i], NULL);
}

/* fil-fftw-lock.c: the one lock around FFTW's planner
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <pthread.h>

#include "fil-fftw-lock.h"

static pthread_mutex_t planner_lock = PTHREAD_MUTEX_INITIALIZER;

/**
 * fil_fftw_lock:
 *
 * FFTW's planner, of either precision, is not re-entrant: whoever makes or
 * destroys a plan, anywhere in the process, holds this lock meanwhile.
 * Executing a plan needs no lock. Not recursive.
 *
 * Source: FFTW 3.3 manual, "Thread safety".
 */
void
fil_fftw_lock (void)
{
  pthread_mutex_lock (&planner_lock);
}

void
fil_fftw_unlock (void)
{
  pthread_mutex_unlock (&planner_lock);
}

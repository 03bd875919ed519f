/* fil-cpu.c: which vector instructions the kernels may use
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-cpu.h"

#define UNKNOWN (-1)

static int level = UNKNOWN;   /* atomic access only; every thread finds the same */

static FilCpuLevel
find_best (void)
{
#if FIL_CPU_HAVE_CLONES
  __builtin_cpu_init ();
  if (__builtin_cpu_supports ("avx2") && __builtin_cpu_supports ("avx512f") &&
      __builtin_cpu_supports ("avx512bw") && __builtin_cpu_supports ("avx512vnni"))
    return FIL_CPU_AVX512;
  if (__builtin_cpu_supports ("avx2"))
    return FIL_CPU_AVX2;
#endif
  return FIL_CPU_SCALAR;
}

/* Returns: what this processor offers, or less where fil_cpu_set_level()
 * said so. Thread-safe and cheap. */
FilCpuLevel
fil_cpu_get_level (void)
{
  int now = __atomic_load_n (&level, __ATOMIC_RELAXED);

  if (now == UNKNOWN)
    {
      now = (int) find_best ();
      __atomic_store_n (&level, now, __ATOMIC_RELAXED);
    }

  return (FilCpuLevel) now;
}

/**
 * fil_cpu_set_level:
 * @wanted: the highest level that may be used
 *
 * Lets tests and benches compare the clones with the plain reference. A level
 * that the processor lacks is lowered to what it has. Thread-safe; kernels
 * that are running keep their level.
 *
 * Returns: the level now in use
 */
FilCpuLevel
fil_cpu_set_level (FilCpuLevel wanted)
{
  FilCpuLevel now = MIN (wanted, find_best ());

  __atomic_store_n (&level, (int) now, __ATOMIC_RELAXED);

  return now;
}

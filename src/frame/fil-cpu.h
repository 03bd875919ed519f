/* fil-cpu.h: which vector instructions the kernels may use
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef enum
{
  FIL_CPU_SCALAR,   /* the plain C reference */
  FIL_CPU_AVX2,
  FIL_CPU_AVX512,   /* F, BW and VNNI */
} FilCpuLevel;

FilCpuLevel fil_cpu_get_level (void);
FilCpuLevel fil_cpu_set_level (FilCpuLevel level);

/* Marks a clone for one instruction set; FIL_CPU_HAVE_CLONES: there are any. */
#if defined (__x86_64__) && defined (__GNUC__)
#define FIL_CPU_HAVE_CLONES 1
#define FIL_CPU_TARGET_AVX2 __attribute__ ((target ("avx2")))
#define FIL_CPU_TARGET_AVX512 __attribute__ ((target ("avx2,avx512f,avx512bw,avx512vnni")))
#else
#define FIL_CPU_HAVE_CLONES 0
#endif

G_END_DECLS

/* fil-numbers-private.h: what the files of fil-numbers share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-numbers.h"

G_BEGIN_DECLS

/* Everything that a group is made of. */
typedef struct
{
  const FilRig       *rig;
  const FilSun       *sun;   /* %NULL: at 1 au */
  const FilAir       *air;   /* %NULL: the middling one was taken */
  const FilEstimates *e;
} FilNumberSource;

/* fil-numbers.c */
FilNumber *fil_numbers_add             (FilNumberGroup *group,
                                        const char     *key,
                                        const char     *name,
                                        char           *value);
char      *fil_number_text             (double          value,
                                        int             digits,
                                        const char     *unit);
char      *fil_number_short            (double          value,
                                        const char     *unit);
char      *fil_number_duration         (double          seconds);
char      *fil_number_angle            (double          arcsec);

/* fil-numbers-optics.c */
void       fil_numbers_fill_telescope  (FilNumberGroup *group, const FilNumberSource *source);
void       fil_numbers_fill_sky        (FilNumberGroup *group, const FilNumberSource *source);
void       fil_numbers_fill_resolution (FilNumberGroup *group, const FilNumberSource *source);
void       fil_numbers_fill_focus      (FilNumberGroup *group, const FilNumberSource *source);

/* fil-numbers-light.c */
void       fil_numbers_fill_light      (FilNumberGroup *group, const FilNumberSource *source);
void       fil_numbers_fill_time       (FilNumberGroup *group, const FilNumberSource *source);

G_END_DECLS

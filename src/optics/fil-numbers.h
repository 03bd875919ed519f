/* fil-numbers.h: a rig's numbers as people read them, in groups
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-estimates.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_NUMBER_OK,     /* nothing to say against it, as far as numbers tell */
  FIL_NUMBER_LOOK,   /* look at it: the verdict says why */
} FilNumberLevel;

/**
 * FilNumber:
 * @key: never changes and is never translated, as "plate-scale"
 * @name: translated, sentence case
 * @value: (nullable): with its unit, or a word that it is unknown; %NULL: it
 *   has no meaning for this rig, and isn't shown
 * @unknown: the value is but that word
 * @verdict: (nullable): what it means
 * @note: (nullable): what was assumed, or where it comes from
 * @estimate: good to a factor of two or so, and to be marked
 */
typedef struct
{
  const char    *key;
  const char    *name;
  char          *value;
  gboolean       unknown;
  char          *verdict;
  char          *note;
  gboolean       estimate;
  FilNumberLevel level;
} FilNumber;

/**
 * FilNumberGroup:
 * @title: translated
 * @items: (element-type FilNumber)
 */
typedef struct
{
  const char *title;
  GPtrArray  *items;
} FilNumberGroup;

GPtrArray *fil_numbers_list     (const FilRig *rig,
                                 const FilSun *sun,
                                 const FilAir *air);
char      *fil_number_dup_notes (const FilNumber *number);

G_END_DECLS

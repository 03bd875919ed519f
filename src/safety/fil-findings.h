/* fil-findings.h: what a light path refuses or warns of
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_FINDING_REFUSE,   /* no pass is made for this rig */
  FIL_FINDING_WARN,
  FIL_FINDING_NOTE,
} FilFindingLevel;

/**
 * FilFinding:
 * @code: stable, for programs ("no-filter")
 * @element: index of the element it concerns, −1: the rig as a whole
 * @text: translated; what is wrong and what to do
 * @mend: translated; what to do, in few words
 * @proposal: (nullable): translated; the edit that would mend it, as a button
 *   says it ("Add a front filter"); see fil_finding_propose()
 * @group, @key: (nullable): the value that would mend it, where only who
 *   stands at the telescope can tell it ("element 1", "type")
 */
typedef struct
{
  FilFindingLevel  level;
  const char      *code;
  int              element;
  char            *text;
  char            *mend;
  char            *proposal;
  char            *group;
  const char      *key;
} FilFinding;

GPtrArray  *fil_findings_list            (const FilRig    *rig);   /* of FilFinding, owned */
gboolean    fil_findings_refuse          (const GPtrArray *findings);
const char *fil_finding_level_to_string  (FilFindingLevel  level);
FilRig     *fil_finding_propose          (const FilFinding *finding,
                                          const FilRig     *rig,
                                          GError          **error);

G_END_DECLS

/* fil-gate-store.h: what is written down of a pass, and where
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. Reads and writes records; makes no pass. */

#pragma once

#include "fil-gate.h"

G_BEGIN_DECLS

/* Times in nanoseconds. */
typedef struct
{
  char   *device;
  char   *rig_digest;
  char   *boot;
  char   *confirmed;
  gint64  user;
  gint64  made_boottime_ns;
  gint64  deadline_boottime_ns;
  gint64  confirmed_utc_ns;
} FilGateRecord;

void           fil_gate_record_free  (FilGateRecord        *record);
gboolean       fil_gate_record_write (const FilGateRecord  *record,
                                      GError              **error);
FilGateRecord *fil_gate_record_read  (const char           *device,
                                      GError              **error);
void           fil_gate_record_erase (const char           *device);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilGateRecord, fil_gate_record_free)

G_END_DECLS

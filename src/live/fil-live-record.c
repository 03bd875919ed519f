/* fil-live-record.c: a clip of what is running
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n-lib.h>

#include "fil-live-private.h"

static gboolean
refuse (GError **error)
{
  g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_RECORDING,
                       _("No clip can be recorded"));
  return FALSE;
}

void fil_live_record_offer (FilLive *self, const FilFrame *frame) { }
void fil_live_record_cut_short (FilLive *self, const char *reason) { }
void fil_live_record_collect (FilLive *self) { }
void fil_live_record_tick (FilLive *self) { }
void fil_live_finish_recording (FilLive *self) { }
gboolean fil_live_is_recording (FilLive *self) { return FALSE; }
const char *fil_live_get_recording_error (FilLive *self) { return NULL; }
const char *fil_live_get_recording_path (FilLive *self) { return NULL; }

gboolean
fil_live_record (FilLive *self, const FilRecorderOptions *options, GError **error)
{
  return refuse (error);
}

gboolean
fil_live_end_recording (FilLive *self, FilRecorderStatus *status, GError **error)
{
  return refuse (error);
}

gboolean
fil_live_snapshot (FilLive *self, const char *path, GError **error)
{
  return refuse (error);
}

void
fil_live_get_recording (FilLive *self, FilRecorderStatus *status)
{
  *status = (FilRecorderStatus) { 0 };
}

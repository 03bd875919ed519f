/* fil-gate.h: the confirmation that the solar filter is in place
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-gate-pass.h"
#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_GATE_ERROR (fil_gate_error_quark ())
#define FIL_GATE_PASS_MINUTES   60
#define FIL_GATE_NOTICE_MINUTES 5
#define FIL_GATE_GRACE_MINUTES  10   /* a running clip may go on so much longer */

typedef enum
{
  FIL_GATE_ERROR_REFUSED,    /* the rig has refusing findings, or is incomplete */
  FIL_GATE_ERROR_CLOSED,     /* not all was confirmed, or no pass was left */
  FIL_GATE_ERROR_EXPIRED,
  FIL_GATE_ERROR_OTHER,      /* another device, rig, user or boot */
  FIL_GATE_ERROR_STORE,      /* the runtime directory can't be used */
} FilGateError;

GQuark fil_gate_error_quark (void);

/* One thing to look at, at the telescope; strings are translated. */
typedef struct
{
  const char *code;     /* stable: goes into the header of a clip */
  char       *text;     /* what must be so */
  char       *reason;   /* why */
} FilGateCheck;

/**
 * FilGate:
 *
 * The checks of one rig for one device, ticked one by one, and the filter's
 * name. Belongs to one thread. Nothing else makes a pass.
 */
typedef struct _FilGate FilGate;

FilGate            *fil_gate_new          (FilRig        *rig,
                                           const char    *device_identity,
                                           GError       **error);
void                fil_gate_free         (FilGate       *gate);
guint               fil_gate_get_n_checks (const FilGate *gate);
const FilGateCheck *fil_gate_get_check    (const FilGate *gate,
                                           guint          index);
void                fil_gate_tick         (FilGate       *gate,
                                           guint          index,
                                           gboolean       ticked);
gboolean            fil_gate_is_complete  (const FilGate *gate);
const char *const  *fil_gate_list_filters (const FilGate *gate);  /* "wedge", "front-filter" */
char               *fil_gate_dup_question (const FilGate *gate);  /* for the confirming button */
FilGatePass        *fil_gate_confirm      (FilGate       *gate,
                                           const char    *filter,
                                           GError       **error);

/* Left on disk by `filigree-cli gate` for the same user, boot, device and rig. */
gboolean            fil_gate_store_pass   (const FilGatePass *pass,
                                           GError           **error);
FilGatePass        *fil_gate_load_pass    (const FilRig      *rig,
                                           const char        *device_identity,
                                           GError           **error);
void                fil_gate_forget       (const char        *device_identity);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilGate, fil_gate_free)

G_END_DECLS

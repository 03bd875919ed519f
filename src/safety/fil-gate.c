/* fil-gate.c: the confirmation that the solar filter is in place
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The only file that makes a FilGatePass, and the only one that knows what is
 * in it. There are two ways to one: every check ticked and the filter named,
 * or a record of just that, left by this user, since this boot, for this
 * device and this rig, less than an hour ago.
 */

#include <pthread.h>
#include <stdatomic.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-findings.h"
#include "fil-gate-checks.h"
#include "fil-gate-store.h"
#include "fil-gate.h"

#define SECOND_NS        G_GINT64_CONSTANT (1000000000)
#define PASS_NS          (FIL_GATE_PASS_MINUTES * 60 * SECOND_NS)
#define CLOCK_SLACK_NS   (60 * SECOND_NS)   /* a clock set back by less is no fraud */
#define BOOT_ID_FILE     "/proc/sys/kernel/random/boot_id"

struct _FilGate
{
  FilRig      *rig;
  char        *device;
  GPtrArray   *checks;       /* of FilGateCheck */
  gboolean    *ticked;       /* as many */
  const char  *filters[3];   /* ended by NULL */
};

struct _FilGatePass
{
  atomic_int     references;
  atomic_bool    ended;      /* forgotten before its deadline */
  FilGateRecord *record;
};

G_DEFINE_QUARK (fil-gate-error-quark, fil_gate_error)

/* Passes that somebody holds, so that fil_gate_forget() reaches them. */
static pthread_mutex_t passes_lock = PTHREAD_MUTEX_INITIALIZER;
static GPtrArray *passes;

static gint64
now_ns (clockid_t clock)
{
  struct timespec now;

  clock_gettime (clock, &now);

  return now.tv_sec * SECOND_NS + now.tv_nsec;
}

/* Returns: (transfer full) (nullable): what the kernel calls this boot */
static char *
dup_boot_id (void)
{
  char *text = NULL;

  if (!g_file_get_contents (BOOT_ID_FILE, &text, NULL, NULL))
    return NULL;

  return g_strstrip (text);
}

/* Takes @record. */
static FilGatePass *
pass_new (FilGateRecord *record)
{
  FilGatePass *pass = g_new0 (FilGatePass, 1);

  atomic_init (&pass->references, 1);
  atomic_init (&pass->ended, FALSE);
  pass->record = record;

  pthread_mutex_lock (&passes_lock);
  if (passes == NULL)
    passes = g_ptr_array_new ();
  g_ptr_array_add (passes, pass);
  pthread_mutex_unlock (&passes_lock);

  return pass;
}

FilGatePass *
fil_gate_pass_ref (FilGatePass *pass)
{
  g_return_val_if_fail (pass != NULL, NULL);

  atomic_fetch_add_explicit (&pass->references, 1, memory_order_relaxed);

  return pass;
}

void
fil_gate_pass_unref (FilGatePass *pass)
{
  g_return_if_fail (pass != NULL);

  if (atomic_fetch_sub_explicit (&pass->references, 1, memory_order_acq_rel) != 1)
    return;

  pthread_mutex_lock (&passes_lock);
  g_ptr_array_remove_fast (passes, pass);
  if (passes->len == 0)
    g_clear_pointer (&passes, g_ptr_array_unref);
  pthread_mutex_unlock (&passes_lock);

  fil_gate_record_free (pass->record);
  g_free (pass);
}

/**
 * fil_gate_pass_get_remaining_s:
 *
 * Counted on a clock that runs on while the computer sleeps. A clip that was
 * running at the deadline may go on while this is above −60 ·
 * %FIL_GATE_GRACE_MINUTES.
 *
 * Returns: whole seconds to the deadline, 0 or less after it; %G_MININT64 for
 *   a pass that was forgotten
 */
gint64
fil_gate_pass_get_remaining_s (const FilGatePass *pass)
{
  gint64 left_ns;

  g_return_val_if_fail (pass != NULL, G_MININT64);

  if (atomic_load (&pass->ended))
    return G_MININT64;

  left_ns = pass->record->deadline_boottime_ns - now_ns (CLOCK_BOOTTIME);

  return left_ns >= 0 ? left_ns / SECOND_NS : -((SECOND_NS - 1 - left_ns) / SECOND_NS);
}

/**
 * fil_gate_pass_covers:
 * @device_identity: of the plugging-in that is to stream
 *
 * Whether @pass lets light into that camera now. Any thread.
 */
gboolean
fil_gate_pass_covers (const FilGatePass *pass,
                      const char        *device_identity,
                      GError           **error)
{
  g_return_val_if_fail (pass != NULL && device_identity != NULL, FALSE);

  if (strcmp (pass->record->device, device_identity) != 0)
    {
      g_set_error_literal (error, FIL_GATE_ERROR, FIL_GATE_ERROR_OTHER,
                           _("the gate is closed: the confirmation was for another camera, or "
                             "for before this one was plugged in"));
      return FALSE;
    }
  if (atomic_load (&pass->ended))
    {
      g_set_error_literal (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED,
                           _("the gate is closed: check the filter and confirm it again"));
      return FALSE;
    }
  if (fil_gate_pass_get_remaining_s (pass) <= 0)
    {
      g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_EXPIRED,
                   _("the gate is closed: the confirmation is more than %d minutes old"),
                   FIL_GATE_PASS_MINUTES);
      return FALSE;
    }

  return TRUE;
}

gint64
fil_gate_pass_get_confirmed_utc_ns (const FilGatePass *pass)
{
  g_return_val_if_fail (pass != NULL, 0);

  return pass->record->confirmed_utc_ns;
}

/**
 * fil_gate_pass_get_confirmed:
 *
 * What was confirmed: the filter that was named and the codes of all checks
 * that were ticked. ASCII, in no language.
 *
 * Returns: "wedge: lens path density outlet finder cap attended camera rules"
 */
const char *
fil_gate_pass_get_confirmed (const FilGatePass *pass)
{
  g_return_val_if_fail (pass != NULL, NULL);

  return pass->record->confirmed;
}

const char *
fil_gate_pass_get_rig_digest (const FilGatePass *pass)
{
  g_return_val_if_fail (pass != NULL, NULL);

  return pass->record->rig_digest;
}

/**
 * fil_gate_new:
 * @rig: gives the checks; referenced
 * @device_identity: of one plugging-in of one camera
 *
 * Returns: (transfer full): the checks, none ticked, or %NULL with
 *   %FIL_GATE_ERROR_REFUSED and "CODE: text" where the rig has a refusing
 *   finding, or what is missing where it is incomplete
 */
FilGate *
fil_gate_new (FilRig      *rig,
              const char  *device_identity,
              GError     **error)
{
  g_autoptr (GPtrArray) findings = NULL;
  g_autoptr (GError) incomplete = NULL;
  FilLightPath path;
  FilGate *gate;
  guint n = 0;

  g_return_val_if_fail (rig != NULL && device_identity != NULL, NULL);
  g_return_val_if_fail (device_identity[0] != '\0', NULL);

  findings = fil_findings_list (rig);
  if (fil_findings_refuse (findings))
    {
      const FilFinding *first = g_ptr_array_index (findings, 0);

      g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED, "%s: %s", first->code,
                   first->text);
      return NULL;
    }
  if (!fil_rig_is_complete (rig, &incomplete))
    {
      g_set_error_literal (error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED, incomplete->message);
      return NULL;
    }

  fil_light_path_follow (rig, &path);
  gate = g_new0 (FilGate, 1);
  gate->rig = fil_rig_ref (rig);
  gate->device = g_strdup (device_identity);
  gate->checks = fil_gate_checks_list (&path);
  gate->ticked = g_new0 (gboolean, gate->checks->len);
  if (path.front_filter >= 0)
    gate->filters[n++] = fil_element_kind_to_key (FIL_ELEMENT_FRONT_FILTER);
  if (path.wedge >= 0)
    gate->filters[n++] = fil_element_kind_to_key (FIL_ELEMENT_WEDGE);

  return gate;
}

void
fil_gate_free (FilGate *gate)
{
  if (gate == NULL)
    return;

  fil_rig_unref (gate->rig);
  g_free (gate->device);
  g_ptr_array_unref (gate->checks);
  g_free (gate->ticked);
  g_free (gate);
}

guint
fil_gate_get_n_checks (const FilGate *gate)
{
  g_return_val_if_fail (gate != NULL, 0);

  return gate->checks->len;
}

const FilGateCheck *
fil_gate_get_check (const FilGate *gate,
                    guint          index)
{
  g_return_val_if_fail (gate != NULL && index < gate->checks->len, NULL);

  return g_ptr_array_index (gate->checks, index);
}

void
fil_gate_tick (FilGate  *gate,
               guint     index,
               gboolean  ticked)
{
  g_return_if_fail (gate != NULL && index < gate->checks->len);

  gate->ticked[index] = ticked;
}

gboolean
fil_gate_is_complete (const FilGate *gate)
{
  g_return_val_if_fail (gate != NULL, FALSE);

  for (guint i = 0; i < gate->checks->len; i++)
    if (!gate->ticked[i])
      return FALSE;

  return TRUE;
}

/* Returns: (array zero-terminated=1): the names that open this gate */
const char *const *
fil_gate_list_filters (const FilGate *gate)
{
  g_return_val_if_fail (gate != NULL, NULL);

  return gate->filters;
}

/* Returns: (transfer full): what the confirming button says; it names the filter */
char *
fil_gate_dup_question (const FilGate *gate)
{
  g_return_val_if_fail (gate != NULL, NULL);

  if (gate->filters[1] != NULL)
    return g_strdup (_("Front filter and wedge are in place"));
  if (strcmp (gate->filters[0], "wedge") == 0)
    return g_strdup (_("The wedge is in place"));

  return g_strdup (_("The front filter is in place"));
}

/* "wedge: lens path …", of all checks */
static char *
confirmed_text (const FilGate *gate,
                const char    *filter)
{
  GString *text = g_string_new (filter);

  for (guint i = 0; i < gate->checks->len; i++)
    g_string_append_printf (text, "%s%s", i == 0 ? ": " : " ",
                            fil_gate_get_check (gate, i)->code);

  return g_string_free (text, FALSE);
}

static gboolean
has_filter (const FilGate *gate,
            const char    *filter)
{
  return filter != NULL && g_strv_contains (gate->filters, filter);
}

/**
 * fil_gate_confirm:
 * @filter: the name of the filter that is in place, one of fil_gate_list_filters()
 *
 * Opens the gate for %FIL_GATE_PASS_MINUTES. The ticks are used up: the next
 * confirmation needs new ones.
 *
 * Returns: (transfer full): a pass, or %NULL with %FIL_GATE_ERROR_CLOSED
 */
FilGatePass *
fil_gate_confirm (FilGate    *gate,
                  const char *filter,
                  GError    **error)
{
  g_autofree char *boot = dup_boot_id ();
  FilGateRecord *record;

  g_return_val_if_fail (gate != NULL, NULL);

  if (!fil_gate_is_complete (gate) || !has_filter (gate, filter) || boot == NULL)
    {
      g_set_error_literal (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED,
                           !fil_gate_is_complete (gate)
                             ? _("the gate is closed: not every check was confirmed")
                           : boot == NULL
                             ? _("the gate is closed: the system doesn’t tell its boot")
                             : _("the gate is closed: that is not the filter of this rig"));
      return NULL;
    }

  record = g_new0 (FilGateRecord, 1);
  record->device = g_strdup (gate->device);
  record->rig_digest = g_strdup (fil_rig_get_digest (gate->rig));
  record->boot = g_steal_pointer (&boot);
  record->confirmed = confirmed_text (gate, filter);
  record->user = getuid ();
  record->made_boottime_ns = now_ns (CLOCK_BOOTTIME);
  record->deadline_boottime_ns = record->made_boottime_ns + PASS_NS;
  record->confirmed_utc_ns = now_ns (CLOCK_REALTIME);
  memset (gate->ticked, 0, sizeof (gboolean) * gate->checks->len);

  return pass_new (record);
}

/**
 * fil_gate_store_pass:
 *
 * Leaves a record of @pass for other processes of the same user, in the same
 * boot, with the same device and rig, until its deadline.
 */
gboolean
fil_gate_store_pass (const FilGatePass *pass,
                     GError           **error)
{
  g_return_val_if_fail (pass != NULL, FALSE);

  if (!fil_gate_pass_covers (pass, pass->record->device, error))
    return FALSE;

  return fil_gate_record_write (pass->record, error);
}

/* What was confirmed must be what this rig asks today. */
static gboolean
confirms_all (const FilGateRecord *record,
              const FilGate       *gate)
{
  for (guint i = 0; gate->filters[i] != NULL; i++)
    {
      g_autofree char *expected = confirmed_text (gate, gate->filters[i]);

      if (strcmp (record->confirmed, expected) == 0)
        return TRUE;
    }

  return FALSE;
}

static gboolean
check_times (const FilGateRecord *record,
             GError             **error)
{
  gint64 now = now_ns (CLOCK_BOOTTIME);
  gint64 utc = now_ns (CLOCK_REALTIME);

  if (record->made_boottime_ns < 0 || record->made_boottime_ns > now ||
      record->deadline_boottime_ns < 0 ||
      record->deadline_boottime_ns - record->made_boottime_ns != PASS_NS ||
      record->confirmed_utc_ns <= 0 || record->confirmed_utc_ns - utc > CLOCK_SLACK_NS)
    {
      g_set_error_literal (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED,
                           _("the gate is closed: the times of the pass that was left make no "
                             "sense; confirm it again"));
      return FALSE;
    }
  if (record->deadline_boottime_ns <= now)
    {
      g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_EXPIRED,
                   _("the gate is closed: the confirmation is more than %d minutes old"),
                   FIL_GATE_PASS_MINUTES);
      return FALSE;
    }

  return TRUE;
}

static gboolean
check_record (const FilGateRecord *record,
              const FilGate       *gate,
              GError             **error)
{
  g_autofree char *boot = dup_boot_id ();
  const char *other = NULL;

  if (boot == NULL || strcmp (record->boot, boot) != 0)
    other = _("the confirmation is from before the computer was started");
  else if (record->user != getuid ())
    other = _("the confirmation is another user’s");
  else if (strcmp (record->device, gate->device) != 0)
    other = _("the confirmation was for another camera");
  else if (strcmp (record->rig_digest, fil_rig_get_digest (gate->rig)) != 0)
    other = _("the confirmation was for another rig, or the rig was changed since");
  else if (!confirms_all (record, gate))
    other = _("the confirmation leaves something out that this rig asks");

  if (other != NULL)
    {
      g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_OTHER, _("the gate is closed: %s"),
                   other);
      return FALSE;
    }

  return check_times (record, error);
}

/**
 * fil_gate_load_pass:
 * @rig: as it is now
 * @device_identity: as it is now
 *
 * Returns: (transfer full): the pass that this user left for just these, or
 *   %NULL with a %FIL_GATE_ERROR; every message contains "gate"
 */
FilGatePass *
fil_gate_load_pass (const FilRig *rig,
                    const char   *device_identity,
                    GError      **error)
{
  g_autoptr (FilGate) gate = NULL;
  g_autoptr (FilGateRecord) record = NULL;

  g_return_val_if_fail (rig != NULL && device_identity != NULL, NULL);

  gate = fil_gate_new ((FilRig *) rig, device_identity, error);
  if (gate == NULL)
    return NULL;

  record = fil_gate_record_read (device_identity, error);
  if (record == NULL || !check_record (record, gate, error))
    return NULL;

  return pass_new (g_steal_pointer (&record));
}

/**
 * fil_gate_forget:
 * @device_identity: of a camera that was unplugged, raised the alarm, or whose
 *   gate is to close
 *
 * Ends every pass for it, those held in this process and the one left on
 * disk. Any thread.
 */
void
fil_gate_forget (const char *device_identity)
{
  g_return_if_fail (device_identity != NULL);

  pthread_mutex_lock (&passes_lock);
  for (guint i = 0; passes != NULL && i < passes->len; i++)
    {
      FilGatePass *pass = g_ptr_array_index (passes, i);

      if (strcmp (pass->record->device, device_identity) == 0)
        atomic_store (&pass->ended, TRUE);
    }
  pthread_mutex_unlock (&passes_lock);

  fil_gate_record_erase (device_identity);
}

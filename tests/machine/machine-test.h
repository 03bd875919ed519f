/* machine-test.h: what the tests on the kernel's test camera share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <pthread.h>

#include "fil-gate.h"
#include "fil-source.h"

G_BEGIN_DECLS

#define DEVICE "/dev/video0"
#define DRIVER "/sys/bus/platform/drivers/vivid/"
#define WIDTH  320
#define HEIGHT 180

/* What a source has sent; under the lock while it streams. */
typedef struct
{
  pthread_mutex_t lock;
  pthread_cond_t  changed;
  guint           wanted;      /* frames to keep; later ones are let go */
  GPtrArray      *frames;      /* of FilFrame, copies */
  guint           n_frames;
  FilSourceState  state;
  GError         *error;
  GHashTable     *controls;    /* ids that changed */
} Seen;

FilGatePass *machine_confirm       (const char          *identity);
FilSource   *machine_open          (guint32              fourcc,
                                    double               fps);
Seen        *machine_start         (FilSource           *source,
                                    guint                wanted);
void         machine_wait_frames   (Seen                *seen);
void         machine_wait_state    (Seen                *seen,
                                    FilSourceState       state);
gboolean     machine_wait_control  (Seen                *seen,
                                    guint32              id);
void         machine_stop          (FilSource           *source,
                                    Seen                *seen);
FilControl  *machine_find_control  (FilSource           *source,
                                    const char          *name);
void         machine_set_number    (FilSource           *source,
                                    const char          *name,
                                    gint64               value);
void         machine_press         (FilSource           *source,
                                    const char          *name);
char        *machine_run           (const char          *command);
void         machine_unplug        (void);
void         machine_plug          (void);

G_END_DECLS

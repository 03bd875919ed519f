/* fil-rig-page-private.h: the parts of the rig page among themselves
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fil-rig-page.c shows, fil-rig-page-edit.c changes the light path,
 * fil-rig-page-files.c goes from one rig to another. */

#pragma once

#include <adwaita.h>

#include "fil-light-view.h"
#include "fil-numbers-pane.h"
#include "fil-rig-card.h"
#include "fil-rig-document.h"
#include "fil-rig-page.h"

G_BEGIN_DECLS

struct _FilRigPage
{
  GtkBox           parent_instance;

  FilRigDocument  *document;
  FilRig          *shown;         /* as the document had it last */
  GPtrArray       *findings;      /* of FilFinding, of the document's rig; NULL: incomplete */
  gboolean         demo;          /* nobody's own: the first change makes a copy */
  gboolean         pass_held;
  gboolean         showing;       /* the program selects, not the user */
  char            *problem;       /* what could not be done, until something is done */
  guint            settle_timer;  /* 0: nothing waits to be saved */
  GtkWindow       *guide;         /* weak */

  AdwToastOverlay *toasts;
  GtkMenuButton   *rig_button, *add_button;
  GtkLabel        *rig_name_label;
  GtkLabel        *state_label, *notice_label;
  FilLightView    *view;
  FilRigCard      *card;
  GtkBox          *numbers_box;
  FilNumbersPane  *numbers;
};

void fil_rig_page_show            (FilRigPage     *self);
void fil_rig_page_show_problem    (FilRigPage     *self,
                                   const char     *problem);
void fil_rig_page_take_document   (FilRigPage     *self,
                                   FilRigDocument *document,
                                   gboolean        demo);
void fil_rig_page_settle          (FilRigPage     *self);
void fil_rig_page_put_in_force    (FilRigPage     *self);

void fil_rig_page_install_edits   (GtkWidgetClass *widget_class);
void fil_rig_page_add             (FilRigPage     *self,
                                   int             kind);
void fil_rig_page_move            (FilRigPage     *self,
                                   int             step);
void fil_rig_page_remove          (FilRigPage     *self);
void fil_rig_page_mend            (FilRigPage     *self,
                                   int             number);

void fil_rig_page_install_files   (GtkWidgetClass *widget_class);
void fil_rig_page_prepare_menu    (FilRigPage     *self);

G_END_DECLS

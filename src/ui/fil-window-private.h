/* fil-window-private.h: the window's parts, for its own files
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-controls-window.h"
#include "fil-live.h"
#include "fil-picture.h"
#include "fil-plug-watch.h"
#include "fil-place.h"
#include "fil-rig-page.h"
#include "fil-rig-popover.h"
#include "fil-shelf-aim.h"
#include "fil-shelf-expose.h"
#include "fil-shelf-focus.h"
#include "fil-shelf-record.h"
#include "fil-shelf-review.h"
#include "fil-siren.h"
#include "fil-sun-page.h"
#include "fil-targets-pane.h"
#include "fil-window.h"

G_BEGIN_DECLS

struct _FilWindow
{
  AdwApplicationWindow parent_instance;

  GSettings           *settings;
  FilLive             *live;
  FilRig              *rig;
  char                *source_name;     /* what is open or waits for the gate */
  char                *open_problem;    /* why the source could not be opened; NULL: it could */
  FilLook              look;            /* of the live picture */
  gboolean             reviewing;       /* the picture shows a clip, not the source */
  char                *reviewed;        /* which clip's range the picture is stretched to */
  gboolean             rig_changed;     /* since the source was opened */
  gboolean             closing;         /* as soon as the clip is closed */
  gboolean             patch_placed;    /* of the present frame size */
  int                  frame_width, frame_height;
  guint                badge_timer, sky_timer;
  FilSiren            *siren;

  FilSun               sun;             /* of the day that the source shows */
  gboolean             has_sun;
  FilPlace             place;           /* of the live picture */
  FilPlace             kept;            /* as it was measured, before the sky turned */
  gint64               limb_us;         /* when the limb last told it; 0: it didn't */
  double               spot_latitude_deg, spot_longitude_deg;   /* that will be clicked */
  FilDiscMap          *disc_map;        /* both on the Sun's page */
  FilTargetsPane      *targets;
  GtkWindow           *gate_dialog;     /* while it is open */
  GtkWindow           *controls_window; /* while it is open */
  FilPlugWatch        *plug_watch;
  GtkFileChooserNative *chooser;        /* while it is open */

  AdwToastOverlay     *toasts;
  GtkMenuButton       *rig_button, *menu_button;
  FilRigPopover       *rig_popover;
  GtkLabel            *rig_label, *numbers_label;
  GtkButton           *badge_button;
  FilPicture          *picture;
  GtkStack            *pages, *shelf_stack;
  FilRigPage          *rig_page;
  FilSunPage          *sun_page;
  FilShelfAim         *aim;
  FilShelfFocus       *focus;
  FilShelfExpose      *expose;
  FilShelfRecord      *record;
  FilShelfReview      *review;
  GtkWidget           *alarm_box;
  GtkLabel            *alarm_body;
};

/* fil-window.c */
void fil_window_toast           (FilWindow  *self,
                                 const char *text);
void fil_window_offer           (FilWindow  *self,
                                 const char *text,
                                 const char *button_label,
                                 const char *action_name,
                                 GVariant   *target);

/* fil-window-source.c: rig, source, gate, and what their state looks like */
void fil_window_set_rig         (FilWindow  *self,
                                 FilRig     *rig);
gboolean fil_window_load_rig    (FilWindow  *self,
                                 const char *path,
                                 GError    **error);
void fil_window_open_source     (FilWindow  *self,
                                 const char *source_name);
void fil_window_save_mode       (FilWindow  *self);
void fil_window_ask_gate        (FilWindow  *self);
void fil_window_show_pass       (FilWindow  *self);
void fil_window_show_state      (FilWindow  *self);
void fil_window_show_badge      (FilWindow  *self);

/* fil-window-sky.c: where the Sun stands, and how the picture lies on it */
void fil_window_init_sky        (FilWindow  *self);
void fil_window_update_sky      (FilWindow  *self);
void fil_window_reset_place     (FilWindow  *self);
void fil_window_take_limb       (FilWindow  *self);
void fil_window_place_by_spot   (FilWindow  *self);
void fil_window_forget_angle    (FilWindow  *self);
gint64 fil_window_get_sky_time_ns (FilWindow *self);

/* fil-window-targets.c: what is looked for, on the Sun's page and in clips */
void fil_window_init_targets    (FilWindow  *self);
void fil_window_show_targets    (FilWindow  *self);
gboolean fil_window_get_target  (FilWindow       *self,
                                 FilTargetPlace  *place,
                                 const char     **name);

/* fil-window-pages.c: the pages beside the picture */
void fil_window_show_page       (FilWindow  *self,
                                 const char *page);
void fil_window_init_pages      (FilWindow  *self);

/* fil-window-plugs.c: cameras that come and go */
void fil_window_watch_plugs     (FilWindow  *self);

/* fil-window-picture.c: what the picture shows, and how */
void fil_window_show_frame      (FilWindow  *self);
void fil_window_set_stretch     (FilWindow  *self,
                                 double      black,
                                 double      white);
void fil_window_show_look       (FilWindow  *self);
void fil_window_show_scale      (FilWindow  *self);
void fil_window_set_reviewing   (FilWindow  *self,
                                 gboolean    reviewing);
void fil_window_centre_patch    (FilWindow  *self);

/* fil-window-actions.c */
void fil_window_show_step       (FilWindow      *self);
void fil_window_install_actions (GtkWidgetClass *widget_class);
void fil_window_init_actions    (FilWindow      *self);

G_END_DECLS

/* fil-player.h: plays a clip on the screen
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gio/gio.h>

#include "fil-clip.h"

G_BEGIN_DECLS

#define FIL_TYPE_PLAYER (fil_player_get_type ())
G_DECLARE_FINAL_TYPE (FilPlayer, fil_player, FIL, PLAYER, GObject)

/* Main thread. Signals: "frame" (), "state" () (playing, position, error). */
FilPlayer        *fil_player_new          (FilClip    *clip);
guint64           fil_player_get_n_frames (FilPlayer  *self);
guint64           fil_player_get_position (FilPlayer  *self);
gboolean          fil_player_is_playing   (FilPlayer  *self);
void              fil_player_set_playing  (FilPlayer  *self,
                                           gboolean    playing);
void              fil_player_seek         (FilPlayer  *self,
                                           guint64     position);
FilFrame         *fil_player_dup_frame    (FilPlayer  *self);
const char       *fil_player_get_error    (FilPlayer  *self);
double            fil_player_get_full     (FilPlayer  *self);
double            fil_player_get_scale    (FilPlayer  *self);
gboolean          fil_player_get_sky      (FilPlayer  *self,
                                           FilPlace   *place,
                                           FilSun     *sun);
const FilClipRow *fil_player_get_rows     (FilPlayer  *self);

G_END_DECLS

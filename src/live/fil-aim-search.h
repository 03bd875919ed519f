/* fil-aim-search.h: the Sun is searched for by the light of the sky
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-aim-guide.h"
#include "fil-glow.h"
#include "fil-live.h"

G_BEGIN_DECLS

/**
 * FilAimLight:
 * @state: what is to be done next
 * @left_s: until the cap has to go on again
 * @bar: of the length of a bar that ends a little above the disc, 0 to 1
 * @disc: where on that bar the disc is expected; NaN: not known
 * @shortest_ms: exposures are chosen from here …
 * @longest_ms: … to here; 0 where the source doesn't tell
 */
typedef struct
{
  FilAimState    state;
  FilGlowReading glow;
  double         left_s;
  double         bar, disc;
  double         shortest_ms, longest_ms;
} FilAimLight;

/* Main thread only. */
typedef struct _FilAimSearch FilAimSearch;

FilAimSearch *fil_aim_search_new     (FilLive              *live);
void          fil_aim_search_free    (FilAimSearch         *search);
void          fil_aim_search_set_rig (FilAimSearch         *search,
                                      const FilRig         *rig);
void          fil_aim_search_restart (FilAimSearch         *search);
gboolean      fil_aim_search_take    (FilAimSearch         *search,
                                      const FilLiveReading *reading,
                                      FilAimLight          *light);
void          fil_aim_search_follow  (FilAimSearch         *search);
gboolean      fil_aim_search_next    (FilAimSearch         *search);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilAimSearch, fil_aim_search_free)

G_END_DECLS

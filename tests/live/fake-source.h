/* fake-source.h: a camera that does as it is told
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-source.h"

G_BEGIN_DECLS

#define FAKE_WIDTH  192
#define FAKE_HEIGHT 160
#define FAKE_IDENTITY "fake camera, plugged in once"

#define FAKE_TYPE_SOURCE (fake_source_get_type ())
G_DECLARE_FINAL_TYPE (FakeSource, fake_source, FAKE, SOURCE, FilSource)

FilSource *fake_source_new      (gboolean        live,
                                 gboolean        waits);
void       fake_source_set_fps  (FakeSource     *self,
                                 double          fps);
void       fake_source_set_level (FakeSource    *self,
                                 int             count);
void       fake_source_set_flips (FakeSource    *self,
                                  gboolean        flip_x,
                                  gboolean        flip_y);
void       fake_source_tell     (FakeSource     *self,
                                 FilSourceState  state,
                                 FilSourceError  code,
                                 const char     *message);
guint      fake_source_get_held (FakeSource     *self);
gboolean   fake_source_is_streaming (FakeSource *self);

G_END_DECLS

/* fil-source.h: where frames come from, whatever makes them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib-object.h>

#include "fil-frame.h"
#include "fil-gate-pass.h"
#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_SOURCE_ERROR (fil_source_error_quark ())

typedef enum
{
  FIL_SOURCE_ERROR_NAME,         /* a source name or setting that means nothing: wrong usage */
  FIL_SOURCE_ERROR_NOT_FOUND,    /* no such node or file */
  FIL_SOURCE_ERROR_NOT_A_CAMERA, /* a node, but nothing that captures pictures */
  FIL_SOURCE_ERROR_BUSY,         /* another program holds it */
  FIL_SOURCE_ERROR_ACCESS,       /* not permitted */
  FIL_SOURCE_ERROR_UNPLUGGED,    /* gone while in use */
  FIL_SOURCE_ERROR_STALLED,      /* no frame in 5 s plus the exposure */
  FIL_SOURCE_ERROR_PROTOCOL,     /* an answer that makes no sense */
  FIL_SOURCE_ERROR_MODE,         /* format, size, rate or region not on offer */
  FIL_SOURCE_ERROR_CONTROL,      /* a control refused its value */
  FIL_SOURCE_ERROR_GATE,         /* a live camera, and no valid pass */
  FIL_SOURCE_ERROR_DATA,         /* a replayed file that can't be read on */
} FilSourceError;

GQuark fil_source_error_quark (void);

/* Sizes and rates on offer, discrete or stepped. */
typedef struct
{
  int    min_width, max_width, step_width;     /* step 0: discrete, min == max */
  int    min_height, max_height, step_height;
  GArray *fps;                                 /* of double, descending; empty: unknown */
  gboolean fps_is_range;                       /* fps holds the largest and the smallest only */
} FilSourceSize;

typedef struct
{
  const FilPixelFormat *format;  /* NULL: on offer, but none that we read */
  guint32               fourcc;
  GPtrArray            *sizes;   /* of FilSourceSize, owned */
} FilSourceFormat;

/**
 * FilSourceMode:
 * @fourcc: 0 leaves the choice to the source
 * @width: pixels delivered, 0 leaves the choice
 * @fps: frames a second, 0 leaves the choice
 * @roi: region of the sensor, width 0: all of it
 *
 * Of a region wanted, the source cuts what it can: in what it got, @roi is
 * the part of the sensor that comes, 1:1, and holds all that was wanted; width
 * 0 says that the whole picture comes. The rest is cut by whoever records. A
 * region wanted together with a size counts within the picture of that size.
 */
typedef struct
{
  guint32 fourcc;
  int     width, height;
  double  fps;
  FilRect roi;
} FilSourceMode;

typedef enum
{
  FIL_CONTROL_INTEGER,    /* value: x (also 64 bit) */
  FIL_CONTROL_BOOLEAN,    /* b */
  FIL_CONTROL_MENU,       /* x, an index into items */
  FIL_CONTROL_BUTTON,     /* no value */
  FIL_CONTROL_BITMASK,    /* x */
  FIL_CONTROL_STRING,     /* s */
  FIL_CONTROL_ARRAY,      /* ax, shown only */
  FIL_CONTROL_REAL,       /* d: sources of our own */
} FilControlType;

/* What a control does, where that is known for certain. */
typedef enum
{
  FIL_ROLE_NONE,
  FIL_ROLE_EXPOSURE,       /* fil_source_set_exposure_ms() drives it */
  FIL_ROLE_AUTO_EXPOSURE,
  FIL_ROLE_GAIN,
  FIL_ROLE_AUTO_GAIN,
  FIL_ROLE_BLACK_LEVEL,
  FIL_ROLE_FOCUS,          /* micrometres of sensor travel where its unit says so */
  FIL_ROLE_EDGE,           /* edge enhancement in the camera: best left at its least */
} FilControlRole;

typedef enum
{
  FIL_CONTROL_READ_ONLY = 1 << 0,
  FIL_CONTROL_INACTIVE  = 1 << 1,   /* another control holds it, for now */
  FIL_CONTROL_VOLATILE  = 1 << 2,
  FIL_CONTROL_GRABBED   = 1 << 3,   /* not while streaming */
} FilControlFlags;

typedef struct
{
  gint64 value;
  char  *label;
} FilControlItem;

/* A snapshot: owned by whom it was given to, never updated. */
typedef struct
{
  guint32         id;
  char           *name;        /* the driver's word, UTF-8 */
  char           *unit;        /* of the value: "ms", "100 µs", "µm"; NULL where none is told */
  FilControlType  type;
  FilControlRole  role;
  FilControlFlags flags;
  double          min, max, step, standard;
  GArray         *items;       /* of FilControlItem; menus only */
  GVariant       *value;       /* NULL for buttons and write-only ones */
} FilControl;

void   fil_control_free       (FilControl       *control);
double fil_control_get_number (const FilControl *control);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilControl, fil_control_free)

typedef enum
{
  FIL_SOURCE_CLOSED,     /* not streaming */
  FIL_SOURCE_STREAMING,
  FIL_SOURCE_STALLED,    /* streaming, but nothing comes */
  FIL_SOURCE_ENDED,      /* a replayed file came to its end */
  FIL_SOURCE_LOST,       /* unplugged, or it failed: a new source is needed */
} FilSourceState;

/* What a source is, in words; strings belong to the source. */
typedef struct
{
  const char *name;        /* as a user would call it */
  const char *driver;      /* "" for sources of our own */
  const char *bus;
  const char *identity;    /* one plugging-in of one device; binds a pass */
  gboolean    live;        /* light from a telescope: needs a pass */
  gboolean    waits;       /* frames may be taken as slowly as one likes, none is lost */
  gboolean    raw;         /* counts of the sensor in the present mode, not luma or JPEG */
  int         sensor_width, sensor_height;   /* full field in pixels, 0: unknown */
  gboolean    flip_x, flip_y;                /* the driver mirrors */
  double      black_level;                   /* counts, 0: unknown */
  gint64      sky_utc_ns;                    /* the day that is shown, 0: now */
} FilSourceInfo;

#define FIL_TYPE_SOURCE (fil_source_get_type ())
G_DECLARE_DERIVABLE_TYPE (FilSource, fil_source, FIL, SOURCE, GObject)

/**
 * FilSourceSink:
 * @frame: a new frame, borrowed: take a reference to keep it. Called on the
 *   source's capture thread. A source that waits may be held up here as long
 *   as one likes; a live one must not be.
 * @state: the state changed; @error says why for STALLED and LOST. A pass that
 *   ran out is told once, by the state as it is with %FIL_SOURCE_ERROR_GATE:
 *   nothing new may be begun then, and the source ends by itself (LOST) after
 *   %FIL_GATE_GRACE_MINUTES. Capture thread.
 * @control: control @id changed by itself or through us. Any thread.
 */
typedef struct
{
  void (*frame)   (FilSource      *source,
                   FilFrame       *frame,
                   gpointer        user_data);
  void (*state)   (FilSource      *source,
                   FilSourceState  state,
                   const GError   *error,
                   gpointer        user_data);
  void (*control) (FilSource      *source,
                   guint32         id,
                   gpointer        user_data);
} FilSourceSink;

struct _FilSourceClass
{
  GObjectClass parent_class;

  void       (*get_info)     (FilSource *self, FilSourceInfo *info);
  GPtrArray *(*list_formats) (FilSource *self, GError **error);
  gboolean   (*set_mode)     (FilSource *self, const FilSourceMode *wanted,
                              FilSourceMode *got, GError **error);
  GPtrArray *(*list_controls)(FilSource *self);
  FilControl*(*dup_control)  (FilSource *self, guint32 id);
  gboolean   (*set_control)  (FilSource *self, guint32 id, GVariant *value, GError **error);
  gboolean   (*set_exposure) (FilSource *self, double ms, GError **error);
  double     (*get_exposure) (FilSource *self);
  gboolean   (*start)        (FilSource *self, const FilGatePass *pass,
                              const FilSourceSink *sink, gpointer user_data, GError **error);
  void       (*stop)         (FilSource *self);
  guint64    (*get_gaps)     (FilSource *self);
  gboolean   (*renew_pass)   (FilSource *self, const FilGatePass *pass, GError **error);
};

/**
 * FilSourceOptions:
 * @rig: gives the simulated Sun its optics; NULL: the demo rig
 * @fps: replay at this rate, 0: by the file's own times, or 25 frames a second
 *   where it has none
 * @loop: replay begins again at its end
 * @unpaced: replay as fast as the frames are taken, unless @fps is given
 */
typedef struct
{
  const FilRig *rig;
  double        fps;
  gboolean      loop;
  gboolean      unpaced;
} FilSourceOptions;

/* One camera on offer, found without opening it. */
typedef struct
{
  char *path;
  char *name;
  char *driver;
  char *bus;
} FilSourceListing;

GPtrArray      *fil_source_list            (void);
gboolean        fil_source_name_is_live    (const char          *name);
char           *fil_source_dup_identity    (const char          *name,
                                            GError             **error);
FilSource      *fil_source_open            (const char             *name,
                                            const FilSourceOptions *options,
                                            GError                **error);
void            fil_source_get_info        (FilSource           *self,
                                            FilSourceInfo       *info);
GPtrArray      *fil_source_list_formats    (FilSource           *self,
                                            GError             **error);
gboolean        fil_source_set_mode        (FilSource           *self,
                                            const FilSourceMode *wanted,
                                            FilSourceMode       *got,
                                            GError             **error);
GPtrArray      *fil_source_list_controls   (FilSource           *self);
FilControl     *fil_source_dup_control     (FilSource           *self,
                                            guint32              id);
FilControl     *fil_source_dup_role        (FilSource           *self,
                                            FilControlRole       role);
gboolean        fil_source_set_control     (FilSource           *self,
                                            guint32              id,
                                            GVariant            *value,
                                            GError             **error);
gboolean        fil_source_set_exposure_ms (FilSource           *self,
                                            double               exposure_ms,
                                            GError             **error);
double          fil_source_get_exposure_ms (FilSource           *self);
gboolean        fil_source_start           (FilSource           *self,
                                            const FilGatePass   *pass,
                                            const FilSourceSink *sink,
                                            gpointer             user_data,
                                            GError             **error);
void            fil_source_stop            (FilSource           *self);
guint64         fil_source_get_gaps        (FilSource           *self);
gboolean        fil_source_renew_pass      (FilSource           *self,
                                            const FilGatePass   *pass,
                                            GError             **error);

G_END_DECLS

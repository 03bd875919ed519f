/* fil-rig.h: the whole instrument, from the sky to the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_RIG_ERROR (fil_rig_error_quark ())

typedef enum
{
  FIL_RIG_ERROR_READ,        /* the file can't be read */
  FIL_RIG_ERROR_SYNTAX,      /* not a key file, or a repeated group or key */
  FIL_RIG_ERROR_VALUE,       /* a value that is refused */
  FIL_RIG_ERROR_INCOMPLETE,  /* no camera or no objective */
  FIL_RIG_ERROR_WRITE,
} FilRigError;

GQuark      fil_rig_error_quark      (void);
const char *fil_rig_error_get_reason (const GError *error);   /* without file, line, key */
const char *fil_rig_error_get_key    (const GError *error);   /* NULL: none */
guint       fil_rig_error_get_line   (const GError *error);   /* 0: none */

typedef enum
{
  FIL_ELEMENT_OBJECTIVE,
  FIL_ELEMENT_FRONT_FILTER,
  FIL_ELEMENT_WEDGE,
  FIL_ELEMENT_DIAGONAL,
  FIL_ELEMENT_DENSITY,
  FIL_ELEMENT_AMPLIFIER,
  FIL_ELEMENT_REDUCER,
  FIL_ELEMENT_BANDPASS,
  FIL_ELEMENT_BLOCKER,
  FIL_ELEMENT_POLARISER,
  FIL_ELEMENT_CAMERA,
} FilElementKind;

#define FIL_ELEMENT_N_KINDS (FIL_ELEMENT_CAMERA + 1)

typedef enum
{
  FIL_OBJECTIVE_LENS,
  FIL_OBJECTIVE_MIRROR,
  FIL_OBJECTIVE_UNKNOWN,   /* the rig doesn't tell */
} FilObjectiveType;

/**
 * FilElement:
 *
 * One thing the light passes. NaN stands for "not given"; only the fields of
 * its kind are meaningful.
 */
typedef struct
{
  FilElementKind   kind;
  double           distance_to_next_mm;
  char            *note;

  FilObjectiveType type;                  /* objective */
  double           aperture_mm;
  double           focal_length_mm;
  double           obstruction_mm;        /* diameter of the central obstruction */
  gboolean         rear_group;            /* a lens group near the focus */
  char            *material;              /* front filter: "film" or "glass" */
  double           density;               /* front filter, density */
  double           reflectance_percent;   /* wedge */
  double           aperture_limit_mm;     /* wedge: its maker's limit */
  double           factor;                /* amplifier, reducer */
  gboolean         telecentric;           /* amplifier */
  double           centre_nm;             /* bandpass */
  double           width_nm;
  double           peak_percent;
  char            *blocks;                /* blocker: "ultraviolet" or "infrared" */
  double           pixel_um;              /* camera */
  int              columns, rows;         /* 0: not given */
  int              bits;                  /* 0: not given */
  char            *shutter;               /* "global", "rolling" or NULL */
  double           full_well_e;
  double           quantum_efficiency_percent;
} FilElement;

/**
 * FilRig:
 *
 * Reference-counted; immutable once made: changes make a new rig. Any thread
 * may read. A rig that is loaded or parsed is complete; one that is being
 * edited may lack its objective or camera, see fil_rig_is_complete().
 */
typedef struct _FilRig FilRig;

FilRig           *fil_rig_load                (const char      *path,
                                               GError         **error);
FilRig           *fil_rig_parse               (const char      *text,
                                               gssize           length,
                                               const char      *file_name,
                                               GError         **error);
FilRig           *fil_rig_parse_draft         (const char      *text,
                                               gssize           length,
                                               const char      *file_name,
                                               GError         **error);
FilRig           *fil_rig_new_demo            (void);
FilRig           *fil_rig_new_empty           (const char      *name);
FilRig           *fil_rig_ref                 (FilRig          *rig);
void              fil_rig_unref               (FilRig          *rig);
gboolean          fil_rig_save                (const FilRig    *rig,
                                               const char      *path,
                                               GError         **error);
char             *fil_rig_to_text             (const FilRig    *rig);
gboolean          fil_rig_equal               (const FilRig    *a,
                                               const FilRig    *b);   /* to the letter */
gboolean          fil_rig_is_complete         (const FilRig    *rig,
                                               GError         **error);

/* Edits; see fil-rig-edit.c. */
FilRig           *fil_rig_with_value          (const FilRig    *rig,
                                               const char      *group,
                                               const char      *key,
                                               const char      *value,
                                               GError         **error);
FilRig           *fil_rig_with_element        (const FilRig    *rig,
                                               FilElementKind   kind,
                                               guint            index,
                                               GError         **error);
FilRig           *fil_rig_without_element     (const FilRig    *rig,
                                               guint            index,
                                               GError         **error);
FilRig           *fil_rig_with_element_moved  (const FilRig    *rig,
                                               guint            from,
                                               guint            to,
                                               GError         **error);
char             *fil_rig_dup_value           (const FilRig    *rig,
                                               const char      *group,
                                               const char      *key);

const char       *fil_rig_get_name            (const FilRig    *rig);
const char       *fil_rig_get_observer        (const FilRig    *rig);   /* NULL: not given */
const char       *fil_rig_get_finder          (const FilRig    *rig);   /* NULL: not mentioned */
gboolean          fil_rig_get_altazimuth      (const FilRig    *rig);   /* the field rotates */
const char       *fil_rig_get_digest          (const FilRig    *rig);   /* SHA-256, hex */
gboolean          fil_rig_get_site            (const FilRig    *rig,
                                               double          *latitude_deg,
                                               double          *longitude_deg,
                                               double          *height_m);
guint             fil_rig_get_n_elements      (const FilRig    *rig);
const FilElement *fil_rig_get_element         (const FilRig    *rig,
                                               guint            index);
const FilElement *fil_rig_find                (const FilRig    *rig,
                                               FilElementKind   kind);
const char       *fil_element_kind_to_key     (FilElementKind   kind);  /* "front-filter" */
const char       *fil_element_kind_to_text    (FilElementKind   kind);  /* translated, for people */
char             *fil_element_kind_dup_heading (FilElementKind  kind);  /* the same with a capital */
const char       *fil_element_kind_to_help    (FilElementKind   kind);  /* translated sentence */
char             *fil_element_describe        (const FilElement *element);
char             *fil_element_to_text         (const FilElement *element);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilRig, fil_rig_unref)

G_END_DECLS

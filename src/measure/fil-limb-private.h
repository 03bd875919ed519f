/* fil-limb-private.h: the steps from a frame to the limb's circle
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Inside, x is the column and y the row from the top, both from 0, pixels of
 * the frame. */

#pragma once

#include "fil-limb.h"

G_BEGIN_DECLS

#define FIL_LIMB_N_LEVELS   3     /* reduced pictures, each half as wide as the one before */
#define FIL_LIMB_MAX_EDGES  1500  /* candidates that are looked at */
#define FIL_LIMB_MAX_POINTS 360   /* stations along the limb */
#define FIL_LIMB_HALF       32    /* samples of a profile on either side of the circle, at most */

/**
 * FilLimbPicture:
 * @counts: (nullable): the whole frame; @values are not used then
 * @values: (nullable): means of @step × @step pixels, smoothed
 * @step: pixels a sample
 *
 * The light, at one of several resolutions.
 */
typedef struct
{
  const uint16_t *counts;
  float          *values;
  int             width, height;   /* samples */
  int             step;
  gsize           allocated;
} FilLimbPicture;

/* How bright the frame is, counts above black where it says so. */
typedef struct
{
  double black;          /* counts */
  double dark, bright;   /* the frame's darkest and brightest parts, above black */
  double noise;          /* of one sample of the finest reduced picture */
} FilLimbLight;

/* A place where light falls, and the direction in which it falls. */
typedef struct
{
  float x, y;
  float nx, ny;          /* outward: from light to dark, length 1 */
} FilLimbEdge;

typedef struct
{
  double x, y, radius;
  int    n_edges;        /* that lie on it */
  double tolerance;      /* pixels, within which they do */
} FilLimbCircle;

/* The limb found at one angle. */
typedef struct
{
  double angle;          /* seen from the circle that was searched along */
  double x, y;
  double nx, ny;         /* outward */
  double inside, outside;/* counts above black */
  double residual;       /* along the radius, + outward */
  double weight;
} FilLimbPoint;

/* The limb's points, and what its mean profile tells. */
typedef struct
{
  FilLimbPoint points[FIL_LIMB_MAX_POINTS];
  int          n_points;
  int          n_stations;    /* angles at which the circle lies in the frame */
  double       step_rad;      /* from station to station */
  double       middle_rad;    /* of the arc searched */
  double       blur_px;       /* σ, of the frame and of our filter */
  double       psf_px;        /* of the frame alone */
  double       bias_px;       /* how far inside of the limb light falls steepest; taken off */
  double       inside, outside;   /* counts above black; the brighter part's, the middle one's */
} FilLimbTrail;

typedef struct
{
  double x, y, radius;
  double radius_error;
  double major, minor, direction;   /* of the centre's error, pixels and radians (y down) */
  double rms;
  double arc_rad;
  double half_arc;                  /* radians, as far as the points reach */
  int    n_kept;
  double curvature_off, curvature_error;   /* of 1/radius, as shares of it; 0, 0: a whole disc */
} FilLimbFit;

/* fil-limb-picture.c */
void     fil_limb_picture_reduce (FilLimbPicture       *picture,
                                  const uint16_t       *counts,
                                  int                   width,
                                  int                   height,
                                  int                   step);
void     fil_limb_picture_halve  (FilLimbPicture       *half,
                                  const FilLimbPicture *picture);
void     fil_limb_picture_smooth (FilLimbPicture       *picture,
                                  float                *row);
double   fil_limb_picture_at     (const FilLimbPicture *picture,
                                  double                x,
                                  double                y);
void     fil_limb_picture_weigh  (const FilLimbPicture *picture,
                                  double                black_level,
                                  FilLimbLight         *light);

/* fil-limb-edges.c */
int      fil_limb_find_edges     (const FilLimbPicture *picture,
                                  const FilLimbLight   *light,
                                  FilLimbEdge          *edges);

/* fil-limb-circle.c */
gboolean fil_limb_find_circle    (const FilLimbEdge    *edges,
                                  int                   n_edges,
                                  double                radius_px,
                                  gboolean              fit_radius,
                                  double                tolerance_px,
                                  FilLimbCircle        *circle);

/* fil-limb-profile.c */
double   fil_limb_profile_blur   (double                outer_half_width,
                                  double                radius);
double   fil_limb_profile_bias   (double                blur,
                                  double                radius);
double   fil_limb_profile_light  (double                mu);

/* fil-limb-trail.c */
void     fil_limb_trail_follow   (FilLimbTrail         *trail,
                                  const FilLimbPicture *picture,
                                  const FilLimbLight   *light,
                                  const FilLimbCircle  *circle,
                                  const FilLimbEdge    *edges,
                                  int                   n_edges);

/* fil-limb-fit.c */
gboolean fil_limb_fit_circle     (FilLimbTrail         *trail,
                                  const FilLimbCircle  *start,
                                  gboolean              fit_radius,
                                  FilLimbFit           *fit);

/* fil-limb-error.c */
void     fil_limb_fit_errors     (const FilLimbTrail   *trail,
                                  gboolean              fit_radius,
                                  FilLimbFit           *fit);

/* fil-limb-judge.c */
FilLimbReason fil_limb_judge     (const FilLimbTrail   *trail,
                                  const FilLimbFit     *fit,
                                  const FilLimbPicture *picture,
                                  const FilLimbLight   *light,
                                  gboolean              fit_radius);

G_END_DECLS

/* fil-picture-sky-names.c: which lines of the grid are named, and where
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-picture-sky-private.h"

#define FROM_EDGE 6.0f   /* from the picture's edge to a name, logical pixels */
#define FROM_LIMB 6.0f

/* One of the places where a line's name may stand. */
typedef struct
{
  const FilSkyLabel *label;
  guint              n_alike;   /* lines of its kind that could be named on the same side */
} Choice;

/* The equator and the central meridian first, then round numbers, then those
 * near the middle; of one line the side where most of its kind have theirs, so
 * that they stand in a row. */
static int
compare_choices (gconstpointer a,
                 gconstpointer b)
{
  const Choice *one = a, *other = b;
  double value = fabs (one->label->value_deg), other_value = fabs (other->label->value_deg);
  int round = fmod (value, 10.0) != 0.0, other_round = fmod (other_value, 10.0) != 0.0;

  if ((value == 0.0) != (other_value == 0.0))
    return value == 0.0 ? -1 : 1;
  if (round != other_round)
    return round - other_round;
  if (value != other_value)
    return value < other_value ? -1 : 1;
  if (one->label->kind != other->label->kind)
    return (int) one->label->kind - (int) other->label->kind;
  if (one->label->value_deg != other->label->value_deg)
    return one->label->value_deg > other->label->value_deg ? -1 : 1;
  if (one->n_alike != other->n_alike)
    return one->n_alike > other->n_alike ? -1 : 1;

  return (int) one->label->side - (int) other->label->side;
}

static GArray *
sort_choices (const GArray *labels)
{
  GArray *choices = g_array_sized_new (FALSE, FALSE, sizeof (Choice), labels->len);
  guint n_alike[2][FIL_SKY_SIDE_NONE + 1] = { 0 };

  for (guint i = 0; i < labels->len; i++)
    {
      const FilSkyLabel *label = &g_array_index (labels, FilSkyLabel, i);

      n_alike[label->kind == FIL_SKY_LINE_MERIDIAN][label->side]++;
    }
  for (guint i = 0; i < labels->len; i++)
    {
      const FilSkyLabel *label = &g_array_index (labels, FilSkyLabel, i);
      Choice choice = { label, n_alike[label->kind == FIL_SKY_LINE_MERIDIAN][label->side] };

      g_array_append_val (choices, choice);
    }
  g_array_sort (choices, compare_choices);

  return choices;
}

/* The plate's place beside or on its line. */
static graphene_rect_t
find_place (FilPicture        *self,
            const FilSkyLabel *label,
            float              width,
            float              height)
{
  double x, y, away = 0.0;
  float left, top;

  fil_picture_from_point (self, &label->at, &x, &y);
  left = (float) x - width / 2.0f;
  top = (float) y - height / 2.0f;
  switch (label->side)
    {
    case FIL_SKY_SIDE_LEFT:
      left = (float) x + FROM_EDGE;
      break;
    case FIL_SKY_SIDE_TOP:
      top = (float) y + FROM_EDGE;
      break;
    case FIL_SKY_SIDE_RIGHT:
      left = (float) x - FROM_EDGE - width;
      break;
    case FIL_SKY_SIDE_BOTTOM:
      top = (float) y - FROM_EDGE - height;
      break;
    case FIL_SKY_SIDE_NONE:
    default:
      if (label->away.x != 0.0 || label->away.y != 0.0)
        away = 0.5 * (fabs (label->away.x) * (double) width +
                      fabs (label->away.y) * (double) height) + (double) FROM_LIMB;
      left += (float) (away * label->away.x);
      top += (float) (away * label->away.y);
      break;
    }

  return GRAPHENE_RECT_INIT (roundf (left), roundf (top), width, height);
}

static void
measure_text (FilPicture *self,
              const char *text,
              float      *width,
              float      *height)
{
  PangoLayout *layout = gtk_widget_create_pango_layout (self->sky.name, text);
  int w, h;

  pango_layout_get_pixel_size (layout, &w, &h);
  g_object_unref (layout);
  *width = (float) w + 2 * FIL_NAME_PADDING;
  *height = (float) h;
}

static gboolean
same_texts (const GArray *a,
            const GArray *b)
{
  if (a->len != b->len)
    return FALSE;
  for (guint i = 0; i < a->len; i++)
    {
      const FilSkyText *one = &g_array_index (a, FilSkyText, i);
      const FilSkyText *other = &g_array_index (b, FilSkyText, i);

      if (!graphene_rect_equal (&one->at, &other->at) || strcmp (one->text, other->text) != 0)
        return FALSE;
    }

  return TRUE;
}

static gboolean
try_name (FilPicture            *self,
          const graphene_rect_t *shown,
          const FilSkyLabel     *label,
          GArray                *texts)
{
  g_autofree char *text = fil_sky_label_dup_text (label);
  FilSkyText placed;
  float width, height;

  g_strlcpy (placed.text, text, sizeof placed.text);
  measure_text (self, placed.text, &width, &height);
  placed.at = find_place (self, label, width, height);
  if (!graphene_rect_contains_rect (shown, &placed.at) ||
      !fil_picture_is_free (self, &placed.at))
    return FALSE;

  fil_picture_take (self, &placed.at);
  g_array_append_val (texts, placed);

  return TRUE;
}

/* Each line at most once, and only where its name touches no other plate. */
void
fil_picture_sky_place_names (FilPicture            *self,
                             const graphene_rect_t *shown)
{
  FilPictureSky *sky = &self->sky;
  g_autoptr (GArray) choices = sort_choices (sky->lines->labels);
  g_autoptr (GArray) texts = g_array_new (FALSE, FALSE, sizeof (FilSkyText));
  const FilSkyLabel *named = NULL;

  for (guint i = 0; i < choices->len; i++)
    {
      const FilSkyLabel *label = g_array_index (choices, Choice, i).label;

      if (named != NULL && named->kind == label->kind && named->value_deg == label->value_deg)
        continue;
      if (try_name (self, shown, label, texts))
        named = label;
    }
  if (same_texts (texts, sky->texts))
    return;

  g_array_set_size (sky->texts, 0);
  g_array_append_vals (sky->texts, texts->data, texts->len);
  sky->node_stale = TRUE;
}

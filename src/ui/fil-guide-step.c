/* fil-guide-step.c: one question about a new rig
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A question has one or more answers to choose from; an answer puts elements
 * into the light path, and asks for a few of their keys. Labels, units and
 * help come from the table of keys. */

#include <glib/gi18n.h>

#include "fil-guide-step.h"
#include "fil-light-order.h"
#include "fil-rig-keys.h"
#include "fil-rig-typed.h"
#include "fil-value-row.h"

#define RIG   (-1)   /* as a kind: the groups [rig] and [site] */
#define SITE  (-2)
#define MAX_ASKED 4
#define MAX_ANSWERS 3

/* @needed: the question isn't answered without it */
typedef struct
{
  int         kind;
  const char *key;      /* NULL: nothing is asked about the element */
  gboolean    needed;
} Asked;

typedef struct
{
  const char *text;     /* NULL: the only answer */
  int         kinds[2]; /* elements it puts in, ended by RIG */
  Asked       asked[MAX_ASKED];
} Answer;

typedef struct
{
  const char *title, *lead;
  Answer      answers[MAX_ANSWERS];
  guint       n_answers;
} Question;

#define KIND(name) FIL_ELEMENT_##name

static const Question questions[] = {
  { N_("Which telescope is it?"),
    N_("The lens or mirror that makes the image. Both numbers are usually written on the tube."),
    { { NULL, { KIND (OBJECTIVE), RIG },
        { { KIND (OBJECTIVE), "type", TRUE },
          { KIND (OBJECTIVE), "aperture_mm", TRUE },
          { KIND (OBJECTIVE), "focal_length_mm", TRUE } } } },
    1 },
  { N_("What takes the sunlight away?"),
    N_("Either a filter over the whole aperture, or a wedge directly behind a lens, with its "
       "density filter. What its maker says comes first."),
    { { N_("Front filter"), { KIND (FRONT_FILTER), RIG },
        { { KIND (FRONT_FILTER), "material", FALSE }, { KIND (FRONT_FILTER), "density", FALSE } } },
      { N_("Wedge"), { KIND (WEDGE), KIND (DENSITY) },
        { { KIND (DENSITY), "density", FALSE }, { KIND (WEDGE), "aperture_limit_mm", FALSE } } },
      { N_("Nothing yet"), { RIG, RIG }, { { 0 } } } },
    3 },
  { N_("Is the focal length changed on the way?"),
    N_("An amplifier makes the picture larger, a reducer the field wider."),
    { { N_("No"), { RIG, RIG }, { { 0 } } },
      { N_("Amplifier"), { KIND (AMPLIFIER), RIG }, { { KIND (AMPLIFIER), "factor", TRUE } } },
      { N_("Reducer"), { KIND (REDUCER), RIG }, { { KIND (REDUCER), "factor", TRUE } } } },
    3 },
  { N_("Is there a bandpass filter?"),
    N_("A colour filter that lets one narrow band through, such as 540 nm, 10 nm wide."),
    { { N_("No"), { RIG, RIG }, { { 0 } } },
      { N_("Bandpass filter"), { KIND (BANDPASS), RIG },
        { { KIND (BANDPASS), "centre_nm", TRUE }, { KIND (BANDPASS), "width_nm", TRUE } } } },
    2 },
  { N_("Which camera is it?"),
    N_("Its data sheet has these numbers, and so has its maker’s page."),
    { { NULL, { KIND (CAMERA), RIG },
        { { KIND (CAMERA), "pixel_um", TRUE },
          { KIND (CAMERA), "columns", TRUE },
          { KIND (CAMERA), "rows", TRUE } } } },
    1 },
  { N_("What is it called, and where does it stand?"),
    N_("All of this may be left empty, and be written down later."),
    { { NULL, { RIG, RIG },
        { { RIG, "name", FALSE },
          { RIG, "finder", FALSE },
          { SITE, "latitude_deg", FALSE },
          { SITE, "longitude_deg", FALSE } } } },
    1 },
};

struct _FilGuideStep
{
  GtkBox          parent_instance;

  const Question *question;
  int             answer;                 /* chosen; −1: none yet */
  GtkWidget      *buttons[MAX_ANSWERS];   /* NULL where there is one answer */
  GtkBox         *boxes[MAX_ANSWERS];     /* of FilValueRow, one for each asked */
};

enum
{
  SIGNAL_EDITED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilGuideStep, fil_guide_step, GTK_TYPE_BOX)

static const FilRigKey *
find_head_key (const FilRigKey **(*list) (guint *n_keys),
               const char       *key)
{
  guint n;
  g_autofree const FilRigKey **keys = list (&n);

  for (guint i = 0; i < n; i++)
    if (g_str_equal (keys[i]->key, key))
      return keys[i];

  return NULL;
}

static const FilRigKey *
find_key (const Asked *asked)
{
  if (asked->kind == RIG)
    return find_head_key (fil_rig_list_keys, asked->key);
  if (asked->kind == SITE)
    return find_head_key (fil_site_list_keys, asked->key);

  return fil_element_find_key ((FilElementKind) asked->kind, asked->key);
}

static void
edited_cb (FilGuideStep *self)
{
  g_signal_emit (self, signals[SIGNAL_EDITED], 0);
}

/* The row in which the chosen answer asks for that. */
static FilValueRow *
row_at (FilGuideStep *self,
        guint         index)
{
  GtkWidget *row = gtk_widget_get_first_child (GTK_WIDGET (self->boxes[self->answer]));

  while (index-- > 0)
    row = gtk_widget_get_next_sibling (row);

  return FIL_VALUE_ROW (row);
}

static void
choose (FilGuideStep *self,
        int           answer)
{
  self->answer = answer;
  for (guint i = 0; i < self->question->n_answers; i++)
    gtk_widget_set_visible (GTK_WIDGET (self->boxes[i]), (int) i == answer);
  g_signal_emit (self, signals[SIGNAL_EDITED], 0);
  /* What the answer asks for is typed next. */
  if (self->question->answers[answer].asked[0].key != NULL)
    fil_value_row_take_focus (row_at (self, 0));
}

static void
toggled_cb (GtkToggleButton *button,
            FilGuideStep    *self)
{
  if (!gtk_toggle_button_get_active (button))
    return;

  for (guint i = 0; i < self->question->n_answers; i++)
    if (self->buttons[i] == GTK_WIDGET (button))
      choose (self, (int) i);
}

static void
add_row (FilGuideStep *self,
         GtkBox       *box,
         const Asked  *asked,
         GtkSizeGroup *fields)
{
  const FilRigKey *key = find_key (asked);
  GtkWidget *row = fil_value_row_new (key);

  if (key->usual != NULL)
    fil_value_row_set_value (FIL_VALUE_ROW (row), key->usual);
  g_signal_connect_object (row, "edited", G_CALLBACK (edited_cb), self, G_CONNECT_SWAPPED);
  gtk_box_append (box, row);
  fil_value_row_line_up (FIL_VALUE_ROW (row), fields);
}

static void
add_answer (FilGuideStep *self,
            GtkBox       *choice,
            guint         index)
{
  const Answer *answer = &self->question->answers[index];
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  g_autoptr (GtkSizeGroup) fields = gtk_size_group_new (GTK_SIZE_GROUP_HORIZONTAL);

  self->boxes[index] = GTK_BOX (box);
  for (guint i = 0; i < MAX_ASKED && answer->asked[i].key != NULL; i++)
    add_row (self, GTK_BOX (box), &answer->asked[i], fields);

  if (answer->text == NULL)
    return;
  self->buttons[index] = gtk_toggle_button_new_with_label (_(answer->text));
  gtk_widget_add_css_class (self->buttons[index], "value-word");
  if (index > 0)
    gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (self->buttons[index]),
                                 GTK_TOGGLE_BUTTON (self->buttons[0]));
  g_signal_connect (self->buttons[index], "toggled", G_CALLBACK (toggled_cb), self);
  gtk_box_append (choice, self->buttons[index]);
  gtk_widget_set_visible (box, FALSE);
}

static void
append_label (FilGuideStep *self,
              const char   *text,
              const char   *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 60);
  gtk_widget_add_css_class (label, css_class);
  gtk_box_append (GTK_BOX (self), label);
}

static void
fil_guide_step_class_init (FilGuideStepClass *klass)
{
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_GROUP);

  signals[SIGNAL_EDITED] = g_signal_new ("edited", FIL_TYPE_GUIDE_STEP, G_SIGNAL_RUN_LAST, 0, NULL,
                                         NULL, NULL, G_TYPE_NONE, 0);
}

static void
fil_guide_step_init (FilGuideStep *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 6);
}

guint
fil_guide_step_count (void)
{
  return G_N_ELEMENTS (questions);
}

/* @number: from 0 */
GtkWidget *
fil_guide_step_new (guint number)
{
  FilGuideStep *self = g_object_new (FIL_TYPE_GUIDE_STEP, NULL);
  GtkWidget *choice = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  g_return_val_if_fail (number < G_N_ELEMENTS (questions), GTK_WIDGET (self));

  self->question = &questions[number];
  append_label (self, _(self->question->title), "gate-title");
  append_label (self, _(self->question->lead), "gate-lead");
  gtk_widget_add_css_class (choice, "linked");
  gtk_widget_add_css_class (choice, "guide-choice");
  gtk_box_append (GTK_BOX (self), choice);
  for (guint i = 0; i < self->question->n_answers; i++)
    {
      add_answer (self, GTK_BOX (choice), i);
      gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->boxes[i]));
    }

  self->answer = self->buttons[0] == NULL ? 0 : -1;
  gtk_widget_set_visible (choice, self->buttons[0] != NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _(self->question->title), -1);

  return GTK_WIDGET (self);
}

/* Returns: whether one can go on: an answer chosen, what it needs given */
gboolean
fil_guide_step_is_answered (FilGuideStep *self)
{
  const Answer *answer;

  g_return_val_if_fail (FIL_IS_GUIDE_STEP (self), FALSE);

  if (self->answer < 0)
    return FALSE;

  answer = &self->question->answers[self->answer];
  for (guint i = 0; i < MAX_ASKED && answer->asked[i].key != NULL; i++)
    {
      g_autofree char *value = fil_value_row_dup_value (row_at (self, i));

      if (answer->asked[i].needed && value == NULL)
        return FALSE;
    }

  return TRUE;
}

static char *
dup_group (const FilRig *rig,
           int           kind)
{
  if (kind == RIG)
    return g_strdup ("rig");
  if (kind == SITE)
    return g_strdup ("site");

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    if ((int) fil_rig_get_element (rig, i)->kind == kind)
      return g_strdup_printf ("element %u", i + 1);

  return NULL;
}

/* (transfer full) @changed: %NULL: it was refused */
static gboolean
take (FilRig **rig,
      FilRig  *changed)
{
  if (changed == NULL)
    return FALSE;

  fil_rig_unref (*rig);
  *rig = changed;

  return TRUE;
}

static gboolean
apply_value (FilValueRow *row,
             const Asked *asked,
             FilRig     **rig)
{
  g_autofree char *typed = fil_value_row_dup_value (row);
  g_autofree char *value = fil_rig_typed_value (fil_value_row_get_key (row), typed);
  g_autofree char *group = dup_group (*rig, asked->kind);
  g_autoptr (GError) error = NULL;

  /* An empty field takes nothing away from a group that isn't there. */
  if (value == NULL)
    {
      g_autofree char *present = fil_rig_dup_value (*rig, group, asked->key);

      fil_value_row_set_refusal (row, NULL);
      return present == NULL ||
             take (rig, fil_rig_with_value (*rig, group, asked->key, NULL, NULL));
    }
  if (take (rig, fil_rig_with_value (*rig, group, asked->key, value, &error)))
    {
      fil_value_row_set_refusal (row, NULL);
      return TRUE;
    }

  fil_value_row_set_refusal (row, fil_rig_error_get_reason (error));

  return FALSE;
}

/**
 * fil_guide_step_apply:
 * @rig: (inout): takes the answer in, and every value that isn't refused
 *
 * A refused value gets its reason beside it.
 *
 * Returns: whether everything was taken
 */
gboolean
fil_guide_step_apply (FilGuideStep *self,
                      FilRig      **rig)
{
  const Answer *answer;
  gboolean whole = TRUE;

  g_return_val_if_fail (FIL_IS_GUIDE_STEP (self) && rig != NULL && *rig != NULL, FALSE);

  if (self->answer < 0)
    return FALSE;

  answer = &self->question->answers[self->answer];
  for (guint i = 0; i < G_N_ELEMENTS (answer->kinds) && answer->kinds[i] >= 0; i++)
    {
      FilElementKind kind = (FilElementKind) answer->kinds[i];

      whole = take (rig, fil_rig_with_element (*rig, kind, fil_light_order_place (*rig, kind),
                                               NULL)) && whole;
    }
  for (guint i = 0; i < MAX_ASKED && answer->asked[i].key != NULL; i++)
    whole = apply_value (row_at (self, i), &answer->asked[i], rig) && whole;

  return whole;
}

/* The keyboard goes to the first thing asked. */
void
fil_guide_step_take_focus (FilGuideStep *self)
{
  g_return_if_fail (FIL_IS_GUIDE_STEP (self));

  if (self->buttons[0] != NULL)
    gtk_widget_grab_focus (self->buttons[MAX (self->answer, 0)]);
  else
    fil_value_row_take_focus (row_at (self, 0));
}

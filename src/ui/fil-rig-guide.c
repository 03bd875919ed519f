/* fil-rig-guide.c: a new rig, one question at a time
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * After each answer it shows what follows from the answers so far, and what
 * the light path has against it. */

#include <math.h>
#include <string.h>

#include <glib/gi18n.h>

#include "fil-finding-row.h"
#include "fil-guide-step.h"
#include "fil-light-order.h"
#include "fil-optics.h"
#include "fil-rig-guide.h"

#define FILTER_STEP 1   /* before it nobody has been asked for a filter */

struct _FilRigGuide
{
  AdwWindow  parent_instance;

  GPtrArray *steps;       /* of FilGuideStep, borrowed */
  guint      step;        /* the one that is shown */
  FilRig    *rig;         /* all answers up to it; NULL: one is refused or missing */

  GtkStack  *stack;
  GtkLabel  *count_label, *follows_label;
  GtkBox    *findings_box;
  GtkButton *demo_button, *back_button, *next_button;
};

enum
{
  SIGNAL_MADE,
  SIGNAL_DEMO,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilRigGuide, fil_rig_guide, ADW_TYPE_WINDOW)

static FilGuideStep *
current (FilRigGuide *self)
{
  return g_ptr_array_index (self->steps, self->step);
}

static gboolean
is_last (FilRigGuide *self)
{
  return self->step + 1 == self->steps->len;
}

/* The answers up to the question that is shown; the rest aren't given yet.
 * Sets @whole to whether all of them are there and none is refused. */
static FilRig *
build (FilRigGuide *self,
       gboolean    *whole)
{
  FilRig *rig = fil_rig_new_empty (_("My rig"));

  *whole = TRUE;
  for (guint i = 0; i <= self->step; i++)
    {
      FilGuideStep *step = g_ptr_array_index (self->steps, i);

      *whole = fil_guide_step_apply (step, &rig) && fil_guide_step_is_answered (step) && *whole;
    }

  return rig;
}

static void
append (GString    *text,
        double      value,
        const char *format)
{
  g_autofree char *piece = NULL;
  g_auto (GStrv) words = NULL;

  if (!isfinite (value))
    return;

  /* one of the translated formats below, each with one double */
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
  piece = g_strdup_printf (format, value);
#pragma GCC diagnostic pop
  /* A line ends between two figures, never inside of one. */
  words = g_strsplit (piece, " ", -1);
  g_free (piece);
  piece = g_strjoinv ("\u00a0", words);
  g_string_append_printf (text, "%s%s", text->len > 0 ? " · " : "", piece);
}

static void
show_numbers (FilRigGuide *self,
              FilRig      *rig)
{
  g_autoptr (GString) text = g_string_new (NULL);
  FilOptics o;

  fil_optics_compute (rig, &o);
  append (text, o.focal_ratio, _("f/%.1f"));
  append (text, o.rayleigh_arcsec, _("finest detail %.2f″"));
  append (text, o.sun_diameter_mm, _("the Sun’s image %.1f mm wide"));
  append (text, o.plate_scale_arcsec_per_px, _("%.2f″ a pixel"));
  append (text, o.field_width_arcsec / 60.0, _("field %.1f′ wide"));
  gtk_label_set_text (self->follows_label, text->str);
}

/* What is found once the questions that it hangs on were answered. A camera
 * that nobody asked for yet is taken as there. */
static void
show_findings (FilRigGuide *self,
               FilRig      *rig,
               gboolean     answered)
{
  g_autoptr (FilRig) whole = NULL;
  g_autoptr (GPtrArray) findings = NULL;
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self->findings_box))) != NULL)
    gtk_box_remove (self->findings_box, child);
  if (!answered || fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE) == NULL)
    return;

  whole = fil_rig_find (rig, FIL_ELEMENT_CAMERA) != NULL
            ? fil_rig_ref (rig)
            : fil_rig_with_element (rig, FIL_ELEMENT_CAMERA, fil_rig_get_n_elements (rig), NULL);
  findings = fil_findings_list (whole);
  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      if (is_last (self) || strcmp (finding->code, "finder-not-mentioned") != 0)
        gtk_box_append (self->findings_box, fil_finding_row_new (finding, (int) i, FALSE));
    }
}

static void
show (FilRigGuide *self)
{
  gboolean whole;
  g_autoptr (FilRig) rig = build (self, &whole);
  g_autofree char *count = g_strdup_printf (_("Question %u of %u"), self->step + 1,
                                            self->steps->len);

  g_clear_pointer (&self->rig, fil_rig_unref);
  if (whole)
    self->rig = fil_rig_ref (rig);

  gtk_label_set_text (self->count_label, count);
  show_numbers (self, rig);
  show_findings (self, rig, self->step > FILTER_STEP || (self->step == FILTER_STEP && whole));
  gtk_widget_set_visible (GTK_WIDGET (self->demo_button), self->step == 0);
  gtk_widget_set_visible (GTK_WIDGET (self->back_button), self->step > 0);
  gtk_button_set_label (self->next_button, is_last (self) ? _("Save the rig") : _("Next"));
  gtk_widget_set_sensitive (GTK_WIDGET (self->next_button), whole);
}

static void
go_to (FilRigGuide *self,
       guint        step)
{
  self->step = step;
  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (current (self)));
  show (self);
  fil_guide_step_take_focus (current (self));
}

static void
next_cb (FilRigGuide *self)
{
  if (self->rig == NULL)
    return;
  if (!is_last (self))
    {
      go_to (self, self->step + 1);
      return;
    }

  g_signal_emit (self, signals[SIGNAL_MADE], 0, self->rig);
  gtk_window_destroy (GTK_WINDOW (self));
}

static void
back_cb (FilRigGuide *self)
{
  if (self->step > 0)
    go_to (self, self->step - 1);
}

static void
demo_cb (FilRigGuide *self)
{
  g_signal_emit (self, signals[SIGNAL_DEMO], 0);
  gtk_window_destroy (GTK_WINDOW (self));
}

static gboolean
back_key_cb (GtkWidget *widget,
             GVariant  *arguments,
             gpointer   user_data)
{
  back_cb (FIL_RIG_GUIDE (widget));

  return TRUE;
}

/* Enter goes on from wherever the keyboard is; a choice is made by the space
 * bar. Other buttons keep their Enter. */
static gboolean
enter_cb (FilRigGuide *self,
          guint        keyval)
{
  GtkWidget *focus = gtk_window_get_focus (GTK_WINDOW (self));

  if (keyval != GDK_KEY_Return && keyval != GDK_KEY_KP_Enter)
    return FALSE;
  if (GTK_IS_BUTTON (focus) && !GTK_IS_TOGGLE_BUTTON (focus))
    return FALSE;

  show (self);
  next_cb (self);

  return TRUE;
}

static void
fil_rig_guide_dispose (GObject *object)
{
  FilRigGuide *self = FIL_RIG_GUIDE (object);

  g_clear_pointer (&self->rig, fil_rig_unref);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_RIG_GUIDE);

  G_OBJECT_CLASS (fil_rig_guide_parent_class)->dispose (object);
}

static void
fil_rig_guide_finalize (GObject *object)
{
  g_ptr_array_unref (FIL_RIG_GUIDE (object)->steps);

  G_OBJECT_CLASS (fil_rig_guide_parent_class)->finalize (object);
}

static void
bind_template (GtkWidgetClass *widget_class)
{
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/io/github/filigree/Filigree/fil-rig-guide.ui");
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, stack);
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, count_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, follows_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, findings_box);
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, demo_button);
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, back_button);
  gtk_widget_class_bind_template_child (widget_class, FilRigGuide, next_button);
  gtk_widget_class_bind_template_callback (widget_class, demo_cb);
  gtk_widget_class_bind_template_callback (widget_class, back_cb);
  gtk_widget_class_bind_template_callback (widget_class, next_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Left, GDK_ALT_MASK, back_key_cb, NULL);
}

static void
fil_rig_guide_class_init (FilRigGuideClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_rig_guide_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_rig_guide_finalize;

  signals[SIGNAL_MADE] = g_signal_new ("made", FIL_TYPE_RIG_GUIDE, G_SIGNAL_RUN_LAST, 0, NULL,
                                       NULL, NULL, G_TYPE_NONE, 1, G_TYPE_POINTER);
  signals[SIGNAL_DEMO] = g_signal_new ("demo", FIL_TYPE_RIG_GUIDE, G_SIGNAL_RUN_LAST, 0, NULL,
                                       NULL, NULL, G_TYPE_NONE, 0);
  bind_template (GTK_WIDGET_CLASS (klass));
}

static void
fil_rig_guide_init (FilRigGuide *self)
{
  GtkEventController *keys = gtk_event_controller_key_new ();

  self->steps = g_ptr_array_new ();
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect_object (keys, "key-pressed", G_CALLBACK (enter_cb), self, G_CONNECT_SWAPPED);
  gtk_widget_add_controller (GTK_WIDGET (self), keys);
  for (guint i = 0; i < fil_guide_step_count (); i++)
    {
      GtkWidget *step = fil_guide_step_new (i);

      g_signal_connect_object (step, "edited", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
      gtk_stack_add_child (self->stack, step);
      g_ptr_array_add (self->steps, step);
    }
  gtk_window_set_default_widget (GTK_WINDOW (self), GTK_WIDGET (self->next_button));
  go_to (self, 0);
}

GtkWindow *
fil_rig_guide_new (GtkWindow *parent)
{
  return g_object_new (FIL_TYPE_RIG_GUIDE, "transient-for", parent, NULL);
}

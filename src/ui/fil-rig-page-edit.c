/* fil-rig-page-edit.c: changing the light path on the rig page
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-findings.h"
#include "fil-light-order.h"
#include "fil-rig-page-private.h"

/* Shows why an edit was refused. Returns: whether it was done */
static gboolean
report (FilRigPage *self,
        GError     *error)
{
  if (error != NULL)
    fil_rig_page_show_problem (self, fil_rig_error_get_reason (error));

  return error == NULL;
}

/* @kind: a FilElementKind; its card comes up, ready to be filled in */
void
fil_rig_page_add (FilRigPage *self,
                  int         kind)
{
  guint index = fil_light_order_place (fil_rig_document_get_rig (self->document),
                                       (FilElementKind) kind);
  g_autoptr (GError) error = NULL;

  fil_rig_document_add_element (self->document, (FilElementKind) kind, index, &error);
  if (!report (self, error))
    return;

  fil_light_view_select (self->view, (int) index);
  fil_rig_card_take_focus (self->card);
}

/* @step: −1: towards the sky, 1: towards the sensor */
void
fil_rig_page_move (FilRigPage *self,
                   int         step)
{
  int from = fil_light_view_get_selected (self->view), to = from + step;
  guint n = fil_rig_get_n_elements (fil_rig_document_get_rig (self->document));
  g_autoptr (GError) error = NULL;

  if (from < 0 || to < 0 || to >= (int) n)
    return;
  fil_rig_document_move_element (self->document, (guint) from, (guint) to, &error);
  if (!report (self, error))
    return;

  fil_light_view_select (self->view, to);
  fil_light_view_take_focus (self->view);
}

static void
offer_undo (FilRigPage *self,
            const char *what)
{
  g_autofree char *text = g_strdup_printf (_("Removed: %s"), what);
  g_autofree char *markup = g_markup_escape_text (text, -1);
  AdwToast *toast = adw_toast_new (markup);

  adw_toast_set_button_label (toast, _("Undo"));
  adw_toast_set_action_name (toast, "rig.undo");
  adw_toast_overlay_add_toast (self->toasts, toast);
}

void
fil_rig_page_remove (FilRigPage *self)
{
  int index = fil_light_view_get_selected (self->view);
  FilRig *rig = fil_rig_document_get_rig (self->document);
  g_autofree char *what = NULL;
  g_autoptr (GError) error = NULL;

  if (index < 0)
    return;

  what = fil_element_describe (fil_rig_get_element (rig, (guint) index));
  fil_rig_document_remove_element (self->document, (guint) index, &error);
  if (!report (self, error))
    return;

  fil_light_view_take_focus (self->view);
  offer_undo (self, what);
}

/* Applies what is proposed about the finding of that number. */
void
fil_rig_page_mend (FilRigPage *self,
                   int         number)
{
  const FilFinding *finding = g_ptr_array_index (self->findings, number);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) mended = NULL;

  mended = fil_finding_propose (finding, fil_rig_document_get_rig (self->document), &error);
  if (mended != NULL)
    fil_rig_document_edit (self->document, mended, finding->proposal);
  else
    report (self, error);
  fil_light_view_take_focus (self->view);
}

/* Actions --------------------------------------------------------------------- */

static void
undo_cb (GtkWidget  *widget,
         const char *action,
         GVariant   *parameter)
{
  FilRigPage *self = FIL_RIG_PAGE (widget);

  fil_rig_card_flush (self->card);
  fil_rig_document_undo (self->document);
}

static void
redo_cb (GtkWidget  *widget,
         const char *action,
         GVariant   *parameter)
{
  FilRigPage *self = FIL_RIG_PAGE (widget);

  fil_rig_card_flush (self->card);
  fil_rig_document_redo (self->document);
}

static void
earlier_cb (GtkWidget  *widget,
            const char *action,
            GVariant   *parameter)
{
  fil_rig_page_move (FIL_RIG_PAGE (widget), -1);
}

static void
later_cb (GtkWidget  *widget,
          const char *action,
          GVariant   *parameter)
{
  fil_rig_page_move (FIL_RIG_PAGE (widget), 1);
}

static void
remove_cb (GtkWidget  *widget,
           const char *action,
           GVariant   *parameter)
{
  fil_rig_page_remove (FIL_RIG_PAGE (widget));
}

static void
add_cb (GtkWidget  *widget,
        const char *action,
        GVariant   *parameter)
{
  gtk_menu_button_popup (FIL_RIG_PAGE (widget)->add_button);
}

void
fil_rig_page_install_edits (GtkWidgetClass *widget_class)
{
  gtk_widget_class_install_action (widget_class, "rig.undo", NULL, undo_cb);
  gtk_widget_class_install_action (widget_class, "rig.redo", NULL, redo_cb);
  gtk_widget_class_install_action (widget_class, "rig.earlier", NULL, earlier_cb);
  gtk_widget_class_install_action (widget_class, "rig.later", NULL, later_cb);
  gtk_widget_class_install_action (widget_class, "rig.remove", NULL, remove_cb);
  gtk_widget_class_install_action (widget_class, "rig.add", NULL, add_cb);

  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_z, GDK_CONTROL_MASK, "rig.undo",
                                       NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_z, GDK_CONTROL_MASK | GDK_SHIFT_MASK,
                                       "rig.redo", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_n, GDK_CONTROL_MASK, "rig.add", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Insert, 0, "rig.add", NULL);
}

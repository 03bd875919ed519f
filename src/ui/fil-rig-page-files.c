/* fil-rig-page-files.c: going from one rig to another on the rig page
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A rig that is chosen is in use at once. Nothing asks to be saved; what is
 * asked before it is left is a rig that isn't complete, since it has no place
 * in the folder yet. */

#include <string.h>

#include <glib/gi18n.h>

#include "fil-rig-folder.h"
#include "fil-rig-guide.h"
#include "fil-rig-page-private.h"

#define DEMO_FOLDER "/io/github/filigree/Filigree/rigs/"

static const char *const demos[] = { "roof-102.rig", "disc-60.rig" };

/* What is done once the present rig may be left. */
typedef void (*Step) (FilRigPage *self, const char *target);

typedef struct
{
  FilRigPage *page;     /* owned */
  Step        step;
  char       *target;   /* NULL: none */
} Leave;

static void
leave_free (gpointer data,
            GClosure *closure)
{
  Leave *leave = data;

  g_object_unref (leave->page);
  g_free (leave->target);
  g_free (leave);
}

static void
response_cb (AdwMessageDialog *dialog,
             const char       *response,
             Leave            *leave)
{
  if (strcmp (response, "leave") == 0)
    leave->step (leave->page, leave->target);
}

static void
ask_to_leave (FilRigPage *self,
              Leave      *leave)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  GtkWidget *dialog = adw_message_dialog_new (
    GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL, _("This rig is not complete yet"),
    _("Without an objective and a camera it can’t be saved. What you have changed since it was "
      "complete will be lost."));

  adw_message_dialog_add_responses (ADW_MESSAGE_DIALOG (dialog), "stay", _("Stay"), "leave",
                                    _("Leave it"), NULL);
  adw_message_dialog_set_close_response (ADW_MESSAGE_DIALOG (dialog), "stay");
  adw_message_dialog_set_response_appearance (ADW_MESSAGE_DIALOG (dialog), "leave",
                                              ADW_RESPONSE_DESTRUCTIVE);
  gtk_widget_add_css_class (dialog, "filigree");
  g_signal_connect_data (dialog, "response", G_CALLBACK (response_cb), leave, leave_free, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

/* Settles the present rig, and goes on with @step; asks before it where the
 * rig can't be kept. */
static void
leave_then (FilRigPage *self,
            Step        step,
            const char *target)
{
  Leave *leave;

  fil_rig_card_flush (self->card);
  fil_rig_page_settle (self);
  if (!fil_rig_document_is_dirty (self->document) ||
      fil_rig_is_complete (fil_rig_document_get_rig (self->document), NULL))
    {
      step (self, target);
      return;
    }

  leave = g_new0 (Leave, 1);
  leave->page = g_object_ref (self);
  leave->step = step;
  leave->target = g_strdup (target);
  ask_to_leave (self, leave);
}

/* @document: (transfer full) (nullable): %NULL: @error tells why it isn't there */
static void
use (FilRigPage     *self,
     FilRigDocument *document,
     gboolean        demo,
     GError         *error)
{
  if (document == NULL)
    {
      fil_rig_page_show_problem (self, error->message);
      return;
    }

  fil_rig_page_take_document (self, document, demo);
  fil_rig_page_put_in_force (self);
}

static void
open_file (FilRigPage *self,
           const char *path)
{
  g_autoptr (GError) error = NULL;
  FilRigDocument *document = fil_rig_document_open (path, &error);

  use (self, document, FALSE, error);
}

static void
open_demo (FilRigPage *self,
           const char *name)
{
  g_autofree char *resource = g_strconcat (DEMO_FOLDER, name, NULL);
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (FilRig) rig = NULL;
  g_autoptr (GError) error = NULL;
  gsize length;

  bytes = g_resources_lookup_data (resource, G_RESOURCE_LOOKUP_FLAGS_NONE, &error);
  if (bytes != NULL)
    {
      const char *text = g_bytes_get_data (bytes, &length);

      rig = fil_rig_parse (text, (gssize) length, name, &error);
    }
  use (self, rig != NULL ? fil_rig_document_new (rig, NULL) : NULL, TRUE, error);
}

/* Any rig of the user's, or the demo rig. */
static void
open_another (FilRigPage *self,
              const char *unused)
{
  g_autofree char *folder = fil_rig_folder_dup_default ();
  g_autoptr (GPtrArray) files = fil_rig_folder_list (folder);

  for (guint i = 0; i < files->len; i++)
    {
      const FilRigFile *file = g_ptr_array_index (files, i);

      if (file->error == NULL)
        {
          open_file (self, file->path);
          return;
        }
    }
  open_demo (self, demos[0]);
}

/* The guide ---------------------------------------------------------------------- */

static void
made_cb (FilRigPage *self,
         FilRig     *rig)
{
  FilRigDocument *document = fil_rig_document_new (rig, NULL);
  g_autoptr (GError) error = NULL;

  /* Where it can't be saved it is there all the same, to be saved later. */
  fil_rig_document_save (document, &error);
  fil_rig_page_take_document (self, document, FALSE);
  fil_rig_page_put_in_force (self);
  fil_light_view_take_focus (self->view);
  if (error != NULL)
    fil_rig_page_show_problem (self, error->message);
}

static void
demo_cb (FilRigPage *self)
{
  open_demo (self, demos[0]);
}

static void
start_guide (FilRigPage *self,
             const char *unused)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));

  if (self->guide == NULL)
    {
      GtkWindow *guide = fil_rig_guide_new (GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL);

      g_set_weak_pointer (&self->guide, guide);
      g_signal_connect_object (guide, "made", G_CALLBACK (made_cb), self, G_CONNECT_SWAPPED);
      g_signal_connect_object (guide, "demo", G_CALLBACK (demo_cb), self, G_CONNECT_SWAPPED);
    }
  gtk_window_present (self->guide);
}

/* Asks the questions that lead to a new rig. */
void
fil_rig_page_start_guide (FilRigPage *self)
{
  g_return_if_fail (FIL_IS_RIG_PAGE (self) && self->document != NULL);

  leave_then (self, start_guide, NULL);
}

/* Actions ------------------------------------------------------------------------- */

static void
new_cb (GtkWidget  *widget,
        const char *action,
        GVariant   *parameter)
{
  fil_rig_page_start_guide (FIL_RIG_PAGE (widget));
}

static void
open_cb (GtkWidget  *widget,
         const char *action,
         GVariant   *parameter)
{
  leave_then (FIL_RIG_PAGE (widget), open_file, g_variant_get_bytestring (parameter));
}

static void
open_demo_cb (GtkWidget  *widget,
              const char *action,
              GVariant   *parameter)
{
  leave_then (FIL_RIG_PAGE (widget), open_demo, g_variant_get_string (parameter, NULL));
}

static void
duplicate_cb (GtkWidget  *widget,
              const char *action,
              GVariant   *parameter)
{
  FilRigPage *self = FIL_RIG_PAGE (widget);
  g_autoptr (GError) error = NULL;
  FilRigDocument *copy;

  fil_rig_page_settle (self);
  copy = fil_rig_document_duplicate (self->document, &error);
  use (self, copy, FALSE, error);
}

static void
import_file (FilRigPage *self,
             const char *from)
{
  g_autofree char *folder = fil_rig_folder_dup_default ();
  g_autofree char *path = NULL;
  g_autoptr (GError) error = NULL;

  path = fil_rig_folder_import (folder, from, &error);
  if (path != NULL)
    open_file (self, path);
  else
    fil_rig_page_show_problem (self, error->message);
}

static void
import_response_cb (GtkNativeDialog *chooser,
                    int              response,
                    FilRigPage      *self)
{
  if (response == GTK_RESPONSE_ACCEPT)
    {
      g_autoptr (GFile) file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (chooser));
      g_autofree char *path = g_file_get_path (file);

      if (path != NULL)
        leave_then (self, import_file, path);
      else
        fil_rig_page_show_problem (self, _("Nothing was imported: this file isn’t on a disk of "
                                           "this computer. Copy it first."));
    }
  g_object_unref (chooser);
}

static void
import_cb (GtkWidget  *widget,
           const char *action,
           GVariant   *parameter)
{
  GtkRoot *root = gtk_widget_get_root (widget);
  GtkFileChooserNative *chooser =
    gtk_file_chooser_native_new (_("Import a rig"), GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL,
                                 GTK_FILE_CHOOSER_ACTION_OPEN, _("_Import"), NULL);

  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (chooser), TRUE);
  g_signal_connect_object (chooser, "response", G_CALLBACK (import_response_cb), widget, 0);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (chooser));
}

static void
trash_cb (GtkWidget  *widget,
          const char *action,
          GVariant   *parameter)
{
  FilRigPage *self = FIL_RIG_PAGE (widget);
  g_autoptr (GError) error = NULL;

  fil_rig_page_settle (self);
  if (fil_rig_document_trash (self->document, &error))
    open_another (self, NULL);
  else
    fil_rig_page_show_problem (self, error->message);
}

void
fil_rig_page_install_files (GtkWidgetClass *widget_class)
{
  gtk_widget_class_install_action (widget_class, "rig.new", NULL, new_cb);
  gtk_widget_class_install_action (widget_class, "rig.open", "ay", open_cb);
  gtk_widget_class_install_action (widget_class, "rig.open-demo", "s", open_demo_cb);
  gtk_widget_class_install_action (widget_class, "rig.duplicate", NULL, duplicate_cb);
  gtk_widget_class_install_action (widget_class, "rig.import", NULL, import_cb);
  gtk_widget_class_install_action (widget_class, "rig.trash", NULL, trash_cb);

  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_n, GDK_CONTROL_MASK | GDK_SHIFT_MASK,
                                       "rig.new", NULL);
}

/* The menu of rigs ------------------------------------------------------------------ */

static void
append_item (GMenu      *section,
             const char *label,
             const char *action,
             GVariant   *target)
{
  g_autoptr (GMenuItem) item = g_menu_item_new (NULL, NULL);

  /* In a label an underscore marks a key. */
  g_auto (GStrv) parts = g_strsplit (label, "_", -1);
  g_autofree char *escaped = g_strjoinv ("__", parts);

  g_menu_item_set_label (item, escaped);
  g_menu_item_set_action_and_target_value (item, action, target);
  g_menu_append_item (section, item);
}

static GMenu *
own_rigs (void)
{
  g_autofree char *folder = fil_rig_folder_dup_default ();
  g_autoptr (GPtrArray) files = fil_rig_folder_list (folder);
  GMenu *section = g_menu_new ();

  for (guint i = 0; i < files->len; i++)
    {
      const FilRigFile *file = g_ptr_array_index (files, i);
      g_autofree char *broken = NULL;

      if (file->error != NULL)
        broken = g_strdup_printf (_("%s (can’t be used)"), file->name);
      append_item (section, broken != NULL ? broken : file->name, "rig.open",
                   g_variant_new_bytestring (file->path));
    }

  return section;
}

/* Looked up each time it opens: files come and go. */
static void
fill_menu (GtkMenuButton *button,
           gpointer       user_data)
{
  g_autoptr (GMenu) menu = g_menu_new (), own = own_rigs (), demo = g_menu_new ();
  g_autoptr (GMenu) rest = g_menu_new ();

  append_item (demo, "Roof 102", "rig.open-demo", g_variant_new_string (demos[0]));
  append_item (demo, "Disc 60", "rig.open-demo", g_variant_new_string (demos[1]));
  append_item (rest, _("Move this rig to the trash"), "rig.trash", NULL);
  g_menu_append_section (menu, _("Your rigs"), G_MENU_MODEL (own));
  g_menu_append_section (menu, _("Demo rigs"), G_MENU_MODEL (demo));
  g_menu_append_section (menu, NULL, G_MENU_MODEL (rest));
  gtk_menu_button_set_menu_model (button, G_MENU_MODEL (menu));
}

void
fil_rig_page_prepare_menu (FilRigPage *self)
{
  gtk_menu_button_set_create_popup_func (self->rig_button, fill_menu, NULL, NULL);
}

/* fil-settings.c: the settings, installed or not
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-settings.h"

/* The schema beside a program that runs from its build directory. */
static GSettingsSchema *
lookup_uninstalled (void)
{
  g_autofree char *program = g_file_read_link ("/proc/self/exe", NULL);
  g_autofree char *folder = program != NULL ? g_path_get_dirname (program) : NULL;
  g_autofree char *data = NULL;
  g_autoptr (GSettingsSchemaSource) source = NULL;

  if (folder == NULL)
    return NULL;

  data = g_build_filename (folder, "..", "..", "data", NULL);
  source = g_settings_schema_source_new_from_directory (
    data, g_settings_schema_source_get_default (), TRUE, NULL);

  return source != NULL ? g_settings_schema_source_lookup (source, FIL_APP_ID, TRUE) : NULL;
}

/**
 * fil_settings_new:
 *
 * Returns: (transfer full) (nullable): the settings, %NULL where their schema
 *   is neither installed nor beside the program
 */
GSettings *
fil_settings_new (void)
{
  GSettingsSchemaSource *source = g_settings_schema_source_get_default ();
  g_autoptr (GSettingsSchema) schema = NULL;

  if (source != NULL)
    schema = g_settings_schema_source_lookup (source, FIL_APP_ID, TRUE);
  if (schema == NULL)
    schema = lookup_uninstalled ();

  return schema != NULL ? g_settings_new_full (schema, NULL, NULL) : NULL;
}

/* cli-json.c: one JSON object on standard output
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include "cli.h"

static void
set_name (JsonBuilder *builder,
          const char  *key)
{
  if (key != NULL)
    json_builder_set_member_name (builder, key);
}

/* @key: %NULL inside an array. JSON has no NaN and no infinity: null. */
void
fil_cli_json_number (JsonBuilder *builder,
                     const char  *key,
                     double       value)
{
  set_name (builder, key);
  if (isfinite (value))
    json_builder_add_double_value (builder, value);
  else
    json_builder_add_null_value (builder);
}

void
fil_cli_json_int (JsonBuilder *builder,
                  const char  *key,
                  gint64       value)
{
  set_name (builder, key);
  json_builder_add_int_value (builder, value);
}

void
fil_cli_json_bool (JsonBuilder *builder,
                   const char  *key,
                   gboolean     value)
{
  set_name (builder, key);
  json_builder_add_boolean_value (builder, value);
}

/* @value: UTF-8, or %NULL for null */
void
fil_cli_json_string (JsonBuilder *builder,
                     const char  *key,
                     const char  *value)
{
  set_name (builder, key);
  if (value != NULL)
    json_builder_add_string_value (builder, value);
  else
    json_builder_add_null_value (builder);
}

/* Prints the finished object and a line end. */
void
fil_cli_json_print (JsonBuilder *builder)
{
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  g_autoptr (JsonNode) root = json_builder_get_root (builder);
  g_autofree char *text = NULL;

  json_generator_set_root (generator, root);
  json_generator_set_pretty (generator, TRUE);
  text = json_generator_to_data (generator, NULL);
  puts (text);
}

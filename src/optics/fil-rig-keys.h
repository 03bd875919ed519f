/* fil-rig-keys.h: which keys a rig file has, and what they may say
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

/* What a value is; the doubles come first. */
typedef enum
{
  FIL_VALUE_POSITIVE,    /* double, above 0 */
  FIL_VALUE_DENSITY,     /* double, above 0, up to 10 */
  FIL_VALUE_PERCENT,     /* double, 0 to 100 */
  FIL_VALUE_LATITUDE,    /* double, −90 to 90 */
  FIL_VALUE_LONGITUDE,   /* double, −360 to 360 */
  FIL_VALUE_HEIGHT,      /* double, −1000 to 20000 */
  FIL_VALUE_PIXELS,      /* int, 1 to 100000 */
  FIL_VALUE_BITS,        /* int, 1 to 16 */
  FIL_VALUE_YES_NO,      /* gboolean */
  FIL_VALUE_WORD,        /* char *, one of @words */
  FIL_VALUE_TYPE,        /* FilObjectiveType */
  FIL_VALUE_LINE,        /* char *, one line; @words are only proposals */
  FIL_VALUE_TEXT,        /* char *, lines of text */
} FilValueType;

typedef enum
{
  FIL_KEY_ESSENTIAL,   /* numbers hang on it: ask for it first */
  FIL_KEY_COMMON,
  FIL_KEY_RARE,        /* most rigs do without */
} FilKeyRank;

#define FIL_KEY_MAX_WORDS 3

/**
 * FilRigKey:
 * @key: as the file has it ("aperture_mm")
 * @kinds: bits 1 << FilElementKind; 0: a key of [rig] or [site]
 * @words: what the file may say, up to the first %NULL
 * @word_texts: the same for people, not yet translated
 * @usual: (nullable): what a new element begins with; nothing that the gate
 *   or a finding goes by
 * @label, @help: not yet translated, see fil_rig_key_get_label()
 * @unit: (nullable): "mm"; the same in every language
 * @offset: into #FilElement, or private
 *
 * One row of the table. Static, never freed.
 */
typedef struct
{
  const char   *key;
  guint         kinds;
  FilValueType  type;
  FilKeyRank    rank;
  gsize         offset;
  const char   *label;
  const char   *unit;
  const char   *help;
  const char   *usual;
  const char   *words[FIL_KEY_MAX_WORDS];
  const char   *word_texts[FIL_KEY_MAX_WORDS];
} FilRigKey;

/* Essential keys first, rare ones last. Free the array alone, with g_free(). */
const FilRigKey **fil_element_list_keys    (FilElementKind   kind,
                                            guint           *n_keys);
const FilRigKey **fil_rig_list_keys        (guint           *n_keys);   /* of [rig] */
const FilRigKey **fil_site_list_keys       (guint           *n_keys);   /* of [site] */
const FilRigKey  *fil_element_find_key     (FilElementKind   kind,
                                            const char      *key);
const FilRigKey  *fil_rig_find_key         (const FilRig    *rig,
                                            const char      *group,
                                            const char      *key);

const char       *fil_rig_key_get_label    (const FilRigKey *key);   /* translated: "Aperture" */
const char       *fil_rig_key_get_help     (const FilRigKey *key);   /* translated: a sentence */
guint             fil_rig_key_get_n_words  (const FilRigKey *key);
const char       *fil_rig_key_get_word     (const FilRigKey *key,
                                            guint            index);   /* translated */
gboolean          fil_rig_key_is_number    (const FilRigKey *key);
void              fil_rig_key_get_range    (const FilRigKey *key,
                                            double          *smallest,
                                            double          *largest);

G_END_DECLS

/* fil-cards-lookup.c: what a FITS header's cards say
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cards come from files of any origin: nothing here trusts them. */

#include <math.h>
#include <string.h>

#include "fil-cards.h"

/* Returns: the index of the first card of that keyword, −1 where there is none */
int
fil_cards_find (const FilCards *cards,
                const char     *keyword)
{
  char padded[9];
  guint n;

  g_return_val_if_fail (cards != NULL && keyword != NULL, -1);

  if (strlen (keyword) > 8)
    return -1;
  g_snprintf (padded, sizeof padded, "%-8s", keyword);

  n = fil_cards_count (cards);
  for (guint i = 0; i < n; i++)
    if (memcmp (cards->text->str + (gsize) i * FIL_CARD_LENGTH, padded, 8) == 0)
      return (int) i;

  return -1;
}

static gboolean
has_value (const char *card)
{
  return card[8] == '=' && card[9] == ' ';
}

/* Appends the string that begins at or after card[10]; FALSE where none does. */
static gboolean
append_string (const char *card,
               GString    *into)
{
  gsize i = 10;

  while (i < FIL_CARD_LENGTH && card[i] == ' ')
    i++;
  if (i == FIL_CARD_LENGTH || card[i] != '\'')
    return FALSE;

  for (i++; i < FIL_CARD_LENGTH; i++)
    {
      if (card[i] == '\'')
        {
          if (i + 1 == FIL_CARD_LENGTH || card[i + 1] != '\'')
            break;
          i++;
        }
      g_string_append_c (into, g_ascii_isprint (card[i]) ? card[i] : '?');
    }

  /* Spaces at the end mean nothing, a string of spaces alone is one. */
  while (into->len > 0 && into->str[into->len - 1] == ' ')
    g_string_truncate (into, into->len - 1);

  return TRUE;
}

static void
append_continued (const FilCards *cards,
                  guint           index,
                  GString        *into)
{
  const guint n = fil_cards_count (cards);

  while (into->len > 0 && into->str[into->len - 1] == '&' && index + 1 < n)
    {
      const char *next = cards->text->str + (gsize) ++index * FIL_CARD_LENGTH;
      const gsize mark = into->len - 1;

      if (memcmp (next, "CONTINUE  ", 10) != 0)
        return;
      g_string_truncate (into, mark);
      if (!append_string (next, into))
        return;
    }
}

/**
 * fil_cards_dup_value:
 *
 * Returns: (nullable): the value as text: a string without its quotes,
 *   continued ones joined; anything else as it stands before the comment;
 *   %NULL where the card is missing or has no value
 */
char *
fil_cards_dup_value (const FilCards *cards,
                     const char     *keyword)
{
  g_autoptr (GString) value = g_string_new (NULL);
  int index = fil_cards_find (cards, keyword);
  const char *card;

  if (index < 0)
    return NULL;
  card = cards->text->str + (gsize) index * FIL_CARD_LENGTH;
  if (!has_value (card))
    return NULL;

  if (append_string (card, value))
    append_continued (cards, (guint) index, value);
  else
    {
      for (gsize i = 10; i < FIL_CARD_LENGTH && card[i] != '/'; i++)
        g_string_append_c (value, g_ascii_isprint (card[i]) ? card[i] : '?');
      g_strstrip (value->str);
      if (value->str[0] == '\0')
        return NULL;
    }

  return g_strdup (value->str);
}

gboolean
fil_cards_get_bool (const FilCards *cards,
                    const char     *keyword,
                    gboolean       *value)
{
  g_autofree char *text = fil_cards_dup_value (cards, keyword);

  if (text == NULL || (strcmp (text, "T") != 0 && strcmp (text, "F") != 0))
    return FALSE;
  *value = text[0] == 'T';

  return TRUE;
}

/* Returns: %FALSE, and @value untouched, unless it is a whole number in range */
gboolean
fil_cards_get_int (const FilCards *cards,
                   const char     *keyword,
                   gint64         *value)
{
  g_autofree char *text = fil_cards_dup_value (cards, keyword);

  return text != NULL &&
         g_ascii_string_to_signed (text + (text[0] == '+'), 10,
                                   G_MININT64, G_MAXINT64, value, NULL);
}

/* Returns: %FALSE, and @value untouched, unless it is a finite number */
gboolean
fil_cards_get_double (const FilCards *cards,
                      const char     *keyword,
                      double         *value)
{
  g_autofree char *text = fil_cards_dup_value (cards, keyword);
  char *end = NULL;
  double read;

  if (text == NULL || text[0] == '\0')
    return FALSE;

  /* Fortran's exponent of double precision, allowed by the Standard. */
  g_strdelimit (text, "Dd", 'E');
  if (strpbrk (text, "xXnN") != NULL)
    return FALSE;
  read = g_ascii_strtod (text, &end);
  if (*end != '\0' || !isfinite (read))
    return FALSE;
  *value = read;

  return TRUE;
}

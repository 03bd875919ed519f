/* fil-cards.c: writing the cards of one FITS header
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: FITS Standard 4.0, section 4: fixed format, 7-bit text, strings
 * longer than a card by CONTINUE (section 4.2.1.2). */

#include <math.h>
#include <string.h>

#include "fil-cards.h"

#define STRING_ROOM 67   /* characters between the quotes, with room for '&' */

FilCards *
fil_cards_new (void)
{
  FilCards *cards = g_new0 (FilCards, 1);

  cards->text = g_string_new (NULL);

  return cards;
}

/* Takes the cards before END; what follows it is filling. */
FilCards *
fil_cards_new_from (const char *text,
                    gsize       length)
{
  FilCards *cards = fil_cards_new ();

  for (gsize at = 0; at + FIL_CARD_LENGTH <= length; at += FIL_CARD_LENGTH)
    {
      if (memcmp (text + at, "END     ", 8) == 0)
        break;
      g_string_append_len (cards->text, text + at, FIL_CARD_LENGTH);
    }

  return cards;
}

void
fil_cards_free (FilCards *cards)
{
  if (cards == NULL)
    return;

  g_string_free (cards->text, TRUE);
  g_free (cards);
}

guint
fil_cards_count (const FilCards *cards)
{
  return (guint) (cards->text->len / FIL_CARD_LENGTH);
}

/**
 * fil_cards_to_ascii:
 * @text: UTF-8, or %NULL
 *
 * FITS headers know 7-bit text alone: letters with marks lose them, German
 * ones are spelt out, units are named, anything else becomes '?'.
 */
char *
fil_cards_to_ascii (const char *text)
{
  static const struct { const char *from, *to; } spelt[] = {
    { "ä", "ae" }, { "ö", "oe" }, { "ü", "ue" }, { "Ä", "Ae" }, { "Ö", "Oe" }, { "Ü", "Ue" },
    { "ß", "ss" }, { "µ", "u" }, { "μ", "u" }, { "°", " deg" }, { "×", "x" }, { "″", "\"" },
    { "′", "'" }, { "–", "-" }, { "—", "-" }, { "−", "-" }, { "…", "..." }, { "λ", "lambda" },
    { "“", "\"" }, { "”", "\"" }, { "’", "'" }, { "‘", "'" },
  };
  g_autofree char *valid = NULL;
  g_autoptr (GString) string = NULL;
  char *ascii;

  if (text == NULL)
    return NULL;

  valid = g_utf8_make_valid (text, -1);
  string = g_string_new (valid);
  for (gsize i = 0; i < G_N_ELEMENTS (spelt); i++)
    g_string_replace (string, spelt[i].from, spelt[i].to, 0);

  ascii = g_str_to_ascii (string->str, "C");
  for (char *c = ascii; *c != '\0'; c++)
    if (!g_ascii_isprint (*c))
      *c = ' ';

  return ascii;
}

/* Pads to a card, or cuts: only a comment can be too long. */
static void
append_card (FilCards   *cards,
             const char *text)
{
  gsize length = MIN (strlen (text), FIL_CARD_LENGTH);

  g_string_append_len (cards->text, text, (gssize) length);
  for (; length < FIL_CARD_LENGTH; length++)
    g_string_append_c (cards->text, ' ');
}

static void
append_number (FilCards   *cards,
               const char *keyword,
               const char *value,
               const char *comment)
{
  g_autofree char *card = g_strdup_printf ("%-8s= %20s / %s", keyword, value, comment);

  append_card (cards, card);
}

void
fil_cards_add_bool (FilCards   *cards,
                    const char *keyword,
                    gboolean    value,
                    const char *comment)
{
  append_number (cards, keyword, value ? "T" : "F", comment);
}

void
fil_cards_add_int (FilCards   *cards,
                   const char *keyword,
                   gint64      value,
                   const char *comment)
{
  char text[24];

  g_snprintf (text, sizeof text, "%" G_GINT64_FORMAT, value);
  append_number (cards, keyword, text, comment);
}

/* The shortest text that reads back as the same number, with a point. */
static void
format_double (double value,
               char   text[G_ASCII_DTOSTR_BUF_SIZE])
{
  for (int digits = 15; digits <= 17; digits++)
    {
      char format[8];

      g_snprintf (format, sizeof format, "%%.%dG", digits);
      g_ascii_formatd (text, G_ASCII_DTOSTR_BUF_SIZE, format, value);
      if (g_ascii_strtod (text, NULL) == value)
        break;
    }
  if (strpbrk (text, ".E") == NULL)
    g_strlcat (text, ".0", G_ASCII_DTOSTR_BUF_SIZE);
}

void
fil_cards_add_double (FilCards   *cards,
                      const char *keyword,
                      double      value,
                      const char *comment)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  if (!isfinite (value))
    return;

  format_double (value, text);
  append_number (cards, keyword, text, comment);
}

/* Takes characters off @rest until @room is full; a quote counts twice. */
static GString *
take_piece (const char **rest,
            gsize        room)
{
  GString *piece = g_string_new (NULL);

  for (; **rest != '\0'; (*rest)++)
    {
      gsize needed = **rest == '\'' ? 2 : 1;

      if (piece->len + needed > room)
        break;
      g_string_append (piece, **rest == '\'' ? "''" : ((char[]) { **rest, '\0' }));
    }

  return piece;
}

static void
append_long_string (FilCards   *cards,
                    const char *keyword,
                    const char *value,
                    const char *comment)
{
  const gsize last_room = FIL_CARD_LENGTH - 10 - 2 - 3 - MIN (strlen (comment), 40);
  g_autofree char *head = g_strdup_printf ("%-8s= ", keyword);
  const char *rest = value;
  gboolean done = FALSE;

  for (gboolean first = TRUE; !done; first = FALSE)
    {
      const char *begin = rest;
      g_autoptr (GString) piece = take_piece (&rest, first ? STRING_ROOM : last_room);
      g_autofree char *card = NULL;

      done = !first && *rest == '\0';
      if (!first && !done)
        {
          g_string_free (g_steal_pointer (&piece), TRUE);
          rest = begin;
          piece = take_piece (&rest, STRING_ROOM);
        }
      card = done ? g_strdup_printf ("CONTINUE  '%s' / %s", piece->str, comment)
                  : g_strdup_printf ("%s'%s&'", first ? head : "CONTINUE  ", piece->str);
      append_card (cards, card);
    }
}

/* Where value and comment don't fit one card together, CONTINUE takes over. */
void
fil_cards_add_string (FilCards   *cards,
                      const char *keyword,
                      const char *value,
                      const char *comment)
{
  g_autofree char *ascii = fil_cards_to_ascii (value);
  g_autoptr (GString) quoted = NULL;
  g_autofree char *card = NULL;
  const char *rest = ascii;

  if (ascii == NULL)
    return;

  g_strchomp (ascii);
  quoted = take_piece (&rest, STRING_ROOM + 1);
  card = g_strdup_printf ("%-8s= '%-8s'%*s / %s", keyword, quoted->str,
                          (int) (18 - CLAMP (quoted->len, 8, 18)), "", comment);
  if (*rest == '\0' && strlen (card) <= FIL_CARD_LENGTH)
    append_card (cards, card);
  else
    append_long_string (cards, keyword, ascii, comment);
}

void
fil_cards_add_comment (FilCards   *cards,
                       const char *text)
{
  g_autofree char *ascii = fil_cards_to_ascii (text);
  const gsize room = FIL_CARD_LENGTH - 10;

  for (gsize at = 0; at == 0 || at < strlen (ascii); at += room)
    {
      g_autofree char *card = g_strdup_printf ("COMMENT   %.*s", (int) room, ascii + at);

      append_card (cards, card);
    }
}

void
fil_cards_add_blank (FilCards *cards,
                     guint     n)
{
  for (guint i = 0; i < n; i++)
    append_card (cards, "");
}

static gboolean
is_blank (const FilCards *cards,
          guint           index)
{
  return strspn (cards->text->str + (gsize) index * FIL_CARD_LENGTH, " ") >= FIL_CARD_LENGTH;
}

/* Blank cards are kept at the end alone. Returns: the first one's index. */
static guint
count_written (const FilCards *cards)
{
  guint n = fil_cards_count (cards);

  while (n > 0 && is_blank (cards, n - 1))
    n--;

  return n;
}

/**
 * fil_cards_put:
 * @cards: a header
 * @new_cards: cards with one-card values
 * @after: the keyword behind which new ones go, %NULL: at the end
 *
 * Replaces the cards of the same keywords; those not there yet take the place
 * of blank ones, so that the header keeps its length.
 *
 * Returns: %FALSE where there are too few blank cards
 */
gboolean
fil_cards_put (FilCards       *cards,
               const FilCards *new_cards,
               const char     *after)
{
  const guint n = fil_cards_count (new_cards);
  int place = after != NULL ? fil_cards_find (cards, after) : -1;

  for (guint i = 0; i < n; i++)
    {
      const char *card = new_cards->text->str + (gsize) i * FIL_CARD_LENGTH;
      g_autofree char *keyword = g_strchomp (g_strndup (card, 8));
      int found = fil_cards_find (cards, keyword);
      gsize at;

      if (found >= 0)
        {
          g_string_overwrite_len (cards->text, (gsize) found * FIL_CARD_LENGTH,
                                  card, FIL_CARD_LENGTH);
          continue;
        }
      if (count_written (cards) == fil_cards_count (cards))
        return FALSE;
      g_string_truncate (cards->text, cards->text->len - FIL_CARD_LENGTH);
      at = (gsize) (place >= 0 ? (guint) ++place : count_written (cards)) * FIL_CARD_LENGTH;
      g_string_insert_len (cards->text, (gssize) at, card, FIL_CARD_LENGTH);
    }

  return TRUE;
}

/* Returns: the header with END, filled up to whole blocks */
GString *
fil_cards_finish (const FilCards *cards)
{
  GString *text = g_string_new_len (cards->text->str, (gssize) cards->text->len);

  g_string_append_printf (text, "%-80s", "END");
  while (text->len % FIL_FITS_BLOCK != 0)
    g_string_append_c (text, ' ');

  return text;
}

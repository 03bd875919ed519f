/* fil-cards.h: the cards of one FITS header
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_FITS_BLOCK 2880
#define FIL_CARD_LENGTH 80

/**
 * FilCards:
 *
 * A header's cards, one after the other, 80 ASCII characters each, END and
 * the filling after it left out. Belongs to one thread.
 */
typedef struct
{
  GString *text;
} FilCards;

FilCards   *fil_cards_new         (void);
FilCards   *fil_cards_new_from    (const char      *text,
                                   gsize            length);
void        fil_cards_free        (FilCards        *cards);
guint       fil_cards_count       (const FilCards  *cards);

/* Building: fil-cards.c. NULL, NaN and infinity add nothing. */
void        fil_cards_add_bool    (FilCards        *cards,
                                   const char      *keyword,
                                   gboolean         value,
                                   const char      *comment);
void        fil_cards_add_int     (FilCards        *cards,
                                   const char      *keyword,
                                   gint64           value,
                                   const char      *comment);
void        fil_cards_add_double  (FilCards        *cards,
                                   const char      *keyword,
                                   double           value,
                                   const char      *comment);
void        fil_cards_add_string  (FilCards        *cards,
                                   const char      *keyword,
                                   const char      *value,
                                   const char      *comment);
void        fil_cards_add_comment (FilCards        *cards,
                                   const char      *text);
void        fil_cards_add_blank   (FilCards        *cards,
                                   guint            n);
gboolean    fil_cards_put         (FilCards        *cards,
                                   const FilCards  *new_cards,
                                   const char      *after);
GString    *fil_cards_finish      (const FilCards  *cards);
char       *fil_cards_to_ascii    (const char      *text);

/* Looking up: fil-cards-lookup.c. */
int         fil_cards_find        (const FilCards  *cards,
                                   const char      *keyword);
gboolean    fil_cards_get_bool    (const FilCards  *cards,
                                   const char      *keyword,
                                   gboolean        *value);
gboolean    fil_cards_get_int     (const FilCards  *cards,
                                   const char      *keyword,
                                   gint64          *value);
gboolean    fil_cards_get_double  (const FilCards  *cards,
                                   const char      *keyword,
                                   double          *value);
char       *fil_cards_dup_value   (const FilCards  *cards,
                                   const char      *keyword);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilCards, fil_cards_free)

G_END_DECLS

/* test-datasum.c: the FITS checksum against the Standard's worked example
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include <fitsio.h>
#include <glib.h>

#include "fil-datasum.h"

static void
test_standard_example (void)
{
  char code[FIL_DATASUM_CODE_LENGTH + 1];

  /* FITS Standard 4.0, appendix J: 868229149 is encoded so. */
  fil_datasum_encode (868229149, code);
  g_assert_cmpstr (code, ==, "hcHjjc9ghcEghc9g");
}

static void
test_encode_against_cfitsio (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (1);

  for (int i = 0; i < 20000; i++)
    {
      guint32 sum = i < 3 ? (guint32[]) { 0, 1, G_MAXUINT32 }[i] : g_rand_int (rand);
      char code[FIL_DATASUM_CODE_LENGTH + 1], reference[FIL_DATASUM_CODE_LENGTH + 1];

      fil_datasum_encode (sum, code);
      fits_encode_chksum (sum, TRUE, reference);
      g_assert_cmpstr (code, ==, reference);
    }
}

/* Sixteen-bit halves with carries, one word at a time, as the Standard's text
 * describes it. */
static guint32
sum_by_the_book (const guint8 *data,
                 gsize         length)
{
  guint32 high = 0, low = 0;

  for (gsize i = 0; i + 4 <= length; i += 4)
    {
      guint32 carry_high, carry_low;

      high += (guint32) (data[i] << 8 | data[i + 1]);
      low += (guint32) (data[i + 2] << 8 | data[i + 3]);
      while ((carry_high = high >> 16) | (carry_low = low >> 16))
        {
          high = (high & 0xffff) + carry_low;
          low = (low & 0xffff) + carry_high;
        }
    }

  return high << 16 | low;
}

static void
test_pieces_make_no_difference (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (2);
  const gsize length = 100 * 2880;
  g_autofree guint8 *data = g_malloc (length);

  for (gsize i = 0; i < length; i++)
    data[i] = (guint8) (i % 7 == 0 ? 0xff : g_rand_int (rand));

  for (int turn = 0; turn < 200; turn++)
    {
      FilDatasum datasum = { 0 };

      for (gsize at = 0; at < length;)
        {
          gsize wanted = (gsize) g_rand_int_range (rand, 0, 2 << (turn % 17));
          gsize step = MIN (length - at, wanted);

          fil_datasum_add (&datasum, data + at, step);
          at += step;
        }
      g_assert_cmpuint (fil_datasum_get (&datasum), ==, sum_by_the_book (data, length));
    }
}

static void
test_unsigned_image (void)
{
  /* Values 0, 1, 32767, 32768, 65534, 65535 less 32768, in a block of zeros.
   * Source: cfitsio 4.2.0 fits_write_chksum() on that image, which this test
   * repeats through the word-by-word sum above. */
  static const guint8 stored[] = { 0x80, 0x00, 0x80, 0x01, 0xff, 0xff,
                                   0x00, 0x00, 0x7f, 0xfe, 0x7f, 0xff };
  guint8 block[2880] = { 0 };
  FilDatasum datasum = { 0 };

  memcpy (block, stored, sizeof stored);
  fil_datasum_add (&datasum, block, sizeof block);
  g_assert_cmpuint (fil_datasum_get (&datasum), ==, 4294836225u);
  g_assert_cmpuint (sum_by_the_book (block, sizeof block), ==, 4294836225u);
}

static void
test_beyond_32_bits (void)
{
  /* 3 GiB of ones: every word is −0, and so is their sum. */
  const gsize length = 1 << 20;
  g_autofree guint8 *data = g_malloc (length);
  FilDatasum datasum = { 0 };

  memset (data, 0xff, length);
  for (int i = 0; i < 3 * 1024; i++)
    fil_datasum_add (&datasum, data, length);
  g_assert_cmpuint (fil_datasum_get (&datasum), ==, G_MAXUINT32);
  g_assert_cmpuint (datasum.bytes, ==, G_GUINT64_CONSTANT (3) << 30);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/datasum/standard-example", test_standard_example);
  g_test_add_func ("/datasum/encode-against-cfitsio", test_encode_against_cfitsio);
  g_test_add_func ("/datasum/pieces-make-no-difference", test_pieces_make_no_difference);
  g_test_add_func ("/datasum/unsigned-image", test_unsigned_image);
  g_test_add_func ("/datasum/beyond-32-bits", test_beyond_32_bits);

  return g_test_run ();
}

/* fil-datasum.c: the checksum of the FITS Standard, piece by piece
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: FITS Standard 4.0, section 4.4.2.7 and appendix J: the data are
 * summed as big-endian 32-bit words in ones' complement arithmetic. */

#include <string.h>

#if defined (__x86_64__)
#include <immintrin.h>
#endif

#include "fil-datasum.h"

static guint64
sum_words_plain (const guint8 *data,
                 gsize         n_words)
{
  guint64 sum = 0;

  for (gsize i = 0; i < n_words; i++)
    {
      guint32 word;

      memcpy (&word, data + 4 * i, sizeof word);
      sum += GUINT32_FROM_BE (word);
    }

  return sum;
}

#if defined (__x86_64__)
/* The same, eight words at a time: swap the bytes of each word, add the even
 * and the odd ones into 64-bit lanes. */
__attribute__ ((target ("avx2"))) static guint64
sum_words_avx2 (const guint8 *data,
                gsize         n_words)
{
  const __m256i swap = _mm256_setr_epi8 (3, 2, 1, 0, 7, 6, 5, 4, 11, 10, 9, 8, 15, 14, 13, 12,
                                         3, 2, 1, 0, 7, 6, 5, 4, 11, 10, 9, 8, 15, 14, 13, 12);
  const __m256i low = _mm256_set1_epi64x (0xffffffff);
  __m256i even = _mm256_setzero_si256 (), odd = _mm256_setzero_si256 ();
  guint64 lanes[4];
  gsize i = 0;

  for (; i + 8 <= n_words; i += 8)
    {
      __m256i words = _mm256_loadu_si256 ((const __m256i *) (const void *) (data + 4 * i));

      words = _mm256_shuffle_epi8 (words, swap);
      even = _mm256_add_epi64 (even, _mm256_and_si256 (words, low));
      odd = _mm256_add_epi64 (odd, _mm256_srli_epi64 (words, 32));
    }
  _mm256_storeu_si256 ((__m256i *) (void *) lanes, _mm256_add_epi64 (even, odd));

  return lanes[0] + lanes[1] + lanes[2] + lanes[3] +
         sum_words_plain (data + 4 * i, n_words - i);
}
#endif

static guint64
sum_words (const guint8 *data,
           gsize         n_words)
{
#if defined (__x86_64__)
  if (__builtin_cpu_supports ("avx2"))
    return sum_words_avx2 (data, n_words);
#endif
  return sum_words_plain (data, n_words);
}

/* End-around carry: what spills over the top comes back at the bottom. */
static guint64
fold (guint64 sum)
{
  sum = (sum & 0xffffffff) + (sum >> 32);

  return (sum & 0xffffffff) + (sum >> 32);
}

static void
add_bytes (FilDatasum   *datasum,
           const guint8 *data,
           gsize         length)
{
  for (gsize i = 0; i < length; i++)
    {
      datasum->sum += (guint64) data[i] << (24 - 8 * (datasum->bytes & 3));
      datasum->bytes++;
    }
  datasum->sum = fold (datasum->sum);
}

/**
 * fil_datasum_add:
 * @datasum: a running sum
 * @data: (array length=length): the next bytes
 * @length: any number of them, not only whole words
 *
 * Thread-safe for different sums.
 */
void
fil_datasum_add (FilDatasum   *datasum,
                 const guint8 *data,
                 gsize         length)
{
  const gsize piece_words = (gsize) 1 << 28;   /* so that 64 bits can't overflow */
  gsize head;

  g_return_if_fail (datasum != NULL && (data != NULL || length == 0));

  head = MIN (length, (gsize) (-datasum->bytes & 3));
  add_bytes (datasum, data, head);
  data += head;
  length -= head;

  while (length >= 4)
    {
      gsize n_words = MIN (length / 4, piece_words);

      datasum->sum = fold (datasum->sum + fold (sum_words (data, n_words)));
      datasum->bytes += 4 * n_words;
      data += 4 * n_words;
      length -= 4 * n_words;
    }

  add_bytes (datasum, data, length);
}

/* Returns: the sum so far; a last incomplete word counts as if zeros followed */
guint32
fil_datasum_get (const FilDatasum *datasum)
{
  g_return_val_if_fail (datasum != NULL, 0);

  return (guint32) fold (datasum->sum);
}

/* Returns: the sum of two blocks that both begin at a whole word */
guint32
fil_datasum_join (guint32 a,
                  guint32 b)
{
  return (guint32) fold ((guint64) a + b);
}

static gboolean
is_punctuation (int c)
{
  return (c >= 0x3a && c <= 0x40) || (c >= 0x5b && c <= 0x60);
}

/* One byte as four letters or digits whose offsets from '0' add up to it. */
static void
encode_byte (guint8 byte,
             int    letters[4])
{
  gboolean again;

  for (int i = 0; i < 4; i++)
    letters[i] = byte / 4 + '0';
  letters[0] += byte % 4;

  do
    {
      again = FALSE;
      for (int i = 0; i < 4; i += 2)
        if (is_punctuation (letters[i]) || is_punctuation (letters[i + 1]))
          {
            letters[i]++;
            letters[i + 1]--;
            again = TRUE;
          }
    }
  while (again);
}

/**
 * fil_datasum_encode:
 * @sum: of a whole header and data unit whose CHECKSUM card holds sixteen '0'
 * @code: (out): sixteen letters and digits for that card; with them in its
 *   place, the unit sums to −0 (all bits set)
 *
 * Source: FITS Standard 4.0, appendix J.
 */
void
fil_datasum_encode (guint32 sum,
                    char    code[FIL_DATASUM_CODE_LENGTH + 1])
{
  const guint32 complement = ~sum;

  for (int i = 0; i < 4; i++)
    {
      int letters[4];

      encode_byte ((guint8) (complement >> (24 - 8 * i)), letters);
      /* The card's string begins at the last byte of a word: one place on. */
      for (int j = 0; j < 4; j++)
        code[(4 * j + i + 1) % 16] = (char) letters[j];
    }
  code[FIL_DATASUM_CODE_LENGTH] = '\0';
}

/* test-cli-time.c: moments as they are typed, and a clock that was never set
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "cli.h"
#include "fil-sun.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)

/* Seconds since 1970 from `date -u -d TEXT +%s` (GNU coreutils 9.1). */
static void
test_forms (void)
{
  static const struct { const char *text; gint64 utc_s; gint64 ns; } cases[] = {
    { "2026-06-21", 1782000000, 0 },
    { "2026-06-21T09:30", 1782034200, 0 },
    { "2026-06-21T09:30:15.25Z", 1782034215, 250000000 },
    { "2026-06-21t09:30:15,000000001z", 1782034215, 1 },
    { "2026-06-21 09:30:15+02:00", 1782027015, 0 },
    { "2026-06-21T09:30:15-0930", 1782068415, 0 },
    { "2026-06-21T09:30:15+05", 1782016215, 0 },
    { "2024-02-29T23:59:59", 1709251199, 0 },
    { "1969-12-31T23:59:59.5", -1, 500000000 },
    { "1900-01-01", -2208988800, 0 },
    { "2099-12-31T23:59:59", 4102444799, 0 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      gint64 utc_ns = 0;

      g_test_message ("%s", cases[i].text);
      g_assert_true (fil_cli_parse_time (cases[i].text, &utc_ns, &error));
      g_assert_no_error (error);
      g_assert_cmpint (utc_ns, ==, cases[i].utc_s * NS_PER_S + cases[i].ns);
    }
}

static void
test_refused (void)
{
  static const char *const cases[] = {
    "", "2026", "2026-06", "2026-06-31", "2026-00-10", "2026-06-00", "2025-02-29", "20260621",
    "2026-06-21T", "2026-06-21T9:30", "2026-06-21T09:30:", "2026-06-21T09:30:15.", "2026-06-21T25:00",
    "2026-06-21T09:30+24:00", "2026-06-21T09:30+01:60", "2026-06-21T09:30+01:", "2026-06-21T09:30ZZ",
    " 2026-06-21", "2026-06-21 ", "2026-06-21T09:30:60", "1899-12-31", "2100-01-01", "\xff\xfe",
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      gint64 utc_ns = 77;

      g_test_message ("case %u", i);
      g_assert_false (fil_cli_parse_time (cases[i], &utc_ns, &error));
      g_assert_error (error, G_OPTION_ERROR, G_OPTION_ERROR_BAD_VALUE);
      g_assert_cmpint (utc_ns, ==, 77);
    }
}

static void
test_clock (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_cli_check_clock (G_GINT64_CONSTANT (1577836800) * NS_PER_S, NULL));
  g_assert_false (fil_cli_check_clock (G_GINT64_CONSTANT (1577836799) * NS_PER_S, &error));
  g_assert_error (error, FIL_SUN_ERROR, FIL_SUN_ERROR_TIME);
  g_assert_nonnull (g_strstr_len (error->message, -1, "2019-12-31"));
  g_assert_false (fil_cli_check_clock (0, NULL));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/cli-time/forms", test_forms);
  g_test_add_func ("/cli-time/refused", test_refused);
  g_test_add_func ("/cli-time/clock", test_clock);

  return g_test_run ();
}

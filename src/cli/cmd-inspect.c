/* cmd-inspect.c: what a clip holds
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-clip.h"

extern const FilCommand fil_command_inspect;

static const char *const checksum_words[] = {
  [FIL_CHECKSUM_OK] = "ok", [FIL_CHECKSUM_BAD] = "bad", [FIL_CHECKSUM_ABSENT] = "absent",
};

static const char *
get_begin (FilClip *clip)
{
  const char *begin = fil_clip_get_card (clip, "DATE-BEG");

  return begin != NULL ? begin : fil_clip_get_card (clip, "DATE-OBS");
}

static double
get_number (FilClip    *clip,
            const char *keyword)
{
  double value;

  return fil_clip_get_card_double (clip, keyword, &value) ? value : NAN;
}

/* What is observed, and how it lies on the sky. */
static void
add_place (JsonBuilder *builder,
           FilClip     *clip)
{
  fil_cli_json_string (builder, "target", fil_clip_get_card (clip, "OBJECT"));
  fil_cli_json_number (builder, "position_angle_deg", get_number (clip, "POSANGLE"));
  fil_cli_json_string (builder, "angle", fil_clip_get_card (clip, "WCSANGLE"));
  fil_cli_json_number (builder, "patch_latitude_deg", get_number (clip, "HGLT"));
  fil_cli_json_number (builder, "patch_longitude_deg", get_number (clip, "HGLN"));
}

static void
print_json (FilClip    *clip,
            FilChecksum checksum)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autofree char *end = fil_clip_dup_date_end (clip);
  guint64 lost, gaps;

  json_builder_begin_object (builder);
  fil_cli_json_int (builder, "frames", (gint64) fil_clip_get_n_frames (clip));
  fil_cli_json_int (builder, "width", fil_clip_get_width (clip));
  fil_cli_json_int (builder, "height", fil_clip_get_height (clip));
  fil_cli_json_int (builder, "bits", fil_clip_get_depth (clip).bits);
  fil_cli_json_string (builder, "pattern", fil_pattern_to_string (fil_clip_get_pattern (clip)));
  fil_cli_json_bool (builder, "complete", fil_clip_is_complete (clip));
  fil_cli_json_string (builder, "checksum", checksum_words[checksum]);
  fil_cli_json_bool (builder, "raw", fil_clip_is_raw (clip));
  fil_cli_json_string (builder, "date_beg", get_begin (clip));
  fil_cli_json_string (builder, "date_end", end);
  fil_cli_json_number (builder, "fps", fil_clip_get_fps (clip));
  if (fil_clip_get_losses (clip, &lost, &gaps))
    {
      fil_cli_json_int (builder, "lost", (gint64) lost);
      fil_cli_json_int (builder, "source_gaps", (gint64) gaps);
    }
  else
    {
      fil_cli_json_number (builder, "lost", NAN);
      fil_cli_json_number (builder, "source_gaps", NAN);
    }
  fil_cli_json_string (builder, "rig", fil_clip_get_card (clip, "TELESCOP"));
  fil_cli_json_string (builder, "source", fil_clip_get_card (clip, "SOURCE"));
  fil_cli_json_string (builder, "filter_confirmed", fil_clip_get_card (clip, "GATECONF"));
  add_place (builder, clip);
  json_builder_end_object (builder);
  fil_cli_json_print (builder);
}

/* A label, and its text where there is one. */
static void
print_line (const char *label,
            const char *text)
{
  int width = 14 - (int) g_utf8_strlen (label, -1);

  if (text != NULL && text[0] != '\0')
    printf ("%s%*s %s\n", label, MAX (width, 0), "", text);
}

static void
print_picture (FilClip    *clip,
               FilChecksum checksum)
{
  static const char *const checksum_texts[] = {
    [FIL_CHECKSUM_OK] = N_("checksums agree"), [FIL_CHECKSUM_BAD] = N_("CHECKSUMS DON’T AGREE"),
    [FIL_CHECKSUM_ABSENT] = N_("no checksums"),
  };
  g_autofree char *picture = NULL, *state = NULL;

  picture = g_strdup_printf (_("%" PRIu64 " frames of %d × %d pixels, %d bits, %s, %s"),
                             fil_clip_get_n_frames (clip), fil_clip_get_width (clip),
                             fil_clip_get_height (clip), fil_clip_get_depth (clip).bits,
                             fil_pattern_to_string (fil_clip_get_pattern (clip)),
                             fil_clip_is_raw (clip) ? _("raw counts")
                                                    : _("not raw: no photometry"));
  print_line (_("Picture"), picture);
  state = g_strdup_printf ("%s, %s",
                           fil_clip_is_complete (clip)
                             ? _("complete")
                             : _("interrupted; its whole frames are usable"),
                           _(checksum_texts[checksum]));
  print_line (_("State"), state);
}

static void
print_times (FilClip *clip)
{
  g_autofree char *end = fil_clip_dup_date_end (clip);
  g_autofree char *rate = NULL, *losses = NULL;
  double fps = fil_clip_get_fps (clip);
  guint64 lost, gaps;

  print_line (_("Begins"), get_begin (clip));
  print_line (_("Ends"), end);
  if (isfinite (fps))
    rate = g_strdup_printf (_("%.4g frames a second"), fps);
  print_line (_("Rate"), rate);
  if (fil_clip_get_losses (clip, &lost, &gaps))
    losses = g_strdup_printf (_("%" PRIu64 " while recording, %" PRIu64
                                " left out by the source"), lost, gaps);
  print_line (_("Lost"), losses);
}

/* A number's card with its unit. */
static void
print_number (FilClip    *clip,
              const char *label,
              const char *keyword,
              const char *format)
{
  g_autofree char *text = NULL;
  double value;
  char number[G_ASCII_DTOSTR_BUF_SIZE];

  if (!fil_clip_get_card_double (clip, keyword, &value))
    return;

  g_ascii_formatd (number, sizeof number, "%.6g", value);
  text = g_strconcat (number, format, NULL);
  print_line (label, text);
}

static void
print_instrument (FilClip *clip)
{
  g_autoptr (GPtrArray) lines = fil_clip_dup_light_path (clip);
  const char *confirmed = fil_clip_get_card (clip, "GATECONF");
  const char *date = fil_clip_get_card (clip, "GATEDATE");
  g_autofree char *gate = NULL;

  print_line (_("Source"), fil_clip_get_card (clip, "SOURCE"));
  print_line (_("Camera"), fil_clip_get_card (clip, "DETECTOR"));
  print_line (_("Rig"), fil_clip_get_card (clip, "TELESCOP"));
  print_line (_("Observer"), fil_clip_get_card (clip, "OBSERVER"));
  for (guint i = 0; i < lines->len; i++)
    print_line (i == 0 ? _("Light path") : "", g_ptr_array_index (lines, i));
  if (confirmed != NULL)
    gate = date != NULL ? g_strdup_printf ("%s (%s)", confirmed, date) : g_strdup (confirmed);
  print_line (_("Confirmed"), gate);
  print_number (clip, _("Exposure"), "XPOSURE", " s");
  print_number (clip, _("Gain"), "DETGAIN", "");
  print_number (clip, _("Scale"), "PXSCALE", " ″/px");
}

/* "12.3° ± 0.1°", or without an error where none is known. */
static char *
format_angle (double value_deg,
              double error_deg)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE], error[G_ASCII_DTOSTR_BUF_SIZE];

  g_ascii_formatd (number, sizeof number, "%.2f", value_deg);
  if (!isfinite (error_deg))
    return g_strdup_printf ("%s°", number);

  return g_strdup_printf ("%s° ± %s°", number,
                          g_ascii_formatd (error, sizeof error, "%.2g", error_deg));
}

/* The angle of the picture's up, and where on the Sun the patch lies. */
static void
print_place (FilClip *clip)
{
  const char *angle = fil_clip_get_card (clip, "WCSANGLE");
  double latitude_deg = get_number (clip, "HGLT");
  g_autofree char *up = NULL, *north = NULL, *west = NULL, *patch = NULL;

  print_line (_("Target"), fil_clip_get_card (clip, "OBJECT"));
  if (angle != NULL && g_str_equal (angle, "measured"))
    up = format_angle (get_number (clip, "POSANGLE"), get_number (clip, "ANGLERR"));
  else if (angle != NULL)
    up = g_strdup (_("nominal, not measured"));
  print_line (_("Angle"), up);
  if (!isfinite (latitude_deg))
    return;
  north = format_angle (latitude_deg, get_number (clip, "HGLTERR"));
  west = format_angle (get_number (clip, "HGLN"), get_number (clip, "HGLNERR"));
  patch = g_strdup_printf (_("latitude %s, longitude %s (+ west)"), north, west);
  print_line (_("Patch"), patch);
}

static void
print_sun (FilClip *clip)
{
  print_number (clip, _("Sun: P"), "SOLAR_P0", "°");
  print_number (clip, _("Sun: B0"), "HGLT_OBS", "°");
  print_number (clip, _("Sun: L0"), "CRLN_OBS", "°");
  print_number (clip, _("Sun: radius"), "RSUN_OBS", "″");
  print_number (clip, _("Sun: altitude"), "ELEV_ANG", "°");
}

static int
run (int    argc,
     char **argv)
{
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &json, N_("print one JSON object"), NULL },
    G_OPTION_ENTRY_NULL,
  };
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;
  FilChecksum checksum;
  int status;

  if (!fil_cli_parse (&fil_command_inspect, entries, &argc, &argv, 1, 1, &status))
    return status;

  clip = fil_clip_open (argv[1], &error);
  if (clip == NULL)
    return fil_cli_fail (argv[1], error);

  checksum = fil_clip_verify (clip);
  if (json)
    print_json (clip, checksum);
  else
    {
      puts (argv[1]);
      print_picture (clip, checksum);
      print_times (clip);
      print_instrument (clip);
      print_place (clip);
      print_sun (clip);
    }

  return FIL_EXIT_DONE;
}

const FilCommand fil_command_inspect = {
  "inspect", "CLIP", N_("tell what a clip holds"), run
};

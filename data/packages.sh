# shellcheck shell=bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The Debian 12 packages that Filigree needs, and how the scripts get them.
# Sourced by data/demo/run and tests/run: one list for both.
# shellcheck disable=SC2034  # the lists are for whoever sources this

# To build it.
packages_build=(
  gcc libc6-dev meson ninja-build pkg-config python3 gettext
  gtk-update-icon-cache desktop-file-utils
  libglib2.0-dev libgudev-1.0-dev libjson-glib-dev
  libgtk-4-dev libadwaita-1-dev libgsound-dev libgstreamer1.0-dev
  libcfitsio-dev liberfa-dev wcslib-dev libfftw3-dev
  libpng-dev libjpeg-dev
)

# To use it: what the libraries above don't bring along.
packages_run=(
  gstreamer1.0-plugins-base gstreamer1.0-plugins-good
  adwaita-icon-theme sound-theme-freedesktop librsvg2-common fonts-dejavu-core shared-mime-info
)

# To look at a window where there is no display.
packages_headless=(
  xvfb xauth xdotool imagemagick dbus-daemon
)

# To test it: references from outside, sanitizers, the emulated machine.
packages_test=(
  git python3-numpy python3-scipy python3-astropy python3-sunpy
  python3-opencv python3-erfa python3-ephem
  fitsverify wcslib-tools appstream groff-base locales
  at-spi2-core python3-pyatspi gir1.2-gtk-4.0
  clang llvm libclang-rt-14-dev
  qemu-system-x86 busybox-static cpio kmod v4l-utils
)

# Prints those of its arguments that aren't installed.
packages_missing () {
  local package state

  for package in "$@"; do
    state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
    [ "$state" = installed ] || printf '%s\n' "$package"
  done
}

# Installs what is missing, as root or by sudo; says what. The lists of apt
# are fetched only where something is missing.
packages_install () {
  local missing as_root=()

  mapfile -t missing < <(packages_missing "$@")
  if [ ${#missing[@]} -eq 0 ]; then
    echo "All $# Debian packages needed are installed."
    return 0
  fi

  echo "Missing ${#missing[@]} of $# Debian packages: ${missing[*]}"
  if ! command -v apt-get >/dev/null; then
    echo "This is no Debian system: install the like of these packages, then try again." >&2
    return 1
  fi
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      echo "Neither root nor sudo here. As root: apt-get install ${missing[*]}" >&2
      return 1
    fi
    as_root=(sudo)
  fi

  echo "Installing them with apt-get; this needs the network."
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -q </dev/null &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
      apt-get install -q -y --no-install-recommends "${missing[@]}" </dev/null
}

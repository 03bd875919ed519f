# shellcheck shell=bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Completion for filigree-cli.

_filigree_cli () {
  local current=${COMP_WORDS[COMP_CWORD]}
  local previous=${COMP_WORDS[COMP_CWORD-1]}
  local commands='help cameras optics sun gate record inspect mend measure drift bench'
  local options=

  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    mapfile -t COMPREPLY < <(compgen -W "$commands --version --help" -- "$current")
    return
  fi

  case $previous in
    --source)
      mapfile -t COMPREPLY < <(compgen -W "$(echo /dev/video[0-9]*) sim:" -- "$current"
                               compgen -f -- "$current")
      return
      ;;
    --rig|--out|--dir)
      compopt -o filenames 2>/dev/null
      mapfile -t COMPREPLY < <(compgen -f -- "$current")
      return
      ;;
    --time|--site|--frames|--seconds|--roi|--patch|--format|--size|--fps|--exposure-ms|--gain|--queue-mib)
      return
      ;;
  esac

  case ${COMP_WORDS[1]} in
    help) options=$commands ;;
    cameras|inspect|mend) options='--json --help' ;;
    optics) options='--time --r0-mm --wind-m-s --json --help' ;;
    sun) options='--time --site --rig --json --help' ;;
    gate) options='--rig --source --help' ;;
    record)
      options='--source --rig --frames --seconds --roi --format --size --fps --exposure-ms
               --gain --queue-mib --loop --out --force --json --help'
      ;;
    measure) options='--patch --rig --json --help' ;;
    drift) options='--rig --time --fps --json --help' ;;
    bench) options='--rig --dir --json --help' ;;
  esac

  mapfile -t COMPREPLY < <(compgen -W "$options" -- "$current")
  if [ "${COMP_WORDS[1]}" != help ] && [[ $current != -* ]]; then
    compopt -o filenames 2>/dev/null
    mapfile -t -O ${#COMPREPLY[@]} COMPREPLY < <(compgen -f -- "$current")
  fi
}

complete -F _filigree_cli filigree-cli

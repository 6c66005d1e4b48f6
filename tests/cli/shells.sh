# SPDX-License-Identifier: GPL-3.0-or-later
# The completions do complete, in each shell that is there.
set -u
[ -x ./pourclock ] || exit 77 # built without it
passed=0
failed=0
skipped=0
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
expect() { # expect SHELL WANTED GOT
    if printf '%s\n' "$3" | grep -qxF -e "$2"; then
        passed=$((passed + 1))
    else
        echo "FAIL: $1: expected $2 among: $3"
        failed=$((failed + 1))
    fi
}
for shell in bash zsh fish; do
    ./pourclock completions $shell >"$work/$shell" || exit 1
done
cat >"$work/ask.bash" <<'END'
. "$1"
shift
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
_pourclock
printf '%s\n' "${COMPREPLY[@]}"
END
if command -v bash >/dev/null 2>&1; then
    expect bash schedule "$(bash "$work/ask.bash" "$work/bash" pourclock sch)"
    expect bash --film "$(bash "$work/ask.bash" "$work/bash" pourclock resin --fi)"
    expect bash metric "$(bash "$work/ask.bash" "$work/bash" pourclock schedule --units m)"
    expect bash hand "$(bash "$work/ask.bash" "$work/bash" pourclock schedule --method h)"
else
    skipped=$((skipped + 1))
fi
if command -v fish >/dev/null 2>&1; then
    ask_fish() {
        HOME=$work XDG_CONFIG_HOME=$work fish -c "source $work/fish; complete -C '$1'" | cut -f1
    }
    expect fish schedule "$(ask_fish 'pourclock sch')"
    expect fish --film "$(ask_fish 'pourclock resin --fi')"
    expect fish metric "$(ask_fish 'pourclock schedule --units m')"
else
    skipped=$((skipped + 1))
fi
if command -v zsh >/dev/null 2>&1; then
    zsh -n "$work/zsh"
    expect zsh 0 $?
    # The function is called with the completion system's own functions replaced by printers.
    cat >"$work/ask.zsh" <<'END'
_arguments() { print -rl -- "$@" }
_describe() { print -rl -- "${(@)${(@P)2}%%:*}" }
words=("${(@)argv[2,-1]}")
CURRENT=$#words
source $1
END
    expect zsh schedule "$(zsh -f "$work/ask.zsh" "$work/zsh" pourclock '')"
    expect zsh "--units=[print in these units]:U:(us metric)" \
        "$(zsh -f "$work/ask.zsh" "$work/zsh" pourclock resin '')"
else
    skipped=$((skipped + 1))
fi
[ $skipped -eq 0 ] || echo "$skipped shells are not there"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 0 ]

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A locale with a decimal comma, made in a scratch folder, changes nothing that is read or said.
# Skipped (77) where such a locale cannot be made.
set -u
srcdir=$(cd "${srcdir:-.}" && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
command -v localedef >/dev/null 2>&1 && [ -d /usr/share/i18n/locales ] || {
    echo "no localedef or no locale sources: skipped"
    exit 77
}
localedef -i de_DE -f UTF-8 --no-archive "$scratch/comma" >/dev/null 2>&1 || :
[ "$(LOCPATH=$scratch LC_ALL=comma locale decimal_point 2>/dev/null)" = , ] || {
    echo "the locale cannot be made: skipped"
    exit 77
}
LOCPATH=$scratch
export LOCPATH
export POURCLOCK_SHELF="$srcdir/examples/resins"
failed=0
if [ -x tests/unit/check_locale ]; then
    POURCLOCK_COMMA_LOCALE=comma tests/unit/check_locale || failed=1
fi
tool=$(pwd)/pourclock
[ -x "$tool" ] || exit $failed # built without the command
cd "$srcdir/examples" || exit 99
alike() {
    LC_ALL=C "$tool" "$@" >"$scratch/plain" 2>&1
    before=$?
    LC_ALL=comma "$tool" "$@" >"$scratch/under" 2>&1
    after=$?
    if [ ! -s "$scratch/plain" ] || [ $before -ne $after ] || ! cmp "$scratch/plain" "$scratch/under"; then
        echo "FAIL: pourclock $* under a decimal comma"
        failed=1
    fi
}
alike schedule otter-warm.ini --nominal
alike schedule otter-warm.ini --nominal --json
alike schedule --area 210sqin --wall 2,5mm --resin fast-urethane
alike resin fast-urethane --at 64.5F --mass 0.25kg --json
alike supplies otter-warm.ini
[ $failed -eq 0 ] && echo "PASS: a decimal comma changes nothing"
exit $failed

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Allocations of a command fail in turn: the command must end by itself, with an answer or with a
# message and an exit code of its own, never by a signal and never in silence. FAIL_MALLOC_MOST bounds
# how many are tried a command, spread evenly over all of them. Usage: fail_malloc.sh BUILDDIR
set -u
build=$(cd "${1:-.}" && pwd)
srcdir=$(cd "${srcdir:-.}" && pwd)
most=${FAIL_MALLOC_MOST:-60}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
${CC:-cc} -std=c11 -D_GNU_SOURCE -O1 -shared -fPIC "$srcdir/tests/fuzz/fail_malloc.c" -o "$scratch/fail.so" -ldl || exit 99
tool=$build/.libs/pourclock
[ -x "$tool" ] || tool=$build/pourclock
export LD_LIBRARY_PATH="$build/.libs"
export POURCLOCK_SHELF="$srcdir/examples/resins"
tried=0
bad=0
sweep() {
    rm -f "$scratch/count"
    FAIL_MALLOC_COUNT=$scratch/count LD_PRELOAD=$scratch/fail.so "$tool" "$@" >/dev/null 2>&1
    total=$(head -n 1 "$scratch/count")
    step=$((total / most + 1))
    at=1
    while [ "$at" -le "$total" ]; do
        FAIL_MALLOC_AT=$at LD_PRELOAD=$scratch/fail.so timeout 60 "$tool" "$@" >"$scratch/out" 2>"$scratch/err"
        code=$?
        tried=$((tried + 1))
        if [ $code -gt 4 ]; then
            echo "FAIL: $* with allocation $at of $total failing: exit $code"
            bad=$((bad + 1))
        elif [ $code -ge 2 ] && [ ! -s "$scratch/err" ]; then
            echo "FAIL: $* with allocation $at of $total failing: exit $code without a word"
            bad=$((bad + 1))
        fi
        at=$((at + step))
    done
}
cd "$srcdir/examples" || exit 99
while read -r line; do
    case $line in '#'* | '') continue ;; esac
    # shellcheck disable=SC2086
    sweep $line
done < "$srcdir/tests/fuzz/fail_malloc.txt"
echo "$tried allocations failed in turn, $bad findings"
[ "$tried" -gt 20 ] && [ "$bad" -eq 0 ]

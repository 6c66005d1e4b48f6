#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Calls that reach a file fail in turn: with an input/output error, with a full disk, interrupted,
# cut short; what must hold is told in fail_sweep.sh. Then what only a system lacks, and standard
# output that is full or closed. Usage: fail_io.sh BUILDDIR
# shellcheck source=tests/fuzz/fail_sweep.sh
. "${srcdir:-.}/tests/fuzz/fail_sweep.sh"
if grep -q __asan_init "$tool" "$build"/.libs/libpourclock.so 2>/dev/null; then
    echo "a sanitizer must be loaded first: skipped"
    exit 77
fi
compile fail_io.c
count=$scratch/count

sweep() {
    unset FAIL_IO_AT FAIL_IO_HOW FAIL_IO_NEVER FAIL_IO_COUNT
    reference "$scratch/fail.so"
    for how in 5 28 intr short; do # EIO, ENOSPC
        export FAIL_IO_COUNT="$count" FAIL_IO_HOW=$how
        unset FAIL_IO_AT
        rm -f "$count"
        once "$scratch/fail.so"
        total=$(head -n 1 "$count")
        unset FAIL_IO_COUNT
        at=1
        while [ "$at" -le "$total" ]; do
            export FAIL_IO_AT=$at
            once "$scratch/fail.so"
            judge "call $at of $total: $how"
            case $how:$code in
            intr:$reference_code | short:$reference_code) ;;
            intr:* | short:*) finding "call $at: $how" "exit $code instead of trying again" ;;
            esac
            at=$((at + 1))
        done
    done
    unset FAIL_IO_AT FAIL_IO_HOW
    # A system without files in memory, and one without /proc.
    for never in memfd_create proc; do
        export FAIL_IO_NEVER=$never
        once "$scratch/fail.so"
        judge "no $never"
        [ $code -eq $reference_code ] || finding "no $never" "exit $code"
    done
    unset FAIL_IO_NEVER
    prepare
    # shellcheck disable=SC2086
    "$tool" $words <"$input" >/dev/full 2>"$scratch/stderr"
    [ $? -eq 3 ] && [ -s "$scratch/stderr" ] || finding "standard output full" "not told"
    prepare
    # shellcheck disable=SC2086
    "$tool" $words <"$input" >&- 2>"$scratch/stderr"
    [ $? -eq 3 ] && [ -s "$scratch/stderr" ] || finding "standard output closed" "not told"
    tried=$((tried + 2))
}

sweep_list "$srcdir/tests/fuzz/fail_io.txt"
echo "$tried failures of input and output, $bad findings"
[ "$tried" -gt 100 ] && [ "$bad" -eq 0 ]

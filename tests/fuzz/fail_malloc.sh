#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Allocations of a command fail in turn; what must hold is told in fail_sweep.sh. The first
# FAIL_MALLOC_FIRST (300) allocations of each command fail one by one; of the rest FAIL_MALLOC_MOST
# (60) spread evenly, for a plan makes tens of thousands that are alike. 0: all of them.
# Usage: fail_malloc.sh BUILDDIR
# shellcheck source=tests/fuzz/fail_sweep.sh
. "${srcdir:-.}/tests/fuzz/fail_sweep.sh"
first=${FAIL_MALLOC_FIRST:-300}
most=${FAIL_MALLOC_MOST:-60}
compile fail_malloc.c
export FAIL_MALLOC_COUNT="$scratch/count"

sweep() {
    unset FAIL_MALLOC_AT
    reference "$scratch/fail.so"
    rm -f "$scratch/count"
    once "$scratch/fail.so"
    read -r total kept <"$scratch/count"
    step=1
    [ "$most" -eq 0 ] || [ "$total" -le "$first" ] || step=$(((total - first) / most + 1))
    at=1
    while [ "$at" -le "$total" ]; do
        rm -f "$scratch/count"
        export FAIL_MALLOC_AT=$at
        once "$scratch/fail.so"
        judge "allocation $at of $total"
        # Bug 1 of the command line: out of memory while it was read was called wrong usage.
        [ $code -ne 2 ] || finding "allocation $at of $total" "called wrong usage"
        read -r all live <"$scratch/count"
        case $line in
        *.svg* | *.png* | *.pdf*) ;; # fontconfig and pango keep what they have found
        *) [ "$live" -le "$kept" ] || finding "allocation $at of $total" "$((live - kept)) of $all allocations are not freed" ;;
        esac
        [ "$at" -ge "$first" ] && at=$((at + step)) || at=$((at + 1))
    done
}

sweep_list "$srcdir/tests/fuzz/fail_malloc.txt"
echo "$tried allocations failed in turn, $bad findings"
[ "$tried" -gt 20 ] && [ "$bad" -eq 0 ]

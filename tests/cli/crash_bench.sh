#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Kills, full disks and failing disks put in by strace at every write, sync, cut and rename in turn:
# what was called saved is in the log, and a file is there whole or not at all.
# CRASH_EVERY: every so many calls only (default 50; .ci/run takes fewer). Skipped without strace.
set -u
build=$(pwd)
source=$(cd "${srcdir:-.}" && pwd)
every=${CRASH_EVERY:-50}
work=$(mktemp -d "${TMPDIR:-/tmp}/pourclock-crash.XXXXXX") || exit 1
trap 'rm -rf "$work"' EXIT
export POURCLOCK_SHELF=$source/examples/resins TZ=UTC POURCLOCK_BENCH_CLOCK=1773478800
export LD_LIBRARY_PATH=$build/.libs${LD_LIBRARY_PATH:+:$LD_LIBRARY_PATH}
tool=$build/.libs/pourclock
piece=$source/examples/otter-warm.ini
[ -x "$tool" ] || { echo "crash_bench: no $tool: skipped"; exit 77; }
strace -f -o /dev/null -e inject=fdatasync:error=EIO:when=1 true >/dev/null 2>&1 ||
    { echo "crash_bench: strace is not here, or may not trace: skipped"; exit 77; }

printf '@0 d\n@80 d\n@90 n one\n@95 d\n@100 n two\n@110 u\n@120 q\n' >"$work/keys"
passed=0
failed=0

fail() {
    failed=$((failed + 1))
    echo "FAIL: $*"
}

# Each "Saved" on the screen must be an event in the log, in the same order.
judge() {
    name=$1
    saved=$(grep -c ' Saved: ' "$work/screen")
    [ -e "$work/log" ] || : >"$work/log"
    held=$(cut -f 7 "$work/log" | grep -cE '^(mix|pour|turn|note|undo)$')
    if [ "$held" -lt "$saved" ]; then
        fail "$name: $saved called saved, $held in the log"
        return
    fi
    # And it goes on from there.
    if ! echo '@200 q' | "$tool" bench "$piece" --log "$work/log" >"$work/again" 2>&1; then
        fail "$name: it does not go on: $(tail -1 "$work/again")"
        return
    fi
    passed=$((passed + 1))
}

calls() {
    strace -f -e trace="$1" -o "$work/trace" "$tool" bench "$piece" --log "$work/log.count" \
        <"$work/keys" >/dev/null 2>&1
    rm -f "$work/log.count"
    grep -c "^[0-9]* *$1(" "$work/trace"
}

for what in write fdatasync; do
    count=$(calls $what)
    [ "$count" -gt 10 ] || fail "$what: only $count calls seen"
    for effect in signal=KILL error=ENOSPC error=EIO; do
        n=1
        while [ "$n" -le "$count" ]; do
            rm -f "$work/log"
            strace -f -o /dev/null -e inject=$what:$effect:when=$n "$tool" bench "$piece" \
                --log "$work/log" <"$work/keys" >"$work/screen" 2>/dev/null
            judge "$what $n $effect"
            n=$((n + every))
        done
    done
done

finish() { # finish LEAST
    echo "$passed passed, $failed failed"
    [ "$failed" -eq 0 ] && [ "$passed" -gt "$1" ]
    exit
}
# Where there are neither drawings nor calendars, that is all.
"$tool" --version | grep -qi 'built without' && finish 5

# A sheet and a calendar: the old file or the new one, whole.
"$tool" schedule "$piece" --sheet "$work/new.svg" --calendar "$work/new.ics" --date 2026-03-14 \
    >/dev/null || fail "schedule"
"$tool" schedule "$piece" --sheet "$work/new.pdf" >/dev/null || fail "schedule --sheet new.pdf"
for what in write fsync rename renameat; do
    for effect in signal=KILL error=ENOSPC; do
        for n in 1 2; do
            echo old >"$work/s.svg"
            echo old >"$work/c.ics"
            strace -f -o /dev/null -e inject=$what:$effect:when=$n "$tool" schedule "$piece" \
                --sheet "$work/s.svg" --calendar "$work/c.ics" --date 2026-03-14 >/dev/null 2>&1
            for ending in svg ics; do
                name=s
                [ $ending = ics ] && name=c
                if [ "$(cat "$work/$name.$ending")" = old ] ||
                    cmp -s "$work/$name.$ending" "$work/new.$ending"; then
                    passed=$((passed + 1))
                else
                    fail "$ending: $what $n $effect left half a file"
                fi
            done
        done
        # A PDF is written in one go, but cairo and its fonts open and read files of their own.
        for n in 1 2 3; do
            echo old >"$work/s.pdf"
            strace -f -o /dev/null -e inject=$what:$effect:when=$n "$tool" schedule "$piece" \
                --sheet "$work/s.pdf" >/dev/null 2>&1
            if [ "$(head -c 3 "$work/s.pdf")" = old ] || cmp -s "$work/s.pdf" "$work/new.pdf"; then
                passed=$((passed + 1))
            else
                fail "pdf: $what $n $effect left half a file"
            fi
        done
    done
done
finish 20

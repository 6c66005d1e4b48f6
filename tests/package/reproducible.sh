#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The same command twice gives the same bytes. Run from a build directory that is configured. (That
# the tarball comes out the same twice is seen by .ci/run.)
set -eu
srcdir=$(cd "${srcdir:-.}" && pwd)
build=$(pwd)
make=${MAKE:-make}
unset MAKEFLAGS MFLAGS MAKELEVEL 2>/dev/null || :
scratch=$(mktemp -d)
trap 'chmod -R u+w "$scratch"; rm -rf "$scratch"' EXIT
fail() {
    echo "FAIL: $1"
    exit 1
}
quietly() {
    "$@" >"$scratch/log" 2>&1 || {
        tail -n 30 "$scratch/log"
        fail "$*"
    }
}

# Outputs: twice, a second apart, the second time from another folder, zone and user name.
quietly $make -s all
tool=$build/pourclock
export POURCLOCK_SHELF="$srcdir/examples/resins"
ran=0
twice() {
    ending=$1
    shift
    code=0
    (cd "$srcdir/examples" && TZ=UTC0 "$tool" "$@" -o "$scratch/one.$ending") >"$scratch/log" 2>&1 || code=$?
    [ "$code" -le 1 ] || { cat "$scratch/log"; fail "pourclock $*: exit $code"; }
    sleep 1
    (cd "$srcdir/examples" && TZ=XYZ-9 USER=other HOME=$scratch "$tool" "$@" -o "$scratch/two.$ending") >"$scratch/log" 2>&1 || :
    [ -s "$scratch/one.$ending" ] || fail "pourclock $*: nothing written"
    cmp "$scratch/one.$ending" "$scratch/two.$ending" || fail "pourclock $*: two runs differ"
    ran=$((ran + 1))
}
twice txt schedule otter-warm.ini
twice json schedule otter-warm.ini --json
twice json day day.ini --json
twice txt supplies otter-mesh.ini

# Drawings and calendars are named by an option of their own.
drawn() {
    ending=$1
    option=$2
    shift 2
    # A calendar's times are the zone's: there the zone stays the same.
    other=XYZ-9
    [ "$ending" != ics ] || other=UTC0
    for run in one two; do
        zone=UTC0
        [ $run = one ] || zone=$other
        (cd "$srcdir/examples" && TZ=$zone "$tool" "$@" "$option" "$scratch/$run.$option.$ending") >"$scratch/log" 2>&1 || {
            cat "$scratch/log"
            fail "pourclock $* $option"
        }
        sleep 1
    done
    [ -s "$scratch/one.$option.$ending" ] || fail "pourclock $* $option: nothing written"
    cmp "$scratch/one.$option.$ending" "$scratch/two.$option.$ending" || fail "pourclock $* $option: two runs differ"
    ran=$((ran + 1))
}
drawn pdf --sheet schedule otter-warm.ini --nominal
drawn svg --sheet schedule otter-warm.ini --nominal
drawn png --sheet schedule otter-warm.ini --nominal
drawn ics --calendar schedule otter-warm.ini --nominal --date 2026-03-14
drawn ics --calendar day day.ini --date 2026-03-14
drawn svg --map turn otter-mesh.ini
drawn ply --map turn otter-mesh.ini

echo "PASS: $ran outputs twice the same"

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The same command twice gives the same bytes, `make dist` twice the same tarball, and the flags a
# packager sets reach every compile and link. Run from a build directory that is configured.
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

# The tarball: same names in the same order, nobody's name, one time.
SOURCE_DATE_EPOCH=1700000000
export SOURCE_DATE_EPOCH
quietly $make -s dist-xz
tarball=$(ls -t pourclock-*.tar.xz | head -n 1)
mv "$tarball" "$scratch/one.tar.xz"
sleep 1
(umask 077 && quietly $make -s dist-xz)
mv "$tarball" "$scratch/two.tar.xz"
cmp "$scratch/one.tar.xz" "$scratch/two.tar.xz" || fail "two tarballs differ"
tar -tvJf "$scratch/one.tar.xz" | awk '$2 != "root/root" && $2 != "0/0" { bad = 1 } END { exit bad }' ||
    fail "the tarball names its owner"

# Flags: every object is compiled with them, and what is linked shows it.
mkdir "$scratch/source" "$scratch/hard"
tar -xJf "$scratch/one.tar.xz" -C "$scratch/source" --strip-components=1
cd "$scratch/hard"
quietly "$scratch/source/configure" --quiet --disable-static CFLAGS="-O2 -g0 -fstack-protector-strong" \
    CPPFLAGS="-D_FORTIFY_SOURCE=2" LDFLAGS="-Wl,-z,relro,-z,now"
$make V=1 -j2 all >"$scratch/hard.log" 2>&1 || { tail -n 30 "$scratch/hard.log"; fail "the hardened build"; }
grep -E ' -c ' "$scratch/hard.log" | grep -vE '^libtool: compile|^mv ' >"$scratch/compiles"
[ -s "$scratch/compiles" ] || fail "no compile line seen"
for flag in -D_FORTIFY_SOURCE=2 -fstack-protector-strong -O2; do
    if grep -v -e "$flag" "$scratch/compiles"; then
        fail "compiled without $flag"
    fi
done
grep -E 'mode=link' "$scratch/hard.log" >"$scratch/links"
[ -s "$scratch/links" ] || fail "no link line seen"
if grep -v -e '-Wl,-z,relro,-z,now' "$scratch/links"; then
    fail "linked without LDFLAGS"
fi
for binary in .libs/pourclock .libs/libpourclock.so; do
    [ -e "$binary" ] || fail "no $binary"
    readelf -lW "$binary" | grep -q GNU_RELRO || fail "$binary: no RELRO"
    readelf -dW "$binary" | grep -qE 'BIND_NOW|FLAGS.*NOW' || fail "$binary: not bound at the start"
    readelf -sW --dyn-syms "$binary" | grep -q __stack_chk_fail || fail "$binary: no stack protector"
    readelf -sW --dyn-syms "$binary" | grep -qE '__(v?s?n?|f)printf_chk|__memcpy_chk' || fail "$binary: not fortified"
    if readelf -lW "$binary" | grep GNU_STACK | grep -q E; then
        readelf -lW "$binary" | grep GNU_STACK | grep -q RWE && fail "$binary: its stack can be executed"
    fi
done
echo "PASS: $ran outputs and the tarball twice the same; $(wc -l <"$scratch/compiles") compiles and $(wc -l <"$scratch/links") links with the flags given"

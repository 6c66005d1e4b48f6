#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds without what is optional: without cairo, libqrencode and libical the tool still plans, says what it was
# built without, and refuses a drawing and a calendar with a message that says what to do; with
# --disable-cli the library alone is built, installed and used, and nothing of the tool. The tests of
# each build pass. Usage, from any folder: sh tests/package/without.sh   (CC, CFLAGS as usual)
set -u
srcdir=$(cd "$(dirname "$0")/../.." && pwd)
make=${MAKE:-make}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    grep -E "^(FAIL|ERROR)" "$scratch/log"
    tail -n 15 "$scratch/log"
    echo "FAIL: $1"
    exit 1
}
[ ! -e "$srcdir/config.status" ] || {
    # A tree that is built in cannot be built out of: take what its tarball would hold.
    (cd "$srcdir" && $make -s dist-xz distdir=pourclock-without && mv pourclock-without.tar.xz "$scratch") >"$scratch/log" 2>&1 ||
        fail "make dist"
    mkdir "$scratch/source"
    tar -xJf "$scratch/pourclock-without.tar.xz" -C "$scratch/source" --strip-components=1
    srcdir=$scratch/source
}
build() {
    mkdir "$scratch/$1"
    cd "$scratch/$1" || exit 99
    shift
    "$srcdir/configure" --quiet --disable-static CFLAGS="${CFLAGS--O2}" --enable-werror "$@" >"$scratch/log" 2>&1 || fail "configure $*"
    $make -s -j"$(nproc 2>/dev/null || echo 2)" check >"$scratch/log" 2>&1 || fail "make check: $*"
}
# says TEXT COMMAND...: exit 2, the text on standard error, nothing written.
says() {
    text=$1
    shift
    POURCLOCK_SHELF=/nowhere "$@" >/dev/null 2>"$scratch/log"
    [ $? -eq 2 ] && grep -q "$text" "$scratch/log" || fail "$* does not say: $text"
}

build plain --without-cairo --without-qrencode --without-libical
tool=$scratch/plain/.libs/pourclock
export LD_LIBRARY_PATH="$scratch/plain/.libs"
! ldd "$tool" | grep -E 'cairo|qrencode|ical' || fail "the tool links what it is built without"
"$tool" --version >"$scratch/log" && grep -q 'without cairo' "$scratch/log" && grep -q 'without libical' "$scratch/log" &&
    grep -q 'without libqrencode' "$scratch/log" ||
    fail "--version does not say what it was built without"
cd "$srcdir/examples" || exit 99
says 'was built without cairo.*libcairo2-dev' "$tool" schedule otter-warm.ini --sheet "$scratch/a.pdf"
says 'was built without cairo' "$tool" day day.ini --sheet "$scratch/a.svg"
says 'was built without cairo' "$tool" turn otter-warm.ini --map "$scratch/a.svg"
says 'was built without cairo' "$tool" traps otter.stl --mesh-unit mm --picture "$scratch/a.svg"
says 'was built without cairo' "$tool" warm otter-cold.ini --picture "$scratch/a.pdf"
says 'was built without cairo' "$tool" cuptest cuptest.csv --resin fast-urethane --plot "$scratch/a.png"
says 'was built without libical.*libical-dev' "$tool" schedule otter-warm.ini --calendar "$scratch/a.ics"
[ -z "$(ls "$scratch"/a.* 2>/dev/null)" ] || fail "a file is left"
"$tool" turn otter-mesh.ini --map "$scratch/a.ply" >"$scratch/log" 2>&1 && [ -s "$scratch/a.ply" ] || fail "a map as a mesh needs no cairo"

build square --without-qrencode
tool=$scratch/square/.libs/pourclock
export LD_LIBRARY_PATH="$scratch/square/.libs"
! ldd "$tool" | grep qrencode || fail "the tool links libqrencode"
"$tool" schedule "$srcdir/examples/otter-hand.ini" --sheet "$scratch/b.svg" >"$scratch/log" 2>&1
[ -s "$scratch/b.svg" ] || fail "no sheet without a code square"

build library --disable-cli
[ ! -e pourclock ] || fail "--disable-cli builds the command"
$make -s install DESTDIR="$scratch/root" >"$scratch/log" 2>&1 || fail "make install without the command"
[ ! -e "$scratch/root/usr/local/bin" ] || fail "--disable-cli installs a command"
! ldd .libs/libpourclock.so | grep -E 'cairo|ical|qrencode' || fail "the library links what only the command needs"
echo "PASS: without cairo, libqrencode and libical; without libqrencode; and without the command"

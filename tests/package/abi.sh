#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The library's interface against that of the last release (the newest tag v*, or the one named): by
# the list of its symbols (tests/package/libpourclock.symbols: name and the version that first had it),
# and by abidiff on types and signatures. What is taken away or changed needs another PC_LT_VERSION and a
# word in NEWS. That abidiff sees a change at all is tried on a structure with a member more.
# Usage, from a configured build directory: sh tests/package/abi.sh [--update] [TAG]
set -u
srcdir=$(cd "${srcdir:-.}" && pwd)
symbols=$srcdir/tests/package/libpourclock.symbols
version=$(sed -n 's/^AC_INIT(\[pourclock\], \[\([0-9.]*\)\].*/\1/p' "$srcdir/configure.ac")
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    tail -n 30 "$scratch/log" 2>/dev/null
    echo "FAIL: $1"
    exit 1
}
nm -D --defined-only .libs/libpourclock.so | awk '$2 ~ /[TDBR]/ { print $3 }' | LC_ALL=C sort >"$scratch/now"
[ -s "$scratch/now" ] || fail "no .libs/libpourclock.so: run make first"
grep -v '^#' "$symbols" 2>/dev/null | cut -d' ' -f1 | LC_ALL=C sort >"$scratch/known"
if [ "${1:-}" = --update ]; then
    shift
    {
        echo "# Symbols of libpourclock.so, and the version that first had each. Written by abi.sh --update."
        while read -r name; do
            grep "^$name " "$symbols" 2>/dev/null || echo "$name $version"
        done <"$scratch/now"
    } >"$scratch/new"
    mv "$scratch/new" "$symbols"
    echo "written: $(wc -l <"$scratch/now") symbols"
    exit 0
fi
gone=$(LC_ALL=C comm -23 "$scratch/known" "$scratch/now")
# Before the first release nothing is promised.
tag=${1:-$(git -C "$srcdir" tag --list 'v[0-9]*' --sort=-v:refname 2>/dev/null | head -n 1)}
[ -z "$gone" ] || [ -z "$tag" ] || fail "gone since $tag: $gone"
new=$(LC_ALL=C comm -13 "$scratch/known" "$scratch/now" | wc -l)
command -v abidiff >/dev/null || { echo "SKIP: abidiff is not installed (abigail-tools)" && exit 77; }
library_of() { # SOURCE-TREE NAME: builds its library
    mkdir "$scratch/$2.build"
    (cd "$scratch/$2.build" && "$1/configure" --quiet --disable-static --disable-cli CFLAGS='-g -Og' &&
        make -s -j"$(nproc 2>/dev/null || echo 2)" libpourclock.la) >"$scratch/log" 2>&1 || fail "building $2"
}
# Of the libraries themselves, by their public types: between two files of abidw, abidiff 2.2 saw nothing.
compare() { # NAME of one, and of the other
    abidiff --no-added-syms --headers-dir1 "$scratch/$1.tree/lib/include" --headers-dir2 "$scratch/$2.tree/lib/include" \
        "$scratch/$1.build/.libs/libpourclock.so" "$scratch/$2.build/.libs/libpourclock.so" >"$scratch/log" 2>&1
}
soname_of() { # NAME
    objdump -p "$scratch/$1.build/.libs/libpourclock.so" | sed -n 's/^ *SONAME *//p'
}
tree() { # REVISION NAME: a tree of that revision with its configure
    mkdir "$scratch/$2.tree"
    git -C "$srcdir" archive "$1" | tar -xf - -C "$scratch/$2.tree" && (cd "$scratch/$2.tree" && ./bootstrap --no-install --no-configure) >"$scratch/log" 2>&1 ||
        fail "the tree of $1"
}
tree HEAD now
library_of "$scratch/now.tree" now
cp -r "$scratch/now.tree" "$scratch/changed.tree"
sed -i 's/^typedef struct pc_schedule {/&\n    double more;/' "$scratch/changed.tree/lib/include/pourclock/schedule.h"
library_of "$scratch/changed.tree" changed
compare now changed && fail "abidiff does not see a member more"
grep -q 'pc_schedule' "$scratch/log" || fail "abidiff does not name what changed"
if [ -n "$tag" ]; then
    tree "$tag" last
    library_of "$scratch/last.tree" last
    # A program has our structures in its own memory: a member more breaks it, though abidiff calls that compatible.
    if [ "$(soname_of last)" != "$(soname_of now)" ]; then
        echo "PASS: another soname than that of $tag: $(soname_of now); $new symbols more than the list has"
    elif compare last now; then
        echo "PASS: against $tag; $new symbols more than the list has"
    else
        fail "the interface of $tag has changed and its soname has not: raise PC_LT_VERSION in configure.ac, say it in NEWS"
    fi
else
    echo "PASS: abidiff sees a change; no release to compare with yet; $new symbols more and $(echo "$gone" | wc -w) fewer than the list has"
fi

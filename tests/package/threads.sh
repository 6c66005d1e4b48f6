#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The thread sanitizer over everything that runs on threads: margins, the cold shop's grid, a day of
# several pieces, turning advice, meshes; and over two plans at once. The tree is built anew with it
# in a scratch folder, which takes minutes: not part of .ci/run. Last result: tests/package/README.md.
# Usage, from any folder: sh tests/package/threads.sh
set -u
srcdir=$(cd "$(dirname "$0")/../.." && pwd)
scratch=$(mktemp -d)
trap 'chmod -R u+w "$scratch"; rm -rf "$scratch"' EXIT
cc=${CC:-gcc}
echo 'int main(void) { return 0; }' >"$scratch/try.c"
"$cc" -fsanitize=thread "$scratch/try.c" -o "$scratch/try" 2>/dev/null && "$scratch/try" ||
    { echo "SKIP: $cc has no -fsanitize=thread here" && exit 77; }
fail() {
    tail -n 60 "$scratch/log"
    echo "FAIL: threads: $1"
    exit 1
}
mkdir "$scratch/source" "$scratch/build" || exit 1
if [ -e "$srcdir/.git" ]; then
    git clone -q "$srcdir" "$scratch/source" && (cd "$scratch/source" && ./bootstrap --no-configure)
else
    cp -r "$srcdir/." "$scratch/source"
fi >"$scratch/log" 2>&1 || fail "no copy of the tree"
cd "$scratch/build" || exit 1
{ "$scratch/source/configure" --quiet --disable-static CC="$cc" CFLAGS="-g -O1 -fsanitize=thread" &&
    make -s -j"$(nproc 2>/dev/null || echo 2)" pourclock tests/fuzz/related_pieces; } >"$scratch/log" 2>&1 ||
    fail "it does not build"
POURCLOCK_SHELF=$scratch/source/examples/resins
# An address space laid out at random is more than older sanitizers can take.
calm="setarch -R"
$calm true 2>/dev/null || calm=
TSAN_OPTIONS="exitcode=66 halt_on_error=0"
export POURCLOCK_SHELF TSAN_OPTIONS
passed=0
failed=0
look() {
    (cd "$scratch/source/examples" && $calm "$scratch/build/pourclock" "$@") >"$scratch/out" 2>"$scratch/log"
    code=$?
    if [ $code -gt 1 ] || grep -q 'WARNING: ThreadSanitizer' "$scratch/log" || ! [ -s "$scratch/out" ]; then
        head -n 40 "$scratch/log"
        echo "FAIL: pourclock $*: exit $code"
        failed=$((failed + 1))
    else
        passed=$((passed + 1))
    fi
}
look schedule otter-warm.ini
look schedule otter-cold.ini --json
look schedule otter-mesh.ini --nominal
look supplies otter-warm.ini --prices prices.csv
look turn otter-warm.ini
look warm otter-cold.ini
look day day.ini
look day week.ini --need 9
look cuptest cuptest.csv --resin fast-urethane
look resin polyester
look traps otter.stl --mesh-unit mm
# Plans beside another plan, on one processor, with and without margins.
if $calm tests/fuzz/related_pieces 30 7 >"$scratch/log" 2>&1 && ! grep -q 'WARNING: ThreadSanitizer' "$scratch/log"; then
    passed=$((passed + 1))
else
    head -n 60 "$scratch/log"
    echo "FAIL: related_pieces 30 7"
    failed=$((failed + 1))
fi
echo "threads: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# `make wasm`: built, held against the native tool on the examples, and its page used in a headless
# Chromium without a network. Run from a build directory that is configured; minutes the first time,
# when the other libraries are fetched and compiled: not part of .ci/run. POURCLOCK_PICTURES=DIR keeps
# screenshots. Last result: tests/package/README.md.
set -eu
srcdir=$(cd "${srcdir:-.}" && pwd)
build=$(pwd)
make=${MAKE:-make}
for tool in emcc node; do
    command -v $tool >/dev/null || { echo "SKIP: $tool is not installed" && exit 77; }
done
browser=${POURCLOCK_CHROMIUM:-$(command -v chromium || command -v chromium-browser || :)}
[ -n "$browser" ] || { echo "SKIP: no Chromium is installed" && exit 77; }
start=$(date +%s)
$make -s all >/dev/null
$make -s wasm
echo "built in $(($(date +%s) - start)) s"
! grep -oE '(src|href)="(https?:)?//[^"]*"' pourclock-planner.html || { echo "FAIL: wasm: the page asks for more" && exit 1; }
node "$srcdir/tests/package/wasm_examples.mjs" "$build/pourclock" "$build/wasm/pourclock.cjs" "$srcdir"
node "$srcdir/tests/package/wasm_page.mjs" "$build/pourclock" "$build/pourclock-planner.html" "$srcdir" "$browser" ${POURCLOCK_PICTURES:+"$POURCLOCK_PICTURES"}
echo "PASS: wasm: $(wc -c <pourclock-planner.html) bytes, $(gzip -9c pourclock-planner.html | wc -c) compressed, $(($(date +%s) - start)) s in all"

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The page: its rules against the tool's, a whole run in a headless Chromium, and its clocks there. Without Node.js or a
# Chromium the part that needs it is skipped, and named; POURCLOCK_PAGE=required makes that a failure
# (.ci/run). POURCLOCK_CHROMIUM names another browser.
set -u
src=${srcdir:-.}
lack() {
    echo "$1: $2 left out"
    [ "${POURCLOCK_PAGE:-}" != required ] || exit 1
    exit 77
}
program=$PWD/pourclock
[ -x "$program" ] || exit 77 # built without the command
POURCLOCK_SHELF=$(cd "$src" && pwd)/examples/resins
export POURCLOCK_SHELF
command -v node >/dev/null 2>&1 || lack "no node" "the page's tests are"
node "$src/tests/cli/page_rules.mjs" "$program" "$src" || exit 1
browser=${POURCLOCK_CHROMIUM:-}
for name in chromium chromium-browser; do
    [ -n "$browser" ] || browser=$(command -v $name)
done
[ -n "$browser" ] || lack "no Chromium" "the page's run in a browser is"
node "$src/tests/cli/page_browser.mjs" "$program" "$src" "$browser" ${POURCLOCK_PICTURES:+"$POURCLOCK_PICTURES"} || exit 1
node "$src/tests/cli/page_walk.mjs" "$program" "$src" "$browser"

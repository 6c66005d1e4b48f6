#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The hashes in the page's content security policy are those of its own style and script, as the
# browser takes them (CSP level 3: base64 of SHA-256 of all between the tags, the first line end too).
# With another hash the page would be dead. --update writes them anew.
set -u
folder=${srcdir:-.}/cli/draw/page
hash_of() { # FILE...
    if command -v openssl >/dev/null 2>&1; then
        { echo; cat "$@"; } | openssl dgst -sha256 -binary | openssl base64 -A
    elif command -v sha256sum >/dev/null 2>&1 && command -v base64 >/dev/null 2>&1; then
        sum=$({ echo; cat "$@"; } | sha256sum | sed 's/ .*//; s/../\\x&/g')
        env printf "$sum" | base64 | tr -d '\n'
    else
        echo "neither openssl nor sha256sum and base64: skipped" >&2
        exit 77
    fi
}
style=$(hash_of "$folder/page.css") || exit $?
script=$(hash_of "$folder/rules.js" "$folder/timeline.js" "$folder/page.js") || exit $?
if [ "${1:-}" = --update ]; then
    sed -e "s,\(PAGE_STYLE_HASH *\)\".*\",\1\"sha256-$style\"," \
        -e "s,\(PAGE_SCRIPT_HASH *\)\".*\",\1\"sha256-$script\"," "$folder/hashes.h" >"$folder/hashes.h-new" &&
        mv "$folder/hashes.h-new" "$folder/hashes.h"
    exit
fi
bad=0
grep -q "PAGE_STYLE_HASH *\"sha256-$style\"" "$folder/hashes.h" || { echo "style: sha256-$style"; bad=1; }
grep -q "PAGE_SCRIPT_HASH *\"sha256-$script\"" "$folder/hashes.h" || { echo "script: sha256-$script"; bad=1; }
[ $bad = 0 ] || echo "cli/draw/page changed: run tests/cli/page_hashes.sh --update"
exit $bad

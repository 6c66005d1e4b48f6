#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Prints the page's frame, style and script, the files of this folder, as C: an array of lines each.
#     make_page.sh FOLDER
set -eu
cd "$1"
lines() { # NAME FILE...
    name=$1
    shift
    printf 'static const char *const %s[] = {\n' "$name"
    # A question mark is escaped lest two of them begin a trigraph.
    sed -e 's/\\/\\\\/g' -e 's/"/\\"/g' -e 's/?/\\?/g' -e 's/^/    "/' -e 's/$/\\n",/' "$@"
    printf '    NULL};\n'
}
printf '/* Made by make_page.sh. */\n'
lines page_frame page.html
lines page_style page.css
lines page_script rules.js timeline.js page.js

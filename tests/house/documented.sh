#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every public function is documented: a comment stands right above its declaration, or above the
# declaration it shares that comment with.
set -u
cd "${srcdir:-.}" || exit 99
bad=0
seen=0
for f in lib/include/pourclock/*.h; do
    report=$(awk '
        /^#define PC_API|^#/ { next }
        /\*\/[ ]*$/ { comment = 1; next }
        /^PC_API/ { count++; if (!comment) print FILENAME ":" FNR ": no comment above: " $0; inside = 1 }
        inside { if (/;[ ]*$/) inside = 0; next }
        /^[ ]*$/ { comment = 0; next }
        /^typedef|^struct|^enum|^}/ { next }
        END { print "count " count + 0 }' "$f")
    seen=$((seen + $(echo "$report" | sed -n 's/^count //p')))
    missing=$(echo "$report" | grep -v '^count ')
    if [ -n "$missing" ]; then
        echo "$missing"
        bad=1
    fi
done
echo "$seen public functions"
[ "$seen" -gt 50 ] || { echo "too few found: the check is blind"; bad=1; }
exit $bad

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The library exports at most 100 functions, and each has its use: in the tool, in an example, or by a need
# that libpourclock(3) names (.Fn). What a header calls by another name (static inline) is used with it.
set -u
cd "${srcdir:-.}" || exit 99
most=100
stands_for=$(awk '/^static inline/ { name = $0; sub(/\(.*/, "", name); sub(/.*[ *]/, "", name); inside = 1; next }
    inside && /^}/ { inside = 0 }
    inside { line = $0; while (match(line, /pc_[a-z0-9_]+\(/)) {
        print "stands", name, substr(line, RSTART, RLENGTH - 1); line = substr(line, RSTART + RLENGTH) } }' lib/include/pourclock/*.h)
exported=$(grep -hE '^PC_API .*\(' lib/include/pourclock/*.h | sed 's/(.*//; s/.*[ *]//')
count=$(echo "$exported" | wc -l)
unused=$({
    echo "$stands_for"
    grep -rhoE '\bpc_[a-z0-9_]+' cli examples --include='*.[ch]' | sort -u | sed 's/^/used /'
    sed -n 's/^\.Fn \(pc_[a-z0-9_]*\).*/used \1/p' cli/man/libpourclock.3
    echo "$exported" | sed 's/^/export /'
} | awk '$1 == "stands" { by[$3] = by[$3] " " $2 } $1 == "used" { used[$2] } $1 == "export" { export[$2] }
    END { for (name in export) {
            n = split(name by[name], names, " "); found = 0
            for (i = 1; i <= n; i++) found = found || (names[i] in used)
            # A name may stand for another that stands for it.
            for (i = 2; i <= n && !found; i++) { m = split(by[names[i]], more, " "); for (k = 1; k <= m; k++) found = found || (more[k] in used) }
            if (!found) print name } }' | sort)
bad=0
if [ -n "$unused" ]; then
    echo "exported, and used neither by the tool nor by an example, nor named in libpourclock(3):"
    echo "$unused"
    bad=1
fi
[ "$count" -le $most ] || { echo "$count exported functions, at most $most"; bad=1; }
[ "$count" -gt 50 ] || { echo "$count exported functions: the check is blind"; bad=1; }
echo "$count exported functions"
exit $bad

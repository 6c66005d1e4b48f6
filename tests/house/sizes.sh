#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The house rules a script can see: every source begins with its licence, no file over 600 lines, no
# function over 60, nothing committed names a path of somebody's machine. Exceptions stand, each with
# its reason, in tests/house/exceptions.txt.
set -u
cd "${srcdir:-.}" || exit 99
bad=0
complain() {
    echo "$1"
    bad=1
}
excused() {
    grep -qxF "$1" tests/house/exceptions.txt
}
for f in $(find lib cli tests examples -name '*.[ch]' ! -path '*/build/*' | LC_ALL=C sort); do
    head -n 1 "$f" | grep -q 'SPDX-License-Identifier: GPL-3.0-or-later' || complain "$f: no SPDX line first"
    lines=$(wc -l < "$f")
    [ "$lines" -le 600 ] || excused "$f" || complain "$f: $lines lines, at most 600"
    # clang-format puts a function's opening line and its closing brace in the first column.
    long=$(awk 'function name(s) { sub(/\(.*/, "", s); n = split(s, w, /[ *]/); return w[n] }
        /^[A-Za-z_].*\)? \{$/ && !/^(struct|enum|union|typedef|static const|const)/ { start = NR; who = $0 }
        /^[A-Za-z_].*\($/ || /^[A-Za-z_][^;]*,$/ { if (!start) { head = $0; headline = NR } }
        /^ .*\) \{$/ && head != "" && NR - headline < 8 && !start { start = headline; who = head }
        /^\}/ { if (start && NR - start + 1 > 60) print name(who) " " NR - start + 1; start = 0; head = "" }' "$f")
    [ -z "$long" ] || excused "$f ${long%% *}" || complain "$f: $long lines long, at most 60"
done
machine='/wor''k/|/hom''e/|/tm''p/wt'
hits=$(grep -rnIE "$machine" lib cli tests examples README.md DEVELOPERS.md bootstrap configure.ac Makefile.am \
    --include='*.c' --include='*.h' --include='*.md' --include='*.am' --include='*.ac' --include='*.sh' \
    --include='*.txt' --include='*.case' --include='*.ini' 2>/dev/null | head -5)
[ -z "$hits" ] || complain "a path of one machine: $hits"
exit $bad

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The house rules a script can see: every source begins with its license, no file over 600 lines, no
# function over 60, no list of the Makefile with an entry twice, nothing committed names a path of
# somebody's machine. Exceptions stand, each with
# its reason, in tests/house/exceptions.txt.
set -u
cd "${srcdir:-.}" || exit 99
bad=0
complain() {
    echo "$1"
    bad=1
}
sources=$(find lib cli tests examples -name '*.[ch]' ! -path '*/build/*' | LC_ALL=C sort)
# One pass over them all. clang-format puts a function's opening line and its closing brace in the
# first column. A finding ends with what tests/house/exceptions.txt may say of it, after a tab.
# shellcheck disable=SC2086
found=$(awk 'function name(s) { sub(/\(.*/, "", s); n = split(s, w, /[ *]/); return w[n] }
    function ended() { if (file != "" && lines > 600) print file ": " lines " lines, at most 600\t" file }
    FNR == 1 { ended(); file = FILENAME; files++; start = 0; head = "" }
    FNR == 1 && !/SPDX-License-Identifier: GPL-3.0-or-later/ { print FILENAME ": no SPDX line first\t-" }
    { lines = FNR }
    /^[A-Za-z_].*\)? \{$/ && !/^(struct|enum|union|typedef|static const|const)/ { start = FNR; who = $0 }
    /^[A-Za-z_].*\($/ || /^[A-Za-z_][^;]*,$/ { if (!start) { head = $0; headline = FNR } }
    /^ .*\) \{$/ && head != "" && FNR - headline < 8 && !start { start = headline; who = head }
    /^\}/ { if (start && FNR - start + 1 > 60)
            print FILENAME ": " name(who) " is " FNR - start + 1 " lines long, at most 60\t" FILENAME " " name(who)
        functions += start > 0; start = 0; head = "" }
    END { ended(); print files + 0 " files, " functions + 0 " functions seen\tseen" }' $sources)
echo "$found" | sed -n 's/\tseen$//p'
echo "$found" | grep -qE '^[0-9]{3,} files, [0-9]{4,} functions' || complain "too few seen: the check is blind"
broken=$(echo "$found" | awk -F '\t' 'NR == FNR { excused[$0]; next } $2 != "seen" && !($2 in excused) { print $1 }' \
    tests/house/exceptions.txt -)
[ -z "$broken" ] || complain "$broken"
# A list of the Makefile names nothing twice: what is installed twice is not installed at all.
twice=$(cat Makefile.am lib/lib.am cli/cli.am tests/tests.am examples/examples.am | grep -E '^[a-zA-Z_]+ \+= [^\\]+$' | LC_ALL=C sort | uniq -d)
[ -z "$twice" ] || complain "twice in the Makefile: $twice"
# Of two definitions the second would be taken without a word; those in if and else differ on purpose.
twice=$(cat Makefile.am lib/lib.am cli/cli.am tests/tests.am examples/examples.am | grep -oE '^[a-zA-Z_]+ = ' | LC_ALL=C sort | uniq -d |
    grep -vE '^(CASE|EXPECTED)_LOG_COMPILER = ')
[ -z "$twice" ] || complain "defined twice in the Makefile: $twice"
machine='/wor''k/|/hom''e/|/tm''p/wt'
hits=$(grep -rnIE "$machine" lib cli tests examples README.md DEVELOPERS.md bootstrap configure.ac Makefile.am \
    --include='*.c' --include='*.h' --include='*.md' --include='*.am' --include='*.ac' --include='*.sh' \
    --include='*.txt' --include='*.case' --include='*.ini' 2>/dev/null | head -5)
[ -z "$hits" ] || complain "a path of one machine: $hits"
exit $bad

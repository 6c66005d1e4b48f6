#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every public function is called by a fuzz target, or stands in tests/fuzz/not_fuzzed.txt with the
# reason why not. A name in a comment does not count.
set -u
cd "${srcdir:-.}" || exit 99
bad=0
called=$(sed -e 's,/\*.*\*/,,' -e '/\/\*/,/\*\//d' tests/fuzz/fuzz_*.[ch] | grep -oE '\bpci?_[a-z0-9_]+' | sort -u)
# What is called by a name of its own in a header (static inline) calls what that name stands for.
stands_for=$(awk '/^static inline/ { name = $0; sub(/\(.*/, "", name); sub(/.*[ *]/, "", name); inside = 1; next }
    inside && /^}/ { inside = 0 }
    inside { line = $0; while (match(line, /pc_[a-z0-9_]+\(/)) {
        print name, substr(line, RSTART, RLENGTH - 1); line = substr(line, RSTART + RLENGTH) } }' lib/include/pourclock/*.h)
called=$({
    echo "$called" | sed 's/^/called /'
    echo "$stands_for"
} | awk '$1 == "called" { called[$2]; print $2; next } $1 in called { called[$2]; print $2 }' | sort -u)
excused=$(sed -n 's/^\(pc_[a-z0-9_]*\): ..*/\1/p' tests/fuzz/not_fuzzed.txt)
functions=$(grep -hE '^PC_API .*\(' lib/include/pourclock/*.h | sed 's/(.*//; s/.*[ *]//')
seen=$(echo "$functions" | wc -l)
found=$({
    echo "$called" | sed 's/^/called /'
    echo "$excused" | sed 's/^/excused /'
    echo "$functions" | sed 's/^/function /'
} | awk '$1 == "called" { called[$2] } $1 == "excused" { excused[$2] } $1 == "function" { function_[$2] }
    END {
        for (name in function_) {
            if (!(name in called) && !(name in excused))
                print name ": no fuzz target calls it, and tests/fuzz/not_fuzzed.txt does not say why"
            if ((name in called) && (name in excused))
                print name ": called, and excused in tests/fuzz/not_fuzzed.txt too"
        }
        for (name in excused)
            if (!(name in function_)) print name ": excused, but there is no such function"
    }')
if [ -n "$found" ]; then
    echo "$found"
    bad=1
fi
for target in tests/fuzz/fuzz_*.c; do
    name=$(basename "$target" .c)
    name=${name#fuzz_}
    grep -q "tests/fuzz/replay_$name\$" tests/tests.am || {
        echo "$target: its corpus is not replayed by make check"
        bad=1
    }
    [ -n "$(ls "tests/fuzz/corpus/$name" 2>/dev/null)" ] || {
        echo "$target: no corpus"
        bad=1
    }
done
echo "$seen public functions"
[ "$seen" -gt 50 ] || { echo "too few found: the check is blind"; bad=1; }
exit $bad

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every public function is called by a fuzz target, or stands in tests/fuzz/not_fuzzed.txt with the
# reason why not. A name in a comment does not count.
set -u
cd "${srcdir:-.}" || exit 99
bad=0
seen=0
called=$(sed -e 's,/\*.*\*/,,' -e '/\/\*/,/\*\//d' tests/fuzz/fuzz_*.[ch] | grep -oE '\bpci?_[a-z0-9_]+' | sort -u)
excused=$(sed -n 's/^\(pc_[a-z0-9_]*\): ..*/\1/p' tests/fuzz/not_fuzzed.txt)
for name in $(grep -hE '^PC_API .*\(' lib/include/pourclock/*.h | sed 's/(.*//; s/.*[ *]//'); do
    seen=$((seen + 1))
    is_called=$(echo "$called" | grep -cx "$name")
    is_excused=$(echo "$excused" | grep -cx "$name")
    if [ $((is_called + is_excused)) -eq 0 ]; then
        echo "$name: no fuzz target calls it, and tests/fuzz/not_fuzzed.txt does not say why"
        bad=1
    elif [ $((is_called + is_excused)) -gt 1 ]; then
        echo "$name: called, and excused in tests/fuzz/not_fuzzed.txt too"
        bad=1
    fi
done
for name in $excused; do
    grep -qE "^PC_API .*\b$name\(" lib/include/pourclock/*.h || {
        echo "$name: excused, but there is no such function"
        bad=1
    }
done
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
[ "$seen" -gt 100 ] || { echo "too few found: the check is blind"; bad=1; }
exit $bad

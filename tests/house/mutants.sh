#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Do the tests notice? Changes one line of a scratch copy at a time, as tests/house/mutants.txt lists them, builds and runs the
# tests named beside it, and says which changes nothing noticed. Takes some minutes, so it is no part of .ci/run; its last
# result is in tests/bench/mutants.txt.
#
#     tests/house/mutants.sh [NAME...]      all of them, or those whose name begins so (safety)
#     MUTANTS_DIR=DIR                       keep and use again the scratch copy in DIR
#
# Exit: 0 as many as allowed survive (2, none of safety's), 1 more, 2 a change no longer applies or no longer builds.
src=$(cd "${srcdir:-.}" && pwd)
list=$src/tests/house/mutants.txt
dir=${MUTANTS_DIR:-$(mktemp -d)}
[ -n "$MUTANTS_DIR" ] || trap 'rm -rf "$dir"' EXIT
mkdir -p "$dir"
log=$dir/mutants.log
killed=0 survived=0 safety=0 stale=0

(cd "$src" && git ls-files -z | xargs -0 tar cf -) | (cd "$dir" && tar xf -) || exit 2
cd "$dir" || exit 2
rm -f libpourclock-all.la .libs/libpourclock-all.* # of an older list of sources
[ -f Makefile ] || ./bootstrap CC="${CC:-cc}" >"$log" 2>&1 || { tail "$log"; exit 2; }

# The programs that a test needs: itself, or the tool and the runner of cases.
programs() {
    for test in $1; do
        case $test in
        *.case) echo pourclock tests/cli/run_cases ;;
        *) echo "$test" ;;
        esac
    done
}

notice() { # tests: 0 where one of them fails
    for test in $1; do
        case $test in
        *.case) timeout 300 tests/cli/run_cases "$test" >"$log" 2>&1 || return 0 ;;
        *) timeout 300 "$test" >"$log" 2>&1 || return 0 ;;
        esac
    done
    return 1
}

all=$(sed -n 's/^[^#|]*|[^|]*|[^|]*| *//p' "$list" | tr ' ' '\n' | sort -u | tr '\n' ' ')
make -j2 $(programs "$all") >"$log" 2>&1 || { grep -E 'error|rror:' "$log"; exit 2; }
for test in $all; do
    notice "$test" && { echo "$test fails before anything is changed"; tail -5 "$log"; exit 2; }
done

while IFS='|' read -r name file change tests; do
    case $name in '#'* | '') continue ;; esac
    name=$(echo $name) file=$(echo $file) tests=$(echo $tests)
    change=$(echo "$change" | sed 's/^ *//; s/ *$//; s/!OR!/|/g')
    if [ $# -gt 0 ]; then
        wanted=
        for prefix; do case $name in "$prefix"*) wanted=1 ;; esac; done
        [ -n "$wanted" ] || continue
    fi
    cp "$file" "$dir/kept" 2>/dev/null || { echo "STALE    $name: there is no $file"; stale=$((stale + 1)); continue; }
    sed "$change" "$dir/kept" >"$file"
    if cmp -s "$dir/kept" "$file"; then
        echo "STALE    $name: changes nothing in $file any more"
        stale=$((stale + 1))
    elif ! make $(programs "$tests") >"$log" 2>&1; then
        echo "STALE    $name: does not build: $(grep -m1 'error' "$log")"
        stale=$((stale + 1))
    elif notice "$tests"; then
        killed=$((killed + 1))
    else
        echo "SURVIVED $name: $file: $change"
        survived=$((survived + 1))
        case $name in safety*) safety=$((safety + 1)) ;; esac
    fi
    cp "$dir/kept" "$file"
done <"$list"
make $(programs "$all") >"$log" 2>&1
echo "$((killed + survived + stale)) changes: $killed noticed, $survived survived ($safety in safety), $stale no longer apply"
[ "$stale" -eq 0 ] || exit 2
[ "$survived" -le 2 ] && [ "$safety" -eq 0 ]

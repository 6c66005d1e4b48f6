# SPDX-License-Identifier: GPL-3.0-or-later
# Every example of the README and the man pages gives what they say; mandoc finds no fault.
set -u
work=$(mktemp -d) || exit 99
trap 'rm -rf "$work"' EXIT
list=
for document in $DOCUMENTS; do
    list="$list $srcdir/$document"
done
code=0
# shellcheck disable=SC2086
[ ! -x ./pourclock ] || tests/cli/run_cases $list || code=1
if command -v mandoc >/dev/null 2>&1; then
    passed=0
    failed=0
    for page in $MANUALS; do
        [ -f "$srcdir/$page" ] && page=$srcdir/$page
        # ERRORS is asked for in our pages; mandoc knows the section for 2, 3, 4 and 9 only. A page
        # may leave its date away: a date would differ from build to build.
        found=$(mandoc -T lint -W warning "$page" 2>&1 | grep -v -e 'unexpected section: Sh ERRORS' -e 'missing date')
        if [ -n "$found" ]; then
            echo "FAIL: $page: $found"
            failed=$((failed + 1))
        else
            passed=$((passed + 1))
        fi
    done
    echo "$passed passed, $failed failed"
    [ $failed -eq 0 ] || code=1
else
    echo "mandoc is not here: the pages' own form is not looked at"
fi
# One set of macros; pourclock(1) names every page, each page names pourclock(1) and what its text
# refers to, and no page refers to one that is not there.
(
    cd "$srcdir/cli/man" || exit 99
    bad=0
    for page in *.[1357]; do
        grep -q '^\.Dd ' "$page" || { echo "FAIL: $page: not in mdoc"; bad=1; }
        sed -n '/^\.Sh SEE ALSO/,/^\.Sh [^S]/p' "$page" | grep -o '^\.Xr [^ ]* [0-9]' >"$work/also"
        { grep -o '^\.Xr [^ ]* [0-9]' "$page"; [ "$page" = pourclock.1 ] || echo '.Xr pourclock 1'; } >"$work/wanted"
        [ "$page" != pourclock.1 ] || for other in *-*.[1357] lib*.3; do echo ".Xr ${other%.*} ${other##*.}"; done >>"$work/wanted"
        while read -r _ name section; do
            [ "$name" != sh ] || continue # the shell is no page of ours
            [ -f "$name.$section" ] || { echo "FAIL: $page: no page $name($section)"; bad=1; }
            [ "$name.$section" = "$page" ] || grep -qx "\.Xr $name $section" "$work/also" ||
                { echo "FAIL: $page: SEE ALSO lacks $name($section)"; bad=1; }
        done <"$work/wanted"
    done
    exit $bad
) || code=1
exit $code

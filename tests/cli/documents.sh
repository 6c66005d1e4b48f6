# SPDX-License-Identifier: GPL-3.0-or-later
# Every example of the README and the man pages gives what they say; mandoc finds no fault.
set -u
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
exit $code

# SPDX-License-Identifier: GPL-3.0-or-later
# Every option of the one table stands in --help, in the manual and in the completions, and the
# manual of a command names no option that its table does not have.
set -u
[ -x ./pourclock ] || exit 77 # built without it
passed=0
failed=0
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
judge() { # judge CODE TEXT
    if [ "$1" -eq 0 ]; then
        passed=$((passed + 1))
    else
        echo "FAIL: $2"
        failed=$((failed + 1))
    fi
}
manual() { # the options a page names, one a line, whatever the macros
    sed -e 's/\\-/-/g' -e 's/Fl -/--/g' "$1" | grep -oE -e '--[a-z][a-z-]*' | sort -u
}
./pourclock completions table >"$work/table" || exit 1
for shell in bash zsh fish; do
    ./pourclock completions $shell >"$work/$shell" || exit 1
done
commands=$(cut -d' ' -f1 "$work/table" | sort -u)
manual "$srcdir/cli/man/pourclock.1" >"$work/pourclock.1"
for command in $commands; do
    page=$srcdir/cli/man/pourclock-$command.1
    [ -f "$page" ]
    judge $? "$command has no page"
    [ -f "$page" ] || continue
    manual "$page" >"$work/page"
    ./pourclock "$command" --help >"$work/help" || exit 1
    grep "^$command " "$work/table" >"$work/own"
    # What each shell completes of the command, and what the manual names, an option a line.
    sed -n "s/^ *$command) words=\(.*\)/\1/p" "$work/bash" | tr " '" '\n\n' | sed 's/^/bash /' >"$work/seen"
    sed -n "/^        $command)\$/,/;;\$/p" "$work/zsh" | grep -oE "'\*?--[a-z-]+=?\[" | tr -d "'*=[" | sed 's/^/zsh /' >>"$work/seen"
    grep -oE "from $command' -l [a-z-]+ " "$work/fish" | sed 's/.* -l \(.*\) $/fish --\1/' >>"$work/seen"
    tr -s ' ,' '\n\n' <"$work/help" | grep -e '^--' | sed 's/^/help /' >>"$work/seen"
    sed 's/^/page /' "$work/page" >>"$work/seen"
    sed 's/^/common /' "$work/pourclock.1" >>"$work/seen"
    report=$(awk -v command="$command" '
        function judge(good, text) { if (good) passed++; else { failed++; print "FAIL: " text } }
        FILENAME ~ /seen$/ { seen[$1, $2]; if ($1 == "page") page[$2]; next }
        { own[$2]
          judge(("help", $2) in seen, command " --help does not show " $2)
          judge(("page", $2) in seen || ($3 != "own" && ("common", $2) in seen), "the manual of " command " does not name " $2)
          judge(("bash", $2) in seen, "bash does not complete " command " " $2)
          judge(("zsh", $2) in seen, "zsh does not complete " command " " $2)
          judge(("fish", $2) in seen, "fish does not complete " command " " $2) }
        END { for (o in page) judge(o in own, "the manual of " command " names " o ", which it does not have")
              print passed + 0, failed + 0 }' "$work/seen" "$work/own")
    echo "$report" | grep '^FAIL'
    numbers=$(echo "$report" | tail -n 1)
    passed=$((passed + ${numbers% *}))
    failed=$((failed + ${numbers#* }))
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 0 ]

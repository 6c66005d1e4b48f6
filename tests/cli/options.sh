# SPDX-License-Identifier: GPL-3.0-or-later
# Every option of the one table stands in --help, in the manual and in the completions, and the
# manual of a command names no option that its table does not have.
set -u
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
    while read -r _ option kind _; do
        grep -q -e " $option\( \|\$\)" "$work/help"
        judge $? "$command --help does not show $option"
        if [ "$kind" = own ]; then
            grep -qx -e "$option" "$work/page"
        else
            cat "$work/pourclock.1" "$work/page" | grep -qx -e "$option"
        fi
        judge $? "the manual of $command does not name $option"
        grep -q "^ *$command) words=.* $option[ ']" "$work/bash"
        judge $? "bash does not complete $command $option"
        sed -n "/^        $command)\$/,/;;\$/p" "$work/zsh" | grep -q -e "'\*\{0,1\}$option=\{0,1\}\["
        judge $? "zsh does not complete $command $option"
        grep -q "from $command' -l ${option#--} " "$work/fish"
        judge $? "fish does not complete $command $option"
    done <"$work/own"
    for option in $(cat "$work/page"); do
        grep -q " $option " "$work/own"
        judge $? "the manual of $command names $option, which it does not have"
    done
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 0 ]

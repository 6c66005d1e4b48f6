#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What includes what, which symbols are seen, that the corpus is described. Prints what breaks this.
src=${srcdir:-.}
failed=0 passed=0
check() { # name, offenders
    if [ -n "$2" ]; then
        echo "FAIL $1:"
        echo "$2" | sed 's/^/    /'
        failed=$((failed + 1))
    else
        passed=$((passed + 1))
    fi
}

# Includes go downward only, and only to the rooms that a room's own room.h names.
floors="base input solve resin shape wall film sheet piece plan safety schedule day bench supplies json"
upward=
beyond=
above=$floors
for floor in $floors; do
    above=${above#"$floor"}
    above=${above# }
    may=$(sed -n 's/^ \* May use:  \(.*\) (and the installed.*/\1/p' "$src/lib/$floor/room.h")
    [ -n "$may" ] || beyond="$beyond lib/$floor/room.h names no room it may use
"
    for high in $above cli; do
        found=$(grep -n "#include *\"$high/" "$src/lib/$floor"/*.[ch] 2>/dev/null)
        [ -z "$found" ] || upward="$upward$found
"
    done
    found=$(grep -n '#include *"' "$src/lib/$floor"/*.[ch] | awk -F '"' -v may=" $may $floor pourclock config.h " '
        { room = $2; sub("/.*", "", room); if (index(may, " " room " ") == 0) print }')
    [ -z "$found" ] || beyond="$beyond$found
"
done
check "includes go downward" "$upward"
check "includes stay in the rooms that room.h names" "$beyond"
check "every folder of lib is a room" "$(cd "$src/lib" && for d in */; do
    case " $floors include " in *" ${d%/} "*) ;; *) echo "lib/$d" ;; esac; done)"
check "no two files of the library and the tool bear one name" \
    "$(cd "$src" && find lib cli -name '*.[ch]' ! -name room.h | sed 's,.*/,,' | sort | uniq -d)"
check "no two types of the library bear one name" "$(cd "$src/lib" && {
    grep -hoE '^(typedef )?(struct|enum|union) [A-Za-z_0-9]+ \{' -- */*.[ch] */*/*.h | sed -E 's/.* ([A-Za-z_0-9]+) \{/\1/' | sort | uniq -d
    grep -hoE '^\} [A-Za-z_0-9]+;' -- */*.[ch] */*/*.h | sort | uniq -d; })"

check "PC_VERSION is the version of configure.ac" "$(
    stated=$(sed -n 's/^#define PC_VERSION "\(.*\)"/\1/p' "$src/lib/include/pourclock/version.h")
    grep -q "^AC_INIT(\[pourclock\], \[$stated\]" "$src/configure.ac" || echo "PC_VERSION $stated")"
check "public headers name no type of one system" \
    "$(grep -nE '\b(off_t|ssize_t|mode_t|pid_t)\b' "$src"/lib/include/pourclock/*.h)"
check "public headers include public headers only" \
    "$(grep -n '#include *"' "$src"/lib/include/*.h "$src"/lib/include/pourclock/*.h | grep -v '"pourclock/')"
check "the CLI and the examples include public headers and their own" \
    "$(grep -n '#include *"' "$src"/cli/*.[ch] "$src"/cli/*/*.[ch] "$src"/examples/*.c 2>/dev/null |
        grep -E '"(base|input|solve|resin|shape|wall|film|sheet|piece|plan|schedule|day|supplies|safety|json)/')"
check "the library neither prints nor exits nor sets a locale" \
    "$(grep -nE '(^|[^a-z_])(printf|puts|perror|exit|_exit|abort|setlocale|setenv) *\(' "$src"/lib/*/*.c |
        grep -vE ':[0-9]+: *(/?\*|//)')"
check "in the library only lib/json uses jansson" \
    "$(grep -ln 'jansson\|json_t' "$src"/lib/*/*.[ch] "$src"/lib/include/pourclock/*.h | grep -v /lib/json/)"
check "only lib/input uses iniparser" \
    "$(grep -ln 'iniparser' "$src"/lib/*/*.[ch] "$src"/cli/*.[ch] "$src"/cli/*/*.[ch] 2>/dev/null | grep -v /lib/input/)"

# The table of formulas in DEVELOPERS.md: every file is there, every function in the files beside it.
check "each formula is where DEVELOPERS.md says" "$(
    sed -n '/^### Where each formula is/,/^### Names/s/^| [^|]* | \(lib[^|]*\) |\(.*\)|$/\1:\2/p' "$src/DEVELOPERS.md" |
        while IFS=: read -r files functions; do
            paths=
            for file in $(echo "$files" | tr , ' '); do
                paths="$paths $src/$file"
                [ -f "$src/$file" ] || echo "no $file"
            done
            for function in $(echo "$functions" | tr -d '`,'); do
                # shellcheck disable=SC2086
                grep -qE "^[a-z].*[ *]$function\\(" $paths || echo "$function is not in $files"
            done
        done)"

# Symbols.
nm=${NM:-nm}
library=.libs/libpourclock.so
if [ -f $library ] && command -v "$nm" >/dev/null; then
    names=$($nm -D --defined-only $library | awk '{print $NF}' | sed 's/@.*//')
    [ -n "$names" ] || { echo "FAIL no symbol in $library"; failed=$((failed + 1)); }
    check "exported symbols begin with pc_" "$(echo "$names" | grep -v '^pc_')"
    all=.libs/libpourclock-all.a
    check "internal symbols begin with pc_ or pci_" \
        "$($nm --defined-only $all 2>/dev/null | awk 'NF == 3 && $2 ~ /[TDBR]/ {print $3}' |
            grep -vE '^(pc_|pci_|_*(asan|ubsan|odr|gcov)|__)')"
    missing=$({
        echo "$names" | sed 's/^/has /'
        grep -hE '^PC_API .*\(' "$src"/lib/include/pourclock/*.h | sed 's/(.*//; s/.*[ *]//; s/^/wants /'
    } | awk '$1 == "has" { has[$2]; next } !($2 in has) { print $2 }')
    check "every function the headers promise is there" "$missing"
fi

check "every file of the corpus has its line in tests/data/README.md" \
    "$(cd "$src/tests/fuzz/corpus" && printf '%s\n' */* | awk -v table=../../data/README.md '
        BEGIN { while ((getline line < table) > 0) if (split(line, w, " [|] |^[|] ") > 1) has[w[2]] }
        { folder = $0; sub("/.*", "", folder) }
        !($0 in has) && !(/\/number-/ && (folder "/number-*") in has)')"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]

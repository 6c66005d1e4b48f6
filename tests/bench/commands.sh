#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What each command costs before and after a change, in instructions (valgrind --tool=cachegrind), which
# no other work on the machine disturbs. Prints a table; rows over a twentieth slower are marked.
#     commands.sh BEFORE AFTER [COMMAND...]    two built source trees; the first one's examples are used
set -eu
[ $# -ge 2 ] || { sed -n 3,5p "$0" >&2; exit 2; }
before=$(cd "$1" && pwd) after=$(cd "$2" && pwd)
shift 2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -r "$before/examples" "$work/examples"
POURCLOCK_SHELF=$work/examples/resins POURCLOCK_BENCH_CLOCK=1773478800 SOURCE_DATE_EPOCH=1773478800 TZ=UTC
XDG_CONFIG_HOME=$work XDG_DATA_HOME=$work
export POURCLOCK_SHELF POURCLOCK_BENCH_CLOCK SOURCE_DATE_EPOCH TZ XDG_CONFIG_HOME XDG_DATA_HOME
cd "$work"

instructions() { # TREE ARGUMENT...: in millions
    tree=$1
    shift
    rm -f o.log
    # The clock at the bench: begin, pour, and leave.
    printf '@0 d\n@80 d\n@82 d\n@600 q\n' |
        LD_LIBRARY_PATH=$tree/.libs valgrind --tool=cachegrind --cache-sim=no \
            --cachegrind-out-file=/dev/null --log-file=count.txt "$tree/.libs/pourclock" "$@" >/dev/null 2>&1 || [ $? -le 1 ] || {
        echo "pourclock $* failed in $tree" >&2
        exit 1
    }
    awk '/I *refs:/ { gsub(",", "", $NF); printf "%.2f", $NF / 1e6 }' count.txt
}

printf '%-52s %10s %10s %7s\n' 'million instructions' before after ratio
while read -r arguments; do
    [ -n "$arguments" ] || continue
    [ $# -eq 0 ] || case " $* " in *" ${arguments%% *} "*) ;; *) continue ;; esac
    # shellcheck disable=SC2086 # words
    old=$(instructions "$before" $arguments) && new=$(instructions "$after" $arguments) || exit 1
    printf '%s\n' "$arguments" | awk -v old="$old" -v new="$new" '{
        slower = new > 1.05 * old ? " slower" : ""
        printf("%-52s %10s %10s %7.3f%s\n", $0, old, new, new / old, slower) }'
done <<'ROWS'
--version
schedule examples/otter-warm.ini
schedule examples/otter-cold.ini
schedule examples/otter-slow.ini
schedule examples/otter-mesh.ini
schedule examples/otter-impossible.ini
schedule examples/otter-warm.ini --nominal
schedule examples/otter-warm.ini --json
schedule examples/otter-warm.ini --sheet o.pdf
schedule examples/otter-warm.ini --page o.html
resin fast-urethane
resin casting-epoxy
resin polyester
area examples/otter.stl --mesh-unit mm --wall 5mm
traps examples/otter.stl --mesh-unit mm
turn examples/otter-slow.ini
turn examples/otter-mesh.ini
cuptest examples/cuptest.csv --resin fast-urethane
warm examples/otter-cold.ini
warm examples/otter-mesh.ini
supplies examples/otter-warm.ini
supplies examples/otter-mesh.ini
day examples/day.ini
bench examples/otter-warm.ini --log o.log
ROWS

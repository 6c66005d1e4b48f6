#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every answer in JSON follows its schema (lib/json/*.schema.json), and what does not is refused. Without
# python3-jsonschema it is skipped, and says so; POURCLOCK_SCHEMAS=required makes that a failure (.ci/run).
set -u
src=$(cd "${srcdir:-.}" && pwd)
program=$PWD/pourclock
[ -x "$program" ] || exit 77 # built without the command
python3 -c 'import jsonschema; jsonschema.Draft202012Validator' 2>/dev/null || {
    echo "no python3 with jsonschema: the schemas are not tried"
    [ "${POURCLOCK_SCHEMAS:-}" != required ] || exit 1
    exit 77
}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cp -r "$src/examples" "$scratch/examples"
chmod -R u+w "$scratch/examples"
mkdir "$scratch/answers"
cd "$scratch" || exit 99
POURCLOCK_SHELF=$scratch/examples/resins
export POURCLOCK_SHELF
unset XDG_CONFIG_HOME
HOME=$scratch
export HOME
sed 's/^start = .*/&\nroom = 60 m3\nventilation = 200 cfm/' examples/otter-figure.ini >examples/aired.ini
printf '[pin ankle]\nmetal = steel\ncount = 2\nwire = 3 mm\nfree = 20 mm\nsocket = 20 mm\nleg = 15 mm\n' >>examples/aired.ini
(cat examples/week.ini && printf '[kit fast-urethane]\nholds = 4 kg\n') | sed 's:otter-warm.ini:examples/otter-warm.ini:' >kits.ini
printf 'kind,mass,temperature,time,cup,reading\ngel,100 g,20 C,6 min,,\ngel,100 g,28 C,4 min,,\nlog,100 g,20 C,1 min,a,22 C\nlog,100 g,20 C,3 min,a,30 C\nlog,100 g,20 C,4 min,a,38 C\nlog,100 g,20 C,5 min,a,48 C\nlog,100 g,20 C,6 min,a,57 C\n' >cups.csv
printf '[piece]\nname = Drained\nresin = fast-urethane\n[hollow body]\narea = 500 cm2\nwall = 0.3 mm\nleast_layer = 0.1 mm\n[turning]\nmethod = drain\n[shop]\ntemperature = 24 C\n' >drained.ini
printf '[resin]\nname = Filled\nfamily = urethane\nratio = 100:90 by weight\nfiller = calcium-carbonate 80 parts\npot_life = 3 min\n' >filled.ini
printf '[day]\nname = Filled\nstart = 08:00\nend = 18:00\n[casting bear]\npiece = examples/otter-filled.ini\n' >filled-day.ini
# Two cubes of 40 mm, and a bar of 8 mm from one to the other.
awk 'function box(x0, x1, y) { n = 8 * count++
        for (i = 0; i < 8; i++) print "v", (i % 2 ? x1 : x0), (int(i / 2) % 2 ? y : -y), (i > 3 ? y : -y)
        split("1 3 2 2 3 4 5 6 7 6 8 7 1 2 5 2 6 5 3 7 4 4 7 8 1 5 3 3 5 7 2 4 6 4 8 6", f, " ")
        for (i = 1; i < 36; i += 3) print "f", f[i] + n, f[i + 1] + n, f[i + 2] + n }
    BEGIN { box(-60, -20, 20); box(20, 60, 20); box(-25, 25, 4) }' >bar.obj
sed 's/^pot_life.*/nonsense/' examples/resins/polyester.ini >examples/resins/broken.ini
printf '[piece]\nname = Mixed\nresin = slow-urethane\n[hollow body]\narea = 500 cm2\nwall = 3 mm\n[solid base]\nvolume = 200 cm3\nresin = polyester\n[solid tail]\nvolume = 20 cm3\nresin = casting-epoxy\n' >mixed.ini
printf 'item,resin,name,part_a,part_b,price\nresin,,urethane,1 kg,1 kg,40\nresin,polyester,polyester,1 kg,20 g,15\nrubber,,pail,1 kg,,34\nshell,,bag,5 kg,,9\nrelease,,can,300 g,,14\n' >mixed.csv
n=0
while read -r name command; do
    [ -n "$name" ] || continue
    n=$((n + 1))
    # shellcheck disable=SC2086
    eval "\"$program\" $command --json" >"answers/$name.$n.json" 2>err
    [ $? -le 1 ] || { cat err; echo "FAIL $command"; exit 1; }
done <<'COMMANDS'
schedule schedule examples/otter-warm.ini
schedule schedule examples/otter-warm.ini --nominal
schedule schedule examples/otter-bronze.ini
schedule schedule examples/otter-cold.ini
schedule schedule examples/otter-figure.ini
schedule schedule examples/otter-filled.ini
schedule schedule examples/otter-half.ini
schedule schedule examples/otter-hand.ini
schedule schedule examples/otter-impossible.ini
schedule schedule examples/otter-mesh.ini
schedule schedule examples/otter-slow.ini
schedule schedule --area 900cm2 --wall 3mm --resin polyester --shop 35C
schedule schedule examples/otter-seam.ini
schedule schedule examples/otter-small.ini
schedule schedule examples/otter-slush.ini
schedule schedule drained.ini
turn turn drained.ini
turn turn --shape "sphere 20 mm" --wall 3.4mm --layers 1 --resin fast-urethane --shop 30C
turn turn examples/otter-warm.ini
turn turn examples/otter-hand.ini
turn turn examples/otter-slow.ini --inner 12rpm
turn turn examples/otter-cold.ini
turn turn examples/otter-bronze.ini
turn turn examples/otter-half.ini
warm warm examples/otter-cold.ini --try-resin 68F --try-mold 68F --try-mold 95F --try-room 59F
warm warm examples/otter-hand.ini --try-resin 20C --try-mold 20C --try-room 20C
supplies supplies examples/aired.ini --castings 9 --prices examples/prices.csv
supplies supplies examples/otter-small.ini
supplies supplies drained.ini
supplies supplies examples/otter-filled.ini
supplies supplies examples/otter-bronze.ini
supplies supplies examples/otter-seam.ini
supplies supplies mixed.ini --prices mixed.csv
supplies supplies --area 900cm2 --wall 4mm --resin polyester --shop 20C --room 60m3 --ventilation 300m3/h
day day examples/day.ini
day day examples/week.ini
day day kits.ini
day day filled-day.ini
need day examples/week.ini --need 200
resin resin fast-urethane --at 23C --mass 100g
resin resin polyester --at 23C --mass 100g
resin resin casting-epoxy --at 23C --mass 100g --film 1mm
resin resin ./filled.ini --at 23C --mass 100g
shelf resin
cuptest cuptest examples/cuptest.csv --resin fast-urethane
cuptest cuptest cups.csv --family urethane
area area examples/otter.stl --mesh-unit mm --wall 5mm --resin fast-urethane
area area examples/otter-figure.ini
area area --shape "cylinder 8 cm x 20 cm" --wall 4mm
traps traps bar.obj --mesh-unit mm --wall 5mm --bore 12mm
traps traps examples/otter.stl --mesh-unit mm --pour-from 0,60,40 --best
COMMANDS
[ "$n" -gt 30 ] || { echo "too few answers: the check is blind"; exit 1; }
python3 "$src/tests/cli/schemas.py" "$src/lib/json" answers

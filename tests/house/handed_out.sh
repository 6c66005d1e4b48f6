#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What the library hands out can grow: no header holds one of these structures but by pointer, and neither the tool
# nor an example declares one, copies one or asks for its size.
set -u
cd "${srcdir:-.}" || exit 99
types='schedule|part_plan|layer|step|warning|day|day_plan|day_piece|day_break|day_workday|day_casting|day_entry|day_kit_use|day_air'
held="\\b(const )?pc_($types) [a-z_]+(\\[[^]]*\\])?( = [^;]*|, [^;(]*)?;|sizeof ?\\(?(const )?pc_($types)\\b[^*]|= \\*(schedule|plan|layer|step|warning|day|casting|entry)(->[a-z_]+(\\[[^]]*\\])*)*;"
bad=0
for line in 'pc_layer layer[12];' '    pc_schedule schedule = {0};' 'calloc(1, sizeof(pc_step))' '    late = *plan;'; do
    echo "$line" | grep -qE "$held" || { echo "the check is blind to: $line"; bad=1; }
done
seen=$(ls lib/include/pourclock/*.h cli/*/*.[ch] examples/*.c | wc -l)
[ "$seen" -gt 80 ] || { echo "too few files: the check is blind"; bad=1; }
if grep -nE "$held" lib/include/pourclock/*.h cli/*/*.[ch] examples/*.c; then
    echo "the library's, to be read through pointers alone (DEVELOPERS.md, Releases)"
    bad=1
fi
echo "$seen files"
exit $bad

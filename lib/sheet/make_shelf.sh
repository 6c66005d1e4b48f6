#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Writes shelf_data.h, the files given as bytes under their folder and the names they go by on the
# shelf, to standard output: what the library falls back on where no folder is found. Only POSIX tools.
#
#     make_shelf.sh EXAMPLES/resins/NAME.ini... EXAMPLES/fillers/NAME.ini...
set -eu
echo '/* SPDX-License-Identifier: GPL-3.0-or-later */'
echo '/* Made by lib/sheet/make_shelf.sh: the shelf that is part of the library. */'
rows=
n=0
for file in "$@"; do
    name=$(basename "$file" .ini)
    folder=$(basename "$(dirname "$file")")
    echo "static const unsigned char shelf_bytes_$n[] = {"
    od -An -v -tx1 "$file" | sed 's/ \([0-9a-f][0-9a-f]\)/0x\1,/g'
    echo '};'
    rows="$rows    {\"$folder\", \"$name\", shelf_bytes_$n, sizeof shelf_bytes_$n},
"
    n=$((n + 1))
done
cat <<C
static const struct {
    const char *folder, *name;
    const unsigned char *bytes;
    size_t size;
} shelf_data[] = {
$rows};
C

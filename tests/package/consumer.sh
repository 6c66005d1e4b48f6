#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The library as another project sees it: installed into a scratch prefix, found by pkg-config, used
# from C, from Python and its headers from C++, exporting what its headers declare and nothing else, and gone
# again after uninstall. Run from a build directory.
set -eu
srcdir=$(cd "${srcdir:-.}" && pwd)
make=${MAKE:-make}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    echo "FAIL: $1"
    exit 1
}
prefix=$(sed -n 's/^prefix = //p' Makefile)
$make -s install DESTDIR="$scratch" >"$scratch/log" 2>&1 || { cat "$scratch/log"; fail "install"; }
PKG_CONFIG_PATH=$scratch$prefix/lib/pkgconfig
PKG_CONFIG_SYSROOT_DIR=$scratch
export PKG_CONFIG_PATH PKG_CONFIG_SYSROOT_DIR
flags=$(pkg-config --cflags --libs pourclock) || fail "pkg-config does not find pourclock"

for name in area cuptest day need resin schedule shelf supplies traps turn warm; do
    [ -s "$scratch$prefix/share/pourclock/schemas/$name.schema.json" ] || fail "no schema of $name is installed"
done

cat > "$scratch/use.c" <<'C'
#include <pourclock.h>
#include <stdio.h>
int main(void) {
    double wall_m;
    if (pc_quantity_parse("3/16 in", PC_LENGTH, &wall_m, NULL, 0) != PC_OK)
        return 1;
    printf("%.7f\n", wall_m);
    return 0;
}
C
# shellcheck disable=SC2086
${CC:-cc} -std=c11 -Wall -Wextra -Wpedantic -Werror "$scratch/use.c" -o "$scratch/use" $flags || fail "a C program does not build"
[ "$(LD_LIBRARY_PATH=$scratch$prefix/lib "$scratch/use")" = 0.0047625 ] || fail "the C program's answer is wrong"

if command -v "${CXX:-c++}" >/dev/null 2>&1; then
    printf '#include <pourclock.h>\nint main() { return pc_status_text(PC_OK)[0] == 0; }\n' > "$scratch/use.cc"
    # shellcheck disable=SC2086
    ${CXX:-c++} -std=c++17 -Wall -Wextra -Wpedantic -Werror "$scratch/use.cc" -o "$scratch/usecc" $flags || fail "the headers do not compile as C++"
fi
# From Python, by its own foreign functions: no header, no compiler.
python=no
if command -v python3 >/dev/null 2>&1; then
    cat > "$scratch/use.py" <<'PY'
import ctypes, json, re, subprocess, sys

library = ctypes.CDLL(sys.argv[1])
library.pc_version.restype = library.pc_status_text.restype = ctypes.c_char_p
parse = library.pc_quantity_parse
parse.argtypes = [ctypes.c_char_p, ctypes.c_int, ctypes.POINTER(ctypes.c_double), ctypes.c_char_p, ctypes.c_size_t]
# The dimension's number is the place of its row in the header's table.
rows = re.findall(r"X\((PC_[A-Z0-9_]+)", re.search(r"#define PC_DIMENSION_TABLE.*?\n\n", open(sys.argv[2]).read(), re.S).group())
wall_m, why = ctypes.c_double(), ctypes.create_string_buffer(200)
assert re.fullmatch(rb"[0-9.]+", library.pc_version())
assert parse(b"3/16 in", rows.index("PC_LENGTH"), ctypes.byref(wall_m), why, 200) == 0, why.value
assert abs(wall_m.value - 0.0047625) < 1e-12, wall_m.value
status = parse(b"3/16 parsec", rows.index("PC_LENGTH"), ctypes.byref(wall_m), why, 200)
assert status != 0 and b"parsec" in why.value and library.pc_status_text(status), why.value

# The JSON functions: what they write is what the tool prints. Structures are rooms that only the library looks into.
def answer(function, *arguments):
    text = ctypes.c_void_p()
    assert function(*arguments, ctypes.byref(text)) == 0
    written = ctypes.string_at(text.value).rstrip(b"\n")
    library.pc_text_free(text)
    return written

def printed(*arguments):
    return subprocess.run([sys.argv[3], *arguments, "--json", "--quiet", "--no-shop"], stdout=subprocess.PIPE, check=True).stdout.rstrip(b"\n")

file = sys.argv[4].encode()
shelf = json.loads(answer(library.pc_shelf_json))
assert "fast-urethane" in json.dumps(shelf), shelf
piece, schedule = ctypes.create_string_buffer(1 << 20), ctypes.c_void_p()
assert library.pc_piece_read_in_shop(None, file, piece, None) == 0
assert library.pc_schedule_make(piece, ctypes.byref(schedule), None) == 0
plan = answer(library.pc_schedule_json, piece, schedule)
assert json.loads(plan)["format"] == 1 and plan == printed("schedule", sys.argv[4]), plan[:200]
library.pc_schedule_free(schedule)
library.pc_piece_free(piece)
PY
    LD_LIBRARY_PATH=$scratch$prefix/lib POURCLOCK_SHELF=$scratch$prefix/share/pourclock/resins \
        python3 "$scratch/use.py" "$scratch$prefix/lib/libpourclock.so" "$scratch$prefix/include/pourclock/quantity.h" \
        "$scratch$prefix/bin/pourclock" "$scratch$prefix/share/doc/pourclock/examples/otter-warm.ini" ||
        fail "a Python program's answer is wrong"
    python=yes
fi
for header in "$scratch$prefix"/include/pourclock/*.h; do
    name=$(basename "$header")
    printf '#include <pourclock/%s>\nint main(void) { return 0; }\n' "$name" > "$scratch/one.c"
    # shellcheck disable=SC2086
    ${CC:-cc} -std=c11 -Wpedantic -Werror -fsyntax-only "$scratch/one.c" $flags || fail "$name does not stand by itself"
done

nm -D --defined-only "$scratch$prefix"/lib/libpourclock.so | awk '$2 ~ /[TDBR]/ { print $3 }' | LC_ALL=C sort > "$scratch/symbols"
grep -v '^pc_' "$scratch/symbols" && fail "symbols without the prefix are exported"
sed -n 's/^PC_API.*[ *]\(pc_[a-zA-Z0-9_]*\)(.*/\1/p' "$srcdir"/lib/include/pourclock/*.h | LC_ALL=C sort -u > "$scratch/declared"
comm -13 "$scratch/symbols" "$scratch/declared" > "$scratch/missing"
[ ! -s "$scratch/missing" ] || { cat "$scratch/missing"; fail "declared but not exported"; }
comm -23 "$scratch/symbols" "$scratch/declared" > "$scratch/extra"
[ ! -s "$scratch/extra" ] || { cat "$scratch/extra"; fail "exported but not declared"; }

# Bug 1 of the package: the manual said that the library keeps no state that changes, and it keeps
# what stands for GSL's handler. Of its variables those alone are no constants.
if command -v objdump >/dev/null; then
    state=$(objdump -t "$scratch$prefix"/lib/libpourclock.so | awk '/ O \.(bss|data)\t/ { print $NF }' | grep -vE '^(__|completed)' |
        LC_ALL=C sort | tr '\n' ' ')
    [ "$state" = "callers_handler inside lock " ] || fail "state that changes: $state"
fi

$make -s uninstall DESTDIR="$scratch" >"$scratch/log" 2>&1 || { cat "$scratch/log"; fail "uninstall"; }
left=$(find "$scratch$prefix" ! -type d | head -5)
[ -z "$left" ] || fail "uninstall leaves $left"
[ $python = yes ] || echo "no python3: the library is not tried from it"
echo "PASS: installed, used from C and C++ (Python: $python), $(wc -l < "$scratch/symbols") symbols, uninstalled"

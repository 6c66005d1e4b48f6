#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The flags a packager sets reach every compile and link. Given: the log of `make V=1 all` in the
# current build directory, configured with -O2 -fstack-protector-strong, -D_FORTIFY_SOURCE=2 and
# -Wl,-z,relro,-z,now, each in the variable it belongs to.
set -eu
log=$1
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    echo "FAIL: $1"
    exit 1
}
grep -E ' -c ' "$log" | grep -vE '^libtool: compile|^mv ' >"$scratch/compiles" || fail "no compile line seen"
for flag in -D_FORTIFY_SOURCE=2 -fstack-protector-strong -O2; do
    if grep -v -e "$flag" "$scratch/compiles"; then
        fail "compiled without $flag"
    fi
done
grep -E 'mode=link' "$log" >"$scratch/links" || fail "no link line seen"
if grep -v -e '-Wl,-z,relro,-z,now' "$scratch/links"; then
    fail "linked without LDFLAGS"
fi
for binary in .libs/pourclock .libs/libpourclock.so; do
    [ -e "$binary" ] || fail "no $binary"
    readelf -lW "$binary" | grep -q GNU_RELRO || fail "$binary: no RELRO"
    readelf -dW "$binary" | grep -qE 'BIND_NOW|FLAGS.*NOW' || fail "$binary: not bound at the start"
    readelf -sW --dyn-syms "$binary" | grep -q __stack_chk_fail || fail "$binary: no stack protector"
    readelf -sW --dyn-syms "$binary" | grep -qE '__(v?s?n?|f)printf_chk|__memcpy_chk' || fail "$binary: not fortified"
    if readelf -lW "$binary" | grep GNU_STACK | grep -q E; then
        readelf -lW "$binary" | grep GNU_STACK | grep -q RWE && fail "$binary: its stack can be executed"
    fi
done
echo "PASS: $(wc -l <"$scratch/compiles") compiles and $(wc -l <"$scratch/links") links with the flags given"

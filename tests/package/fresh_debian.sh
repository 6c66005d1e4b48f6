#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What a stranger does on a fresh Debian: unpack the tarball, ./bootstrap, make demo, the README's own
# command, make install, pourclock from another folder; then make uninstall, after which nothing of
# it is left. In a root made by debootstrap, so it runs as root, with a mirror in reach, for minutes.
# Usage, from a configured build directory: sh tests/package/fresh_debian.sh [SUITE]
set -u
srcdir=$(cd "${srcdir:-.}" && pwd)
suite=${1:-bookworm}
# The mirror this system uses, or the one named.
mirror=${MIRROR:-$(sed -n -e 's/^URIs: *\([^ ]*\).*/\1/p' -e 's/^deb  *\(\[[^]]*\] *\)\{0,1\}\([^ ]*\).*/\2/p' \
    /etc/apt/sources.list /etc/apt/sources.list.d/*.list /etc/apt/sources.list.d/*.sources 2>/dev/null | grep '/debian/*$' | head -n 1)}
[ -n "$mirror" ] || { echo "SKIP: no mirror of Debian is known: name it, MIRROR=URL" && exit 77; }
for tool in debootstrap chroot; do
    command -v $tool >/dev/null || { echo "SKIP: $tool is not installed" && exit 77; }
done
[ "$(id -u)" -eq 0 ] || { echo "SKIP: not root" && exit 77; }
scratch=$(mktemp -d)
root=$scratch/root
trap 'rm -rf "$scratch"' EXIT
fail() {
    tail -n 20 "$scratch/log"
    echo "FAIL: $1"
    exit 1
}
# What ./bootstrap installs to build with, and nothing more.
packages=$(sed -n '/^build_packages=/,/"$/p' "$srcdir/bootstrap" | sed 's/.*="//; s/"//' | xargs | tr ' ' ,)
debootstrap --variant=minbase --include="$packages,xz-utils" "$suite" "$root" "$mirror" >"$scratch/log" 2>&1 ||
    fail "debootstrap"
[ ! -d "$root/var/lib/apt/lists" ] || rm -rf "$root"/var/lib/apt/lists/*
inside() {
    env -i PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8 \
        chroot "$root" /bin/sh -c "$1" >"$scratch/log" 2>&1
}
# Files, and folders of ours; a folder that other programs use too may stay, as in any uninstall.
everything() {
    find "$root" -xdev \( -path "$root/build" -o -path "$root/proc" -o -path "$root/tmp" \) -prune -o \
        ! -path '*/ld.so.cache' ! -path '*/aux-cache' \( ! -type d -o -path '*pourclock*' \) -print | LC_ALL=C sort
}
${MAKE:-make} -s dist-xz >"$scratch/log" 2>&1 || fail "make dist"
tarball=$(ls -t pourclock-*.tar.xz | head -n 1)
mkdir "$root/build"
mv "$tarball" "$root/build/"
everything >"$scratch/before"
inside "cd /build && tar -xJf $tarball --strip-components=1 && ./bootstrap --no-install && make -j2 demo" || fail "./bootstrap && make demo"
grep -q '^Otter, seated' "$scratch/log" || fail "the demo prints another thing"
inside "cd /build && ./pourclock schedule examples/otter-warm.ini" || fail "the README's command after make demo"
inside "cd /build && make install" || fail "make install"
inside "cd / && pourclock --version && pourclock schedule /usr/local/share/doc/pourclock/examples/otter-warm.ini" ||
    fail "pourclock after make install"
inside "cd /tmp && cp -r /usr/local/share/doc/pourclock/examples plan && cd plan && gcc plan.c -o it \$(pkg-config --cflags --libs pourclock) && ./it otter-warm.ini" ||
    fail "the library after make install"
inside "cd /build && make uninstall" || fail "make uninstall"
everything >"$scratch/after"
left=$(LC_ALL=C comm -13 "$scratch/before" "$scratch/after" | sed "s,^$root,,")
[ -z "$left" ] || { echo "$left" | head -20 && fail "uninstall leaves these"; }
inside "ldconfig -p | grep pourclock" && fail "uninstall leaves it in the loader's cache"
# To a home, by somebody who is not root and cannot write the loader's cache.
inside "useradd -m caster && chown -R caster /build && su caster -c 'cd /build && make -s clean && ./configure --quiet --prefix=\$HOME/.local && make -s -j2 install && cd / && ~/.local/bin/pourclock resin polyester'" ||
    fail "an installation in a home"
grep -q '^Polyester' "$scratch/log" || fail "the resin from a home prints another thing"
echo "PASS: Debian $suite: built, demo, installed, run, uninstalled without a trace; and in a home"

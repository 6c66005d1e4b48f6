#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A Debian source package of the tree: pourclock, libpourclock0, libpourclock-dev. It is built, linted and
# unpacked, and the tool and a program on the library run from what was unpacked. Its debian folder is written
# here, in scratch: a packager may start from it (--keep DIR leaves the packages there).
# Usage, from a configured build directory: sh tests/package/debian.sh [--keep DIR]
# Needs: dpkg-dev, debhelper, lintian.
set -u
srcdir=$(cd "${srcdir:-.}" && pwd)
for tool in dpkg-buildpackage dh lintian; do
    command -v $tool >/dev/null || { echo "SKIP: $tool is not installed" && exit 77; }
done
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    tail -n 30 "$scratch/log"
    echo "FAIL: Debian package: $1"
    exit 1
}
new=$(nm -D --defined-only .libs/libpourclock.so 2>/dev/null | awk '$2 ~ /[TDBR]/ { print $3 }' |
    while read -r name; do grep -q "^$name " "$srcdir/tests/package/libpourclock.symbols" || printf '%s ' "$name"; done)
[ -z "$new" ] || { echo "FAIL: Debian package: not in libpourclock.symbols: $new(sh tests/package/abi.sh --update)" && exit 1; }
version=$(sed -n 's/^VERSION = //p' Makefile)
${MAKE:-make} -s dist-xz >"$scratch/log" 2>&1 || fail "make dist"
mv "pourclock-$version.tar.xz" "$scratch/pourclock_$version.orig.tar.xz"
tar -xJf "$scratch/pourclock_$version.orig.tar.xz" -C "$scratch"
cd "$scratch/pourclock-$version" || exit 99
mkdir -p debian/source debian/tests
# What ./bootstrap installs to build with, but for what every Debian build has.
needs=$(sed -n '/^build_packages=/,/"$/p' "$srcdir/bootstrap" | sed 's/.*="//; s/"//' | xargs -n 1 |
    grep -vxE 'autoconf|automake|libtool|gcc|libc6-dev|make' | sed 's/^pkg-config$/pkgconf/; s/^check$/check <!nocheck>/' | sed 's/^/ /; s/$/,/')
who="${DEBFULLNAME:-pourclock packagers} <${DEBEMAIL:-packagers@pourclock.invalid}>"
echo '3.0 (quilt)' >debian/source/format
cat >debian/control <<C
Source: pourclock
Section: science
Priority: optional
Maintainer: $who
Build-Depends: debhelper-compat (= 13),
$needs
Standards-Version: 4.6.2
Rules-Requires-Root: no

Package: pourclock
Architecture: any
Depends: \${misc:Depends}, \${shlibs:Depends}
Description: timed pour-and-turn schedules for hollow castings in resin
 Hollow castings are made by pouring a little resin into a mold and turning it
 until the resin has gelled on the wall, layer upon layer. pourclock plans the
 layers, the cups, the deadlines, the turning, heat and demold from the resin's
 data sheet, the mold and the temperature of the shop, and runs the clock.

Package: libpourclock0
Section: libs
Architecture: any
Multi-Arch: same
Depends: \${misc:Depends}, \${shlibs:Depends}
Description: schedules for hollow castings in resin - library
 The model behind pourclock: cure, heat, films, layers, schedules, days.

Package: libpourclock-dev
Section: libdevel
Architecture: any
Multi-Arch: same
Depends: libpourclock0 (= \${binary:Version}), libexpat1-dev, libgsl-dev, libjansson-dev, libutf8proc-dev, libzip-dev, \${misc:Depends}
Description: schedules for hollow castings in resin - development
 Headers of libpourclock, and what links a program to it.
C
cat >debian/rules <<'C'
#!/usr/bin/make -f
export DEB_BUILD_MAINT_OPTIONS = hardening=+all
%:
	dh $@
override_dh_auto_configure:
	dh_auto_configure -- --disable-static
execute_after_dh_auto_install:
	rm -f debian/tmp/usr/lib/*/*.la
C
chmod +x debian/rules
cat >debian/changelog <<C
pourclock ($version-1) unstable; urgency=medium

  * First package.

 -- $who  $(LC_ALL=C date -R -d "@${SOURCE_DATE_EPOCH:-1790000000}")
C
cat >debian/copyright <<C
Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/
Upstream-Name: pourclock

Files: *
Copyright: 2026 the pourclock authors
License: GPL-3.0-or-later
 On Debian systems the full text of the GNU General Public License version 3
 is in /usr/share/common-licenses/GPL-3.
C
printf '%s\n' usr/bin usr/share/pourclock 'usr/share/doc/pourclock/*' usr/share/man/man1 'usr/share/man/man5' 'usr/share/man/man7' \
    usr/share/bash-completion usr/share/zsh usr/share/fish >debian/pourclock.install
printf '%s\n' 'usr/lib/*/libpourclock.so.*' >debian/libpourclock0.install
printf '%s\n' usr/include 'usr/lib/*/libpourclock.so' 'usr/lib/*/pkgconfig' usr/share/man/man3 >debian/libpourclock-dev.install
{
    echo 'libpourclock.so.0 libpourclock0 #MINVER#'
    grep -v '^#' "$srcdir/tests/package/libpourclock.symbols" | sed 's/^\([^ ]*\) \(.*\)/ \1@Base \2/'
} >debian/libpourclock0.symbols
# A packaged program tries what was installed.
printf 'Tests: use\nDepends: libpourclock-dev, gcc, pkgconf, pourclock\n' >debian/tests/control
cat >debian/tests/use <<'C'
#!/bin/sh
set -e
cp -r /usr/share/doc/pourclock/examples "$AUTOPKGTEST_TMP"
cd "$AUTOPKGTEST_TMP/examples"
gunzip -f ./*.gz 2>/dev/null || :
gcc plan.c -o plan $(pkg-config --cflags --libs pourclock)
./plan otter-warm.ini
pourclock schedule otter-warm.ini >/dev/null
C
DEB_BUILD_OPTIONS="nocheck parallel=$(nproc 2>/dev/null || echo 2)" dpkg-buildpackage -us -uc -d >"$scratch/log" 2>&1 || fail "dpkg-buildpackage"
cd "$scratch" || exit 99
# What a first upload to Debian itself would name, and whose address it is, is the packager's.
lintian --fail-on error,warning --suppress-tags initial-upload-closes-no-bugs,bogus-mail-host,maintainer-address-malformed,mail-address-loops-or-bounces,bogus-mail-host-in-debian-changelog ./*.changes >"$scratch/lint" 2>&1
code=$?
cp "$scratch/lint" "$scratch/log"
[ $code -eq 0 ] || fail "lintian"
for package in ./*.deb; do
    case $package in *-dbgsym_*) ;; *) dpkg-deb -x "$package" "$scratch/root" || fail "$package" ;; esac
done
library=$(dirname "$(find "$scratch/root/usr/lib" -name 'libpourclock.so.0')")
LD_LIBRARY_PATH=$library "$scratch/root/usr/bin/pourclock" schedule "$scratch/root/usr/share/doc/pourclock/examples/otter-warm.ini" >"$scratch/log" 2>&1 ||
    fail "the packaged tool does not plan"
cc -I"$scratch/root/usr/include" "$scratch/pourclock-$version/examples/plan.c" -o "$scratch/plan" -L"$library" -lpourclock >"$scratch/log" 2>&1 ||
    fail "a program on the packaged library does not build"
LD_LIBRARY_PATH=$library "$scratch/plan" "$scratch/pourclock-$version/examples/otter-warm.ini" >"$scratch/log" 2>&1 || fail "and does not run"
[ "${1:-}" != --keep ] || cp ./*.deb ./*.dsc ./*.tar.* ./*.changes "$2" || fail "cannot keep them in $2"
echo "PASS: source and $(ls ./*.deb | grep -vc dbgsym) packages of $version built, linted ($(wc -l <"$scratch/lint") remarks), unpacked and run"

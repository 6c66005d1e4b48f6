#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Another processor: cross-compiled with Debian's compiler against Debian's libraries of that
# processor, and run by an emulator: 32 bits (armhf), big endian (s390x). Meshes are read and measured
# there, and the examples give the same digits as here. Nothing is installed or changed on this
# machine: the libraries are unpacked into a scratch folder.
# Usage, from any folder:
#     sh tests/package/foreign.sh armhf|s390x [UNIT-TEST]...
# Needs: gcc-arm-linux-gnueabihf or gcc-s390x-linux-gnu, qemu-user-static (or qemu-user), a mirror.
set -u
arch=${1:?armhf or s390x}
shift
srcdir=$(cd "$(dirname "$0")/../.." && pwd)
# The mirror this system uses, or the one named.
mirror=${MIRROR:-$(sed -n -e 's/^URIs: *\([^ ]*\).*/\1/p' -e 's/^deb  *\(\[[^]]*\] *\)\{0,1\}\([^ ]*\).*/\2/p' \
    /etc/apt/sources.list /etc/apt/sources.list.d/*.list /etc/apt/sources.list.d/*.sources 2>/dev/null | grep '/debian/*$' | head -n 1)}
[ -n "$mirror" ] || { echo "SKIP: no mirror of Debian is known: name it, MIRROR=URL" && exit 77; }
suite=${SUITE:-bookworm}
case $arch in
armhf) triplet=arm-linux-gnueabihf emulator=qemu-arm ;;
s390x) triplet=s390x-linux-gnu emulator=qemu-s390x ;;
*) echo "$arch: armhf or s390x was expected" && exit 2 ;;
esac
command -v $emulator >/dev/null || emulator=$emulator-static
for tool in $triplet-gcc $emulator dpkg-deb apt-get; do
    command -v "$tool" >/dev/null || { echo "SKIP: $tool is not installed" && exit 77; }
done
scratch=$(mktemp -d)
trap 'chmod -R u+w "$scratch"; rm -rf "$scratch"' EXIT
fail() {
    tail -n 20 "$scratch/log"
    echo "FAIL: $arch: $1"
    exit 1
}
root=${SYSROOT:-$scratch/sysroot}

# Packages of that processor, in an apt of their own.
unpack_libraries() {
    local_apt=$scratch/apt
    mkdir -p "$local_apt/lists/partial" "$local_apt/archives/partial" "$root"
    : >"$local_apt/status"
    echo "deb $mirror $suite main" >"$local_apt/sources.list"
    set -- -qq -o APT::Architecture="$arch" -o APT::Architectures="$arch" -o Dir::State="$local_apt" \
        -o Dir::State::status="$local_apt/status" -o Dir::Cache="$local_apt" -o APT::Install-Recommends=0 \
        -o Dir::Etc::sourcelist="$local_apt/sources.list" -o Dir::Etc::sourceparts=/dev/null -o Debug::NoLocking=1
    apt-get "$@" update && apt-get "$@" --download-only -y install libc6-dev libgcc-s1 libgsl-dev libiniparser-dev \
        libjansson-dev libutf8proc-dev libzip-dev libexpat1-dev check || return 1
    for package in "$local_apt"/archives/*.deb; do
        dpkg-deb -x "$package" "$root" || return 1
    done
    # Links from the top of that system lead into this one's.
    find "$root" -type l -lname '/*' | while IFS= read -r link; do
        ln -snf "$root$(readlink "$link")" "$link"
    done
}
[ -d "$root/usr" ] || unpack_libraries >"$scratch/log" 2>&1 || fail "its libraries cannot be had"

[ ! -e "$srcdir/config.status" ] || {
    # A tree that is built in cannot be built out of: take what its tarball would hold.
    (cd "$srcdir" && make -s dist-xz distdir=pourclock-foreign && mv pourclock-foreign.tar.xz "$scratch") >"$scratch/log" 2>&1 ||
        fail "make dist"
    mkdir "$scratch/source"
    tar -xJf "$scratch/pourclock-foreign.tar.xz" -C "$scratch/source" --strip-components=1
    srcdir=$scratch/source
}
mkdir "$scratch/build"
cd "$scratch/build" || exit 99
export PKG_CONFIG_LIBDIR="$root/usr/lib/$triplet/pkgconfig:$root/usr/share/pkgconfig" PKG_CONFIG_SYSROOT_DIR="$root"
"$srcdir/configure" --quiet --host=$triplet CC="${CCACHE:-} $triplet-gcc --sysroot=$root" --without-cairo --without-qrencode --without-libical \
    --enable-werror LDFLAGS="-Wl,-rpath-link,$root/lib/$triplet:$root/usr/lib/$triplet" >"$scratch/log" 2>&1 || fail "configure"
tests=${*:-check_mesh check_mesh_formats check_shape check_input check_quantity check_safety check_solve}
programs=
for test in $tests; do
    programs="$programs tests/unit/$test"
done
jobs=$(nproc 2>/dev/null || echo 2)
# One after the other: "all" makes itself anew.
# shellcheck disable=SC2086
{ make -s -j"$jobs" all && make -s -j"$jobs" $programs examples/otter_mesh; } >"$scratch/log" 2>&1 || fail "make"
there() {
    LD_LIBRARY_PATH= QEMU_LD_PREFIX=$root $emulator -E LD_LIBRARY_PATH="$scratch/build/.libs" "$@"
}
# A test runs this one by its name.
mv examples/otter_mesh examples/otter_mesh.there
printf '#!/bin/sh\nexec env QEMU_LD_PREFIX=%s %s %s\n' "$root" "$emulator" "$PWD/examples/otter_mesh.there" >examples/otter_mesh
chmod +x examples/otter_mesh
for test in $tests; do
    program=tests/unit/.libs/$test
    [ -e "$program" ] || program=tests/unit/$test
    CK_FORK=no CK_TIMEOUT_MULTIPLIER=100 there "$program" >"$scratch/log" 2>&1 || fail "$test"
    tail -n 1 "$scratch/log"
done

# The same digits as the examples expect, which are this machine's: what differs at all, in lines.
cd "$srcdir/examples" || exit 99
for piece in otter-warm otter-cold otter-hand otter-slow otter-mesh; do
    # An expected file is one dialogue: `$ command`, its output, perhaps "[exit N]".
    sed -e 1d -e '/^\[exit [0-9]*\]$/d' $piece.expected >"$scratch/expected"
    command=$(sed -n '1s/^\$ pourclock //p' $piece.expected | sed 's,examples/,,g')
    # shellcheck disable=SC2086
    POURCLOCK_SHELF=$srcdir/examples/resins there "$scratch/build/.libs/pourclock" $command >"$scratch/got" 2>"$scratch/log"
    [ $? -le 1 ] || fail "$piece"
    # "..." in it stands for the rest.
    if grep -qxF ... "$scratch/expected"; then
        sed -i '/^\.\.\.$/,$d' "$scratch/expected"
        head -n "$(wc -l <"$scratch/expected")" "$scratch/got" >"$scratch/head" && mv "$scratch/head" "$scratch/got"
    fi
    differ=$(diff "$scratch/expected" "$scratch/got" | grep -c '^>')
    echo "$piece: $(wc -l <"$scratch/got") lines, $differ other than here"
    [ "$differ" -eq 0 ] || diff "$scratch/expected" "$scratch/got" | head -n 6
    [ "$differ" -le 2 ] || fail "$piece gives other numbers"
done
echo "PASS: $arch: built, $(echo $tests | wc -w) unit tests, examples"

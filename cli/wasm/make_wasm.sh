#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# `make wasm`: the planner as one HTML file that plans without a network, pourclock-planner.html. Run
# in a build directory; all that is made on the way lies in its folder wasm.
#     make_wasm.sh SOURCE-FOLDER
set -eu
source=$(cd "$1" && pwd)
make=${MAKE:-make}
unset MAKEFLAGS MFLAGS MAKELEVEL CFLAGS CPPFLAGS LDFLAGS LIBS 2>/dev/null || :
jobs=$(nproc 2>/dev/null || echo 2)
stop() {
    printf 'make wasm: %s\n' "$@" >&2
    exit 1
}
missing=
for tool in emcc emar emranlib node; do
    command -v $tool >/dev/null || missing="$missing $tool"
done
[ -z "$missing" ] || stop "not here:$missing" "on Debian, as root: apt-get install -y --no-install-recommends emscripten nodejs"
# Where Debian's own parts of emscripten are; a Node.js that is not Debian's does not look there.
NODE_PATH=${NODE_PATH:+$NODE_PATH:}/usr/share/nodejs
export NODE_PATH
mkdir -p wasm/build
sh "$source/cli/wasm/libraries.sh" wasm/libraries
libraries=$PWD/wasm/libraries

# A tree that is built in cannot be built out of: take what its tarball would hold.
quietly() {
    "$@" >wasm/log 2>&1 || {
        tail -n 30 wasm/log >&2
        stop "failed: $1"
    }
}
quietly "$make" -s distdir distdir=wasm/source
configure() {
    cd wasm/build && ../source/configure --quiet --host=wasm32-unknown-emscripten --disable-shared --enable-static \
        --without-cairo --without-qrencode --without-libical CC=emcc AR=emar RANLIB=emranlib CFLAGS=-O2 \
        CPPFLAGS="-I$libraries/include" LDFLAGS="-L$libraries/lib" GSL_CFLAGS=" " GSL_LIBS="-lgsl" \
        JANSSON_CFLAGS=" " JANSSON_LIBS=-ljansson UTF8PROC_CFLAGS=-DUTF8PROC_STATIC UTF8PROC_LIBS=-lutf8proc \
        LIBZIP_CFLAGS=" " LIBZIP_LIBS="-lzip -lz" EXPAT_CFLAGS=" " EXPAT_LIBS=-lexpat \
        CHECK_CFLAGS=" " CHECK_LIBS=" " SUNDIALS_CFLAGS=" " SUNDIALS_LIBS=" " --prefix=/
}
if ! [ wasm/build/config.status -nt wasm/source/configure ]; then
    echo "  WASM     configure"
    (configure) >wasm/log 2>&1 || {
        tail -n 30 wasm/log >&2
        stop "configure failed: wasm/build/config.log says why"
    }
fi
echo "  WASM     pourclock"
quietly "$make" -C wasm/build -s -j"$jobs" pourclock LDFLAGS="-L$libraries/lib -O2 -sMODULARIZE=1 -sEXPORT_NAME=makePourclock \
    -sSINGLE_FILE=1 -sALLOW_MEMORY_GROWTH=1 -sINVOKE_RUN=0 -sEXIT_RUNTIME=1 -sENVIRONMENT=worker,node \
    -sEXPORTED_RUNTIME_METHODS=FS,callMain"
cp wasm/build/pourclock wasm/pourclock.cjs
versions=$(cd "$libraries/source" && for name in *.version; do printf '%s %s, ' "${name%.version}" "$(cat "$name")"; done)
node "$source/cli/wasm/make_planner.mjs" "$source" wasm/pourclock.cjs \
    "pourclock $(sed -n 's/^#define PACKAGE_VERSION "\(.*\)"/\1/p' wasm/build/config.h), with ${versions%, }" >pourclock-planner.html-new
mv pourclock-planner.html-new pourclock-planner.html
echo "  WASM     pourclock-planner.html ($(wc -c <pourclock-planner.html) bytes)"

#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Another system by its headers: every source of the library and the tool is compiled by clang with
# what POSIX 2008 declares and no more (glibc hides its own additions then), as a Mac would, and with what
# of POSIX a Mac has not got made unusable. There is no Mac to run it on. Warnings are errors, so that
# a function nobody declares is one.
# Usage, from any folder: sh tests/package/macos.sh
set -u
srcdir=$(cd "$(dirname "$0")/../.." && pwd)
command -v clang >/dev/null || { echo "SKIP: clang is not installed" && exit 77; }
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    grep -E 'error|warning' "$scratch/log" | head -n 20
    echo "FAIL: macOS: $1"
    exit 1
}
[ ! -e "$srcdir/config.status" ] || {
    # A tree that is built in cannot be built out of: take what its tarball would hold.
    (cd "$srcdir" && make -s dist-xz distdir=pourclock-macos && mv pourclock-macos.tar.xz "$scratch") >"$scratch/log" 2>&1 ||
        fail "make dist"
    mkdir "$scratch/source"
    tar -xJf "$scratch/pourclock-macos.tar.xz" -C "$scratch/source" --strip-components=1
    srcdir=$scratch/source
}
# features.h is read once: what stands here holds for all that follows. Then the headers that declare what
# is poisoned, so that only a use of ours is one.
cat >"$scratch/shim.h" <<'C'
#undef _GNU_SOURCE
#undef _DEFAULT_SOURCE
#define _POSIX_C_SOURCE 200809L
#define _XOPEN_SOURCE 700
#include <fcntl.h>
#include <locale.h>
#include <pthread.h>
#include <semaphore.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>
/* What a Mac has and POSIX has not: flock in sys/file.h, strcasestr in string.h, strtod_l in xlocale.h. */
int flock(int, int);
char *strcasestr(const char *, const char *);
double strtod_l(const char *, char **, locale_t);
#pragma clang poison fdatasync posix_fallocate posix_fadvise clock_nanosleep timer_create sem_timedwait
#pragma clang poison sem_init pthread_barrier_init pthread_condattr_setclock pthread_mutex_timedlock
#pragma clang poison memfd_create getrandom secure_getenv program_invocation_name mempcpy strchrnul
#pragma clang poison canonicalize_file_name pipe2 qsort_r reallocarray sched_getaffinity
#undef CLOCK_BOOTTIME
C
mkdir "$scratch/build"
cd "$scratch/build" || exit 99
"$srcdir/configure" --quiet --disable-static CC=clang CFLAGS=-O1 --enable-werror ac_cv_func_memfd_create=no \
    ac_cv_have_decl_fdatasync=no >"$scratch/log" 2>&1 || fail "configure"
make -s -k -j"$(nproc 2>/dev/null || echo 2)" CFLAGS="-O1 -include $scratch/shim.h" libpourclock-all.la pourclock >"$scratch/log" 2>&1 ||
    fail "does not compile"
# A path of Linux alone may be tried, if doing without it is no error.
paths=$(grep -rnE '"/(proc|sys)/' "$srcdir/lib" "$srcdir/cli" --include='*.c' | grep -vc 'boot_id')
[ "$paths" -eq 0 ] || fail "a path of Linux: $(grep -rnE '"/(proc|sys)/' "$srcdir/lib" "$srcdir/cli" --include='*.c')"
for piece in otter-warm otter-cold; do
    POURCLOCK_SHELF=$srcdir/examples/resins ./pourclock schedule "$srcdir/examples/$piece.ini" >"$scratch/got" 2>"$scratch/log"
    [ $? -le 1 ] || fail "$piece"
    sed -e 1d -e '/^\[exit [0-9]*\]$/d' "$srcdir/examples/$piece.expected" | diff - "$scratch/got" >"$scratch/log" || fail "$piece differs"
done
echo "PASS: every source compiles with what a Mac declares, and plans as here"

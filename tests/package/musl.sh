#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Another C library: musl (Debian: musl-tools). Debian has none of the libraries we need for musl, so:
# every source of the library and the tool is compiled against musl's headers, with warnings as errors;
# then the tool is linked, static, with the other libraries' archives (made for glibc: they use plain C
# but for a few names that a shim gives them; of libzip there is no archive, so that packages of 3MF are
# compiled, not read) and plans the examples with the digits expected.
# Usage, from any folder: sh tests/package/musl.sh
set -u
srcdir=$(cd "$(dirname "$0")/../.." && pwd)
for tool in musl-gcc pkg-config; do
    command -v $tool >/dev/null || { echo "SKIP: $tool is not installed" && exit 77; }
done
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    tail -n 20 "$scratch/log"
    echo "FAIL: musl: $1"
    exit 1
}
# Headers of the other libraries alone: glibc's must not be seen.
include=$scratch/include
mkdir "$include" "$scratch/o"
for header in gsl iniparser jansson.h jansson_config.h utf8proc.h zip.h zipconf.h expat.h expat_external.h expat_config.h; do
    for place in /usr/include /usr/include/"$(gcc -print-multiarch 2>/dev/null)"; do
        [ ! -e "$place/$header" ] || cp -r "$place/$header" "$include/"
    done
done
[ ! -e "$srcdir/config.status" ] || {
    # A tree that is built in cannot be built out of: take what its tarball would hold.
    (cd "$srcdir" && make -s dist-xz distdir=pourclock-musl && mv pourclock-musl.tar.xz "$scratch") >"$scratch/log" 2>&1 ||
        fail "make dist"
    mkdir "$scratch/source"
    tar -xJf "$scratch/pourclock-musl.tar.xz" -C "$scratch/source" --strip-components=1
    srcdir=$scratch/source
}
cat >"$scratch/shim.c" <<'C'
/* Names that archives made for glibc ask for. */
#define _GNU_SOURCE
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <zip.h>
/* libzip: nothing can be opened. */
void zip_discard(zip_t *z) {
    (void)z;
}
int zip_error_code_zip(const zip_error_t *e) {
    (void)e;
    return 0;
}
void zip_error_fini(zip_error_t *e) {
    (void)e;
}
void zip_error_init(zip_error_t *e) {
    (void)e;
}
const char *zip_error_strerror(zip_error_t *e) {
    (void)e;
    return "built without libzip";
}
int zip_fclose(zip_file_t *f) {
    (void)f;
    return 0;
}
zip_file_t *zip_fopen_index(zip_t *z, zip_uint64_t i, zip_flags_t flags) {
    (void)z, (void)i, (void)flags;
    return NULL;
}
zip_int64_t zip_fread(zip_file_t *f, void *to, zip_uint64_t n) {
    (void)f, (void)to, (void)n;
    return -1;
}
zip_int64_t zip_get_num_entries(zip_t *z, zip_flags_t flags) {
    (void)z, (void)flags;
    return -1;
}
zip_t *zip_open_from_source(zip_source_t *s, int flags, zip_error_t *e) {
    (void)s, (void)flags, (void)e;
    return NULL;
}
zip_source_t *zip_source_buffer_create(const void *data, zip_uint64_t n, int owned, zip_error_t *e) {
    (void)data, (void)n, (void)owned, (void)e;
    return NULL;
}
void zip_source_free(zip_source_t *s) {
    (void)s;
}
int zip_stat(zip_t *z, const char *name, zip_flags_t flags, zip_stat_t *to) {
    (void)z, (void)name, (void)flags, (void)to;
    return -1;
}
int zip_stat_index(zip_t *z, zip_uint64_t i, zip_flags_t flags, zip_stat_t *to) {
    (void)z, (void)i, (void)flags, (void)to;
    return -1;
}
const char *zip_strerror(zip_t *z) {
    (void)z;
    return "built without libzip";
}
/* libexpat takes its seed from glibc's. */
void arc4random_buf(void *to, size_t n);
void arc4random_buf(void *to, size_t n) {
    if (getentropy(to, n) != 0)
        abort();
}
int __fprintf_chk(FILE *f, int flag, const char *format, ...);
int __fprintf_chk(FILE *f, int flag, const char *format, ...) {
    (void)flag;
    va_list a;
    va_start(a, format);
    int n = vfprintf(f, format, a);
    va_end(a);
    return n;
}
int __snprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, ...);
int __snprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, ...) {
    (void)flag, (void)room;
    va_list a;
    va_start(a, format);
    int n = vsnprintf(to, size, format, a);
    va_end(a);
    return n;
}
int __sprintf_chk(char *to, int flag, size_t room, const char *format, ...);
int __sprintf_chk(char *to, int flag, size_t room, const char *format, ...) {
    (void)flag;
    va_list a;
    va_start(a, format);
    int n = vsnprintf(to, room, format, a);
    va_end(a);
    return n;
}
int __vsnprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, va_list a);
int __vsnprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, va_list a) {
    (void)flag, (void)room;
    return vsnprintf(to, size, format, a);
}
int __vfprintf_chk(FILE *f, int flag, const char *format, va_list a);
int __vfprintf_chk(FILE *f, int flag, const char *format, va_list a) {
    (void)flag;
    return vfprintf(f, format, a);
}
int __printf_chk(int flag, const char *format, ...);
int __printf_chk(int flag, const char *format, ...) {
    (void)flag;
    va_list a;
    va_start(a, format);
    int n = vprintf(format, a);
    va_end(a);
    return n;
}
void *__memcpy_chk(void *to, const void *from, size_t n, size_t room);
void *__memcpy_chk(void *to, const void *from, size_t n, size_t room) {
    (void)room;
    return memcpy(to, from, n);
}
char *__strncpy_chk(char *to, const char *from, size_t n, size_t room);
char *__strncpy_chk(char *to, const char *from, size_t n, size_t room) {
    (void)room;
    return strncpy(to, from, n);
}
char *__strcpy_chk(char *to, const char *from, size_t room);
char *__strcpy_chk(char *to, const char *from, size_t room) {
    (void)room;
    return strcpy(to, from);
}
int __isoc99_sscanf(const char *text, const char *format, ...);
int __isoc99_sscanf(const char *text, const char *format, ...) {
    va_list a;
    va_start(a, format);
    int n = vsscanf(text, format, a);
    va_end(a);
    return n;
}
int __isoc99_fscanf(FILE *f, const char *format, ...);
int __isoc99_fscanf(FILE *f, const char *format, ...) {
    va_list a;
    va_start(a, format);
    int n = vfscanf(f, format, a);
    va_end(a);
    return n;
}
C
mkdir "$scratch/build"
cd "$scratch/build" || exit 99
# As Makefile and configure have it; what musl lacks must not be found by the way.
archives="$scratch/shim.o"
for library in iniparser jansson utf8proc expat gsl gslcblas; do
    archives="$archives $(gcc -print-file-name=lib$library.a)"
done
"$srcdir/configure" --quiet --disable-shared --enable-static --without-cairo --without-qrencode --without-libical --enable-werror \
    CC=musl-gcc CFLAGS="-O2" CPPFLAGS="-I$include" LDFLAGS="-static" GSL_CFLAGS=" " GSL_LIBS=" " \
    JANSSON_CFLAGS=" " JANSSON_LIBS=" " UTF8PROC_CFLAGS=" " UTF8PROC_LIBS=" " \
    LIBZIP_CFLAGS=" " LIBZIP_LIBS=" " EXPAT_CFLAGS=" " EXPAT_LIBS=" " ac_cv_lib_iniparser_iniparser_load=yes >"$scratch/log" 2>&1 || fail "configure"
musl-gcc -O1 -I"$include" -c "$scratch/shim.c" -o "$scratch/shim.o" || fail "the shim"
make -s -j"$(nproc 2>/dev/null || echo 2)" LDFLAGS=-all-static INIPARSER_LIBS= LIBS="$archives -lm" pourclock >"$scratch/log" 2>&1 || fail "make"
! file pourclock 2>/dev/null | grep -q 'dynamically linked' || fail "the tool is not static"
cd "$srcdir/examples" || exit 99
for piece in otter-warm otter-cold otter-hand otter-slow; do
    sed -e 1d -e '/^\[exit [0-9]*\]$/d' $piece.expected >"$scratch/expected"
    "$scratch/build/pourclock" schedule $piece.ini >"$scratch/got" 2>"$scratch/log"
    [ $? -le 1 ] || fail "$piece"
    differ=$(diff "$scratch/expected" "$scratch/got" | grep -c '^>')
    echo "$piece: $(wc -l <"$scratch/got") lines, $differ other than with glibc"
    [ "$differ" -eq 0 ] || { diff "$scratch/expected" "$scratch/got" | head -n 6 && fail "$piece gives other numbers"; }
done
"$scratch/build/pourclock" area otter.stl --mesh-unit mm | head -n 4
echo "PASS: musl: compiled with warnings as errors, linked static, examples"

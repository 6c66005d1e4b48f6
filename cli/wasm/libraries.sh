#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Other people's libraries for WebAssembly: what we need of them, compiled by emcc out of Debian's
# source packages, which are fetched here when they are wanted and are no part of our tree.
#     libraries.sh FOLDER       FOLDER/include and FOLDER/lib, made once
# Without a network, or for other versions: unpack a library's source to FOLDER/source/NAME yourself.
set -eu
to=$1
cc=${EMCC:-emcc}
jobs=$(nproc 2>/dev/null || echo 2)
stop() {
    printf 'make wasm: %s\n' "$@" >&2
    exit 1
}
mkdir -p "$to/source" "$to/include/gsl" "$to/lib" "$to/objects" "$to/apt/parts" "$to/apt/lists/partial" "$to/apt/archives/partial"
to=$(cd "$to" && pwd)
source=$to/source

# What this system's own lists say of packages, asked for sources; without root's rights, and nothing
# of the system is changed.
list_sources() {
    for file in /etc/apt/sources.list /etc/apt/sources.list.d/*.list /etc/apt/sources.list.d/*.sources; do
        [ -s "$file" ] || continue
        sed -e 's/^Types:.*/Types: deb-src/' -e 's/^deb /deb-src /' "$file" >"$to/apt/parts/${file##*/}"
    done
    mirror=$(sed -n -e 's/^URIs: *\([^ ]*\).*/\1/p' -e 's/^deb-src  *\(\[[^]]*\] *\)\{0,1\}\([^ ]*\).*/\2/p' "$to"/apt/parts/* |
        grep '/debian/*$' | head -n 1)
    echo "${mirror:+deb-src $mirror stable main}" >"$to/apt/stable"
}
apt() { # SOURCE-LIST PARTS ARGUMENT...
    list=$1
    parts=$2
    shift 2
    apt-get -qq -o Dir::Etc::sourcelist="$list" -o Dir::Etc::sourceparts="$parts" -o Dir::State::lists="$to/apt/lists" \
        -o Dir::Cache="$to/apt" -o APT::Sandbox::User= -o Acquire::Languages=none "$@" >>"$to/apt/log" 2>&1
}
fetched() { # NAME SOURCE-LIST PARTS
    rm -rf "${source:?}/$1" "$to/apt/$1"
    mkdir "$to/apt/$1"
    (cd "$to/apt/$1" && apt "$2" "$3" source --download-only "$1" && dpkg-source -x ./*.dsc "$source/$1") >>"$to/apt/log" 2>&1 &&
        sed -n 's/^Version: *//p' "$to/apt/$1"/*.dsc >"$source/$1.version"
}
fetch() { # NAME...: of this release, or where its archive has it no more, of the stable one
    missing=
    for name; do
        [ -d "$source/$name" ] || missing="$missing $name"
    done
    [ -n "$missing" ] || return 0
    for tool in apt-get dpkg-source; do
        command -v $tool >/dev/null || stop "$tool is not here, so these sources cannot be fetched:$missing" \
            "unpack each to $source/NAME, then: make wasm"
    done
    list_sources
    : >"$to/apt/log"
    apt /dev/null "$to/apt/parts" update || :
    late=
    for name in $missing; do
        fetched "$name" /dev/null "$to/apt/parts" || late="$late $name"
    done
    [ -z "$late" ] || apt "$to/apt/stable" /dev/null update || :
    for name in $late; do
        fetched "$name" "$to/apt/stable" /dev/null && continue
        rm -rf "${source:?}/$name"
        tail -n 5 "$to/apt/log" >&2
        stop "the source package of $name could not be fetched (all that apt said: $to/apt/log)" \
            "with a network, try again; or unpack its source to $source/$name, then: make wasm"
    done
}

# compile LIBRARY FOLDER "FLAGS" FILE...: into lib/libLIBRARY.a, beside what is in it already.
compile() {
    library=$1
    folder=$2
    flags=$3
    shift 3
    objects=$to/objects/$library-$(basename "$folder")
    rm -rf "$objects"
    mkdir "$objects"
    # shellcheck disable=SC2086
    (cd "$objects" && printf "$folder/%s\n" "$@" | xargs -P "$jobs" -n 24 "$cc" -O2 -w -I"$to/include" -I"$folder" $flags -c) ||
        stop "$library could not be compiled"
    emar qcs "$to/lib/lib$library.a" "$objects"/*.o
}
# The files that the Makefile.am of a folder of GSL names.
sources_of() {
    sed -e ':a' -e '/\\$/N; s/\\\n/ /; ta' "$1/Makefile.am" | sed -n 's/^lib[a-z_0-9]*_la_SOURCES *= *//p' |
        tr ' \t' '\n\n' | grep '\.c$' | sort -u
}

make_gsl() {
    cp "$source"/gsl/gsl_*.h "$source"/gsl/*/gsl_*.h "$to/include/gsl/"
    mkdir -p "$to/objects/config"
    {
        printf '#define %s 1\n' HAVE_C99_INLINE HAVE_IEEE_COMPARISONS HAVE_IEEE_DENORMALS HAVE_DECL_ISNAN HAVE_DECL_ISINF \
            HAVE_DECL_ISFINITE HAVE_DECL_HYPOT HAVE_DECL_EXPM1 HAVE_DECL_LOG1P
        grep -v '#undef' "$source/gsl/config.h.in"
    } >"$to/objects/config/config.h"
    # When the link misses a gsl_ name: the folder it is in belongs here.
    for part in blas block cblas cdf err integration linalg matrix multifit_nlinear ode-initval2 permutation \
        qrng randist rng roots specfunc sys vector; do
        # shellcheck disable=SC2046
        compile gsl "$source/gsl/$part" "-I$to/objects/config -I$source/gsl" $(sources_of "$source/gsl/$part")
    done
}
make_jansson() {
    sed -e 's/@json_inline@/inline/' -e 's/@json_have_long_long@/1/' -e 's/@json_have_localeconv@/1/' -e 's/@json_have_[a-z_]*@/0/' \
        "$source/jansson/src/jansson_config.h.in" >"$to/include/jansson_config.h"
    cp "$source/jansson/src/jansson.h" "$to/include/"
    mkdir -p "$to/objects/jansson-config"
    printf '#define HAVE_%s_H 1\n' LOCALE STDINT SYS_TYPES UNISTD >"$to/objects/jansson-config/jansson_private_config.h"
    compile jansson "$source/jansson/src" "-I$to/objects/jansson-config -DHAVE_CONFIG_H" \
        dump.c error.c hashtable.c hashtable_seed.c load.c memory.c pack_unpack.c strbuffer.c strconv.c utf.c value.c version.c
}
make_iniparser() {
    mkdir -p "$to/include/iniparser"
    cp "$source"/iniparser/src/*.h "$to/include/iniparser/"
    compile iniparser "$source/iniparser/src" "" dictionary.c iniparser.c
}
make_utf8proc() {
    cp "$source/utf8proc/utf8proc.h" "$to/include/"
    compile utf8proc "$source/utf8proc" -DUTF8PROC_STATIC utf8proc.c
}
make_expat() {
    cp "$source"/expat/expat/lib/expat*.h "$to/include/"
    mkdir -p "$to/objects/expat-config"
    printf '#define XML_CONTEXT_BYTES 1024\n#define XML_DTD 1\n#define XML_GE 1\n#define XML_NS 1\n#define XML_DEV_URANDOM 1\n' \
        >"$to/objects/expat-config/expat_config.h"
    # Newer ones have each source of random numbers in a file of its own.
    more=
    [ ! -e "$source/expat/expat/lib/random_dev_urandom.c" ] || more=random_dev_urandom.c
    # shellcheck disable=SC2086
    compile expat "$source/expat/expat/lib" "-I$to/objects/expat-config" xmlparse.c xmlrole.c xmltok.c $more
}
make_zlib() {
    cp "$source/zlib/zlib.h" "$source/zlib/zconf.h" "$to/include/"
    compile z "$source/zlib" -DHAVE_UNISTD_H adler32.c crc32.c deflate.c inffast.c inflate.c inftrees.c trees.c zutil.c
}
# Its list of files is its CMakeLists.txt's; the words of its errors are made out of zip.h, as there.
make_libzip() {
    lib=$source/libzip/lib
    version=$(sed -n 's/^ *VERSION \([0-9.]*\).*/\1/p' "$source/libzip/CMakeLists.txt" | head -n 1)
    config=$to/objects/zip-config
    mkdir -p "$config"
    cp "$lib/zip.h" "$to/include/"
    sed -e "s/\${libzip_VERSION}/$version/" -e 's/\${libzip_VERSION_[A-Z]*}/0/' -e 's/#cmakedefine.*//' \
        -e 's/\${ZIP_NULLABLE_DEFINES}/#define _Nullable\n#define _Nonnull/' -e 's/\${LIBZIP_TYPES_INCLUDE}/#include <inttypes.h>/' \
        -e 's/\${ZIP_UINT\([0-9]*\)_T}/uint\1_t/; s/\${ZIP_INT\([0-9]*\)_T}/int\1_t/' \
        "$source/libzip/cmake-zipconf.h.in" >"$to/include/zipconf.h"
    cat >"$config/config.h" <<'C'
#include "zipconf.h"
#define HAVE_FILENO
#define HAVE_FSEEKO
#define HAVE_FTELLO
#define HAVE_LOCALTIME_R
#define HAVE_MKSTEMP
#define HAVE_SNPRINTF
#define HAVE_STDBOOL_H
#define HAVE_STRCASECMP
#define HAVE_STRDUP
#define HAVE_STRINGS_H
#define HAVE_STRTOLL
#define HAVE_STRTOULL
#define HAVE_UNISTD_H
#define HAVE_DIRENT_H
#define SIZEOF_OFF_T 8
#define SIZEOF_SIZE_T 4
#define PACKAGE "libzip"
C
    printf '#define VERSION "%s"\n' "$version" >>"$config/config.h"
    {
        printf '#include "zipint.h"\n#define N ZIP_ET_NONE\n#define S ZIP_ET_SYS\n#define Z ZIP_ET_ZLIB\n#define L ZIP_ET_LIBZIP\n'
        printf 'const char *const _zip_err_str[] = {\n'
        sed -n 's,^#define ZIP_ER_[A-Z_]* [0-9]* */\* [NSZL] \(.*\) \*/.*,"\1"\,,p' "$lib/zip.h"
        printf '};\nconst int _zip_nerr_str = sizeof(_zip_err_str) / sizeof(_zip_err_str[0]);\nconst int _zip_err_type[] = {\n'
        sed -n 's,^#define ZIP_ER_[A-Z_]* [0-9]* */\* \([NSZL]\) .* \*/.*,\1\,,p' "$lib/zip.h"
        printf '};\n'
    } >"$config/zip_err_str.c"
    # shellcheck disable=SC2046
    compile zip "$lib" "-I$config -DHAVE_CONFIG_H" $(sed -n '/^add_library(zip$/,/)/p' "$lib/CMakeLists.txt" | grep -o '^ *zip_.*\.c') \
        zip_source_file_stdio_named.c zip_random_unix.c zip_mkstempm.c
    compile zip "$config" "-I$config -I$lib -DHAVE_CONFIG_H" zip_err_str.c
}

packages="gsl jansson iniparser utf8proc expat zlib libzip"
# shellcheck disable=SC2086
fetch $packages
for package in $packages; do
    [ -e "$to/lib/$package.made" ] && continue
    echo "  WASM     $package $(cat "$source/$package.version" 2>/dev/null)"
    library=$package
    case $package in zlib | libzip) library=${package#lib} && library=${library%lib} ;; esac
    rm -f "$to/lib/lib$library.a"
    make_$package
    : >"$to/lib/$package.made"
done

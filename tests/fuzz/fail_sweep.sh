# SPDX-License-Identifier: GPL-3.0-or-later
# What the sweeps of failing allocations and failing calls share; sourced by fail_malloc.sh and
# fail_io.sh. A line of their lists is a command; a word @NAME is a file it writes, "< FILE" what it
# reads on standard input, and the folder is that of the examples.
#
# Whatever fails, the command must end by itself: with its own exit code, never by a signal, and
# - exit 0 or 1: the answer and every file are what they are when nothing fails;
# - exit 2 to 4: a message stands on standard error, and every file is as it was before or, where it
#   was done before the failure, whole; the bench's log may end early, for it is kept line by line;
# - no other file is left beside them, and (failing allocations) nothing is left unfreed that is
#   freed when nothing fails.
set -u
build=$(cd "${1:-.}" && pwd)
srcdir=$(cd "${srcdir:-.}" && pwd)
scratch=$(mktemp -d)
trap 'chmod -R u+w "$scratch"; rm -rf "$scratch"' EXIT
tool=$build/.libs/pourclock
[ -x "$tool" ] || tool=$build/pourclock
export LD_LIBRARY_PATH="$build/.libs"
export POURCLOCK_SHELF="$srcdir/examples/resins"
export POURCLOCK_BENCH_CLOCK=1773478800 SOURCE_DATE_EPOCH=1773478800 TZ=UTC
tried=0
bad=0

compile() {
    ${CC:-cc} -std=c11 -D_GNU_SOURCE -O1 -shared -fPIC "$srcdir/tests/fuzz/$1" -o "$scratch/fail.so" -ldl ||
        exit 99
}

finding() {
    echo "FAIL: $line ($1): $2"
    bad=$((bad + 1))
}

# Files as they are before: each holds a line of its own.
prepare() {
    rm -rf "$scratch/out"
    mkdir "$scratch/out"
    for name in $files; do
        case $name in *.log) ;; *) echo "before $name" >"$scratch/out/$name" ;; esac
    done
}

# Reads $line into: arguments of the command in $words, its files in $files, its input in $input.
understand() {
    words= files= input=/dev/null
    set -- $line
    while [ $# -gt 0 ]; do
        case $1 in
        '<') input=$srcdir/examples/$2 && shift ;;
        @*) words="$words $scratch/out/${1#@}" files="$files ${1#@}" ;;
        *) words="$words $1" ;;
        esac
        shift
    done
}

# once PRELOAD: one run, its exit code in $code.
once() {
    prepare
    # shellcheck disable=SC2086
    LD_PRELOAD=$1 timeout 60 "$tool" $words <"$input" >"$scratch/stdout" 2>"$scratch/stderr"
    code=$?
}

# The run that nothing fails in, twice: files that differ even so are only asked to be there.
reference() {
    once "$1"
    reference_code=$code
    rm -rf "$scratch/whole" "$scratch/varies"
    mkdir "$scratch/varies"
    cp -r "$scratch/out" "$scratch/whole"
    cp "$scratch/stdout" "$scratch/whole.stdout"
    once "$1"
    for name in $files; do
        cmp -s "$scratch/out/$name" "$scratch/whole/$name" || touch "$scratch/varies/$name"
    done
    [ $reference_code -le 1 ] || finding "nothing failing" "exit $reference_code: $(head -n 1 "$scratch/stderr")"
}

same() {
    [ -e "$scratch/varies/$1" ] && [ -s "$scratch/out/$1" ] && ! before "$1" && return 0
    cmp -s "$scratch/out/$1" "$scratch/whole/$1"
}

before() {
    [ "$(cat "$scratch/out/$1" 2>/dev/null)" = "before $1" ]
}

# judge WHAT: the run just made, with WHAT failing.
judge() {
    tried=$((tried + 1))
    if [ $code -gt 4 ]; then
        finding "$1" "exit $code: $(head -c 300 "$scratch/stderr")"
    elif [ $code -ge 2 ]; then
        [ -s "$scratch/stderr" ] || finding "$1" "exit $code without a word"
        for name in $files; do
            case $name in *.log) continue ;; esac
            before "$name" || same "$name" || finding "$1" "exit $code and $name is damaged"
        done
    else
        [ $code -eq $reference_code ] || finding "$1" "exit $code, otherwise $reference_code"
        case $line in
        bench*) ;; # goes on with the plan it has, and says so
        *) cmp -s "$scratch/stdout" "$scratch/whole.stdout" || finding "$1" "exit $code, the answer is another" ;;
        esac
        for name in $files; do
            case $name in *.log) continue ;; esac
            same "$name" || finding "$1" "exit $code, $name is another"
        done
    fi
    for left in "$scratch"/out/* "$scratch"/out/.[!.]*; do
        [ -e "$left" ] || continue
        case " $files " in *" ${left##*/} "*) ;; *) finding "$1" "${left##*/} is left behind" ;; esac
    done
}

# sweep_list FILE: sweep for every line of it. The lines go by another descriptor, for the commands
# read standard input.
sweep_list() {
    cd "$srcdir/examples" || exit 99
    while read -r line <&3; do
        case $line in '#'* | '') continue ;; esac
        understand
        sweep
    done 3<"$1"
}

#!/bin/sh
# analyse.sh [cppcheck|analyzer|tidy].. [-- FILE..]: what compilers don't see, by three tools: cppcheck, gcc -fanalyzer, clang-tidy. Clean is
# no line at all. What is left out, and why, stands in tests/cppcheck.txt, tests/analyzer.txt and .clang-tidy. Minutes a tool.
set -u
cd "$(dirname "$0")/.."
build=build-analyse
tools=
while [ $# -gt 0 ] && [ "$1" != -- ]; do
    tools="$tools $1"
    shift
done
[ $# -gt 0 ] && shift
sources=${*:-$(find lib cli -name '*.c' ! -path 'cli/page/bytes.c' ! -path lib/core/status.c | sort)} # status.c is what analyse.h stands for
[ -f $build/build.ninja ] || CC=clang meson setup $build --buildtype=plain -Dtests=disabled >/dev/null || exit 1
ninja -C $build lib/white_points.h lib/style.h lib/gallery_script.h cli/page/sentences_de.inc >/dev/null || exit 1
facts="-include tests/support/analyse.h -I lib -I cli -I $build/lib"
findings=$(mktemp)
trap 'rm -f "$findings"' EXIT

run_cppcheck() {
    # shellcheck disable=SC2086
    cppcheck -q --std=c11 --enable=warning,performance,portability --suppressions-list=tests/cppcheck.txt --include=tests/support/analyse.h \
        -I lib -I cli -I $build/lib --template='{file}:{line}: {id}: {message}' $sources 2>&1
}

# Lines of tests/analyzer.txt are FILE:FUNCTION:OPTION, with the reason behind a #.
run_analyzer() {
    for source in $sources; do
        # shellcheck disable=SC2086
        LC_ALL=C gcc -std=c11 -O1 -fanalyzer -fdiagnostics-plain-output -D_POSIX_C_SOURCE=200809L -D_DEFAULT_SOURCE -D_FILE_OFFSET_BITS=64 \
            -DWM_HAVE_HEIF -DWM_HAVE_SECCOMP -isystem /usr/include/stb $facts -c "$source" -o /dev/null 2>&1
    done | awk '
        BEGIN { while ((getline line < "tests/analyzer.txt") > 0) { sub(/ *#.*/, "", line); if (line) explained[line] = 1 } }
        /: In function / { split($0, part, "'\''"); inside = part[2] }
        /warning: .*\[-Wanalyzer-/ {
            split($0, part, ":"); option = $0; sub(/.*\[-Wanalyzer-/, "", option); sub(/\].*/, "", option)
            if (!((part[1] ":" inside ":" option) in explained)) print part[1] ":" part[2] ": in " inside ": " option
        }'
}

run_tidy() {
    # shellcheck disable=SC2086
    clang-tidy -quiet -p $build --extra-arg=-include --extra-arg="$PWD/tests/support/analyse.h" --extra-arg=-I"$PWD/lib" $sources 2>/dev/null |
        grep -E ' (warning|error): ' | sed -e "s|$PWD/||" -e "s|^$build/../||" -e "s|^\.\./||"
}

for tool in ${tools:-cppcheck analyzer tidy}; do
    "run_$tool" >>"$findings"
done
sort -u "$findings"
[ ! -s "$findings" ]

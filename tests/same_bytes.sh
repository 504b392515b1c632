#!/bin/sh
# same_bytes.sh: builds the command line by gcc and clang, unoptimized and optimized, and compares what the four give (same_bytes.py). The
# locale with a decimal comma is made on the spot. Some minutes; the builds stay in build-same/.
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
cd "$top"
mkdir -p build-same/locale
[ -d build-same/locale/de_DE.UTF-8 ] || localedef --no-archive -i de_DE -f UTF-8 build-same/locale/de_DE.UTF-8
programs=
for compiler in gcc clang; do
    for level in 2 0; do
        build=build-same/$compiler-O$level
        [ -f "$build/build.ninja" ] || CC=$compiler meson setup "$build" --buildtype=plain --optimization=$level -Dwerror=true -Dtests=disabled >/dev/null
        ninja -C "$build" cli/weftmatch cli/weftmatch-photo cli/weftmatch-photo-heic >/dev/null
        programs="$programs $build/cli/weftmatch"
    done
done
LOCPATH=$top/build-same/locale python3 tests/same_bytes.py samples $programs

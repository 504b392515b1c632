#!/bin/sh
# on32.sh [FOLDER]: the unit and reference tests, fuzz targets, the wall round photos and the golden answers on 32 bit, in a Debian of its own
# (debootstrap, as root; kept in FOLDER between runs). There
# sizes, times and file offsets are other types, and numbers come from SSE as on 64 bit (-msse2 -mfpmath=sse), since x87 rounds otherwise.
# Built with -O2, as Debian builds: with -O3 its gcc 12 gets a loop of test_sample.c wrong on i386 (right with -fno-tree-vectorize, and under
# the sanitizers). test_book and the clients of its races need a quiet machine or patience: each test may take ten times as long (-t 10).
# DEBIAN_MIRROR: where packages come from, else as debootstrap has it.
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
root=${1:-/var/tmp/weftmatch-i386}
if [ ! -f "$root/ready" ]; then
    debootstrap --arch=i386 --variant=minbase --include=gcc,libc6-dev,meson,ninja-build,pkg-config,liblcms2-dev,libstb-dev,libheif-dev,libsqlite3-dev,libjansson-dev,libexif-dev,libseccomp-dev,libmicrohttpd-dev,nettle-dev,zlib1g-dev,libjpeg62-turbo-dev,libpng-dev,libcmocka-dev,python3-minimal \
        bookworm "$root" ${DEBIAN_MIRROR:-}
    touch "$root/ready"
fi
rm -rf "$root/src"
mkdir "$root/src"
(cd "$top" && git ls-files -z | xargs -0 tar cf -) | tar xf - -C "$root/src"
mountpoint -q "$root/proc" || mount -t proc proc "$root/proc"
trap 'umount "$root/proc"' EXIT
LC_ALL=C chroot "$root" sh -c 'cd /src && CFLAGS="-msse2 -mfpmath=sse" meson setup /build >/dev/null; meson configure /build -Ddebug=false -Doptimization=2 -Dwerror=true && ninja -C /build &&
    meson test -C /build --no-rebuild -t 10 --suite unit --suite reference --suite fuzz &&
    meson test -C /build --no-rebuild -t 10 flat golden fault_core_memory fault_match_memory fault_photo_memory fault_book fault_helper wall kills'

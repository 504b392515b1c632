#!/bin/sh
# From nothing to a match: installs what is missing, builds, runs the main job on the sample photo into a book of its own in a
# temporary folder, prints the match and says where the report is. Safe to run twice.
set -eu
cd "$(dirname "$0")/.."
. tests/support/install.sh

install_missing $BUILD_PACKAGES
[ -f build/demo/build.ninja ] || meson setup build/demo --buildtype=release -Dtests=disabled >/dev/null
echo "Building ..."
ninja -C build/demo >build/demo/build.log || { tail -n 30 build/demo/build.log; exit 1; }

folder=$(mktemp -d "${TMPDIR:-/tmp}/weftmatch-demo.XXXXXX")
weftmatch=$PWD/build/demo/cli/weftmatch
export WEFTMATCH_BOOK="$folder/salon.book"
"$weftmatch" salon set salon_name="Fern and Linen" row_fee=180 tax_percent=19
"$weftmatch" client add "Anna Berg" >/dev/null
status=0
"$weftmatch" match samples/client.jpg --zones samples/client.zones.json --swatches samples/swatches.csv \
    --client "Anna Berg" --arc 29 --natural-length 35 --html "$folder/report.html" || status=$?
[ "$status" -le 1 ] || exit "$status"
echo
echo "The report for her and you: $folder/report.html"
echo "The program:                $weftmatch"

#!/bin/sh
# From nothing to a match: installs what is missing, builds, fills a book of its own in a temporary folder with three clients and their
# visits, prints the main client's match, and says where her report is and how to open the desk. Safe to run twice.
set -eu
cd "$(dirname "$0")/.."
. tests/support/install.sh

install_missing $BUILD_PACKAGES
[ -f build/demo/build.ninja ] || meson setup build/demo --buildtype=release -Dtests=disabled >/dev/null
echo "Building ..."
ninja -C build/demo >build/demo/build.log || { tail -n 30 build/demo/build.log; exit 1; }

folder=$(mktemp -d "${TMPDIR:-/tmp}/weftmatch-demo.XXXXXX")
weftmatch=$PWD/build/demo/cli/weftmatch
export WEFTMATCH_BOOK="$folder/salon.book" WEFTMATCH_SWATCHES="$folder/swatches.csv"
cp samples/swatches.csv "$folder"
"$weftmatch" salon set salon_name="Fern and Linen" row_fee=180 tax_percent=19

# match PHOTO OPTIONS..: 0 and 1 are answers, anything else ends the demo
match() {
    photo=$1
    shift
    status=0
    "$weftmatch" match "samples/$photo.jpg" --zones "samples/$photo.zones.json" "$@" || status=$?
    [ "$status" -le 1 ] || exit "$status"
}
days_ago() { date -d "$1 days ago" +%F; }

for name in "Anna Berg" "Zoë Lindqvist" "Maria del Mar Ortíz"; do "$weftmatch" client add "$name" >/dev/null; done
match photos/later --client "Zoë" --arc 27 --natural-length 35 --date "$(days_ago 52)" --quiet >/dev/null 2>&1
"$weftmatch" visit set 1 --installed thistle,thistle --charged 480 --note "sat well, no pulling" --quiet
match photos/target --client "Maria" --arc 30 --natural-length 40 --date "$(days_ago 33)" --quiet >/dev/null 2>&1
match photos/card --client "Maria" --date "$(days_ago 5)" --quiet >/dev/null 2>&1
match client --client "Anna Berg" --arc 29 --natural-length 35 --html "$folder/report.html"
echo
echo "The report for her and you: $folder/report.html"
echo "The program:                $weftmatch"
echo "The desk, with three clients, their visits and a stocked catalogue in it:"
echo "    WEFTMATCH_BOOK=$WEFTMATCH_BOOK $weftmatch desk"

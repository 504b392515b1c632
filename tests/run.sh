#!/bin/sh
# Every test there is: installs what is missing, builds with -Werror under the address and undefined-behaviour sanitizers, runs all
# suites. Safe to run twice. The last line is "N passed, N failed, N skipped" over all suites.
set -eu
cd "$(dirname "$0")/.."
. tests/support/install.sh

# where the machine has another Node.js with its npm, that one serves
command -v node >/dev/null && command -v npm >/dev/null && TEST_PACKAGES=$(echo "$TEST_PACKAGES" | sed 's/nodejs npm//')
install_missing $BUILD_PACKAGES $TEST_PACKAGES
if [ ! -d tests/browser/node_modules ]; then
    echo "Installing the browser tests' npm packages (tests/browser/package-lock.json)"
    (cd tests/browser && npm ci --no-audit --no-fund --loglevel=error)
fi

[ -f build/tests/build.ninja ] || meson setup build/tests -Dwerror=true -Db_sanitize=address,undefined -Dtests=enabled
ninja -C build/tests
status=0
meson test -C build/tests --no-rebuild --print-errorlogs "$@" || status=$?
/usr/bin/python3 tests/support/count.py build/tests/meson-logs/testlog.junit.xml
exit "$status"

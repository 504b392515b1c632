#!/bin/sh
# run.sh TEST.mjs...: the browser tests, or exit 77 ("skipped") with what is missing.
cd "$(dirname "$0")" || exit 1
skip() { echo "skipped: $1"; exit 77; }
command -v pdftotext >/dev/null || skip 'pdftotext is not installed (apt-get install poppler-utils)'
command -v node >/dev/null || skip 'node is not installed (apt-get install nodejs)'
[ -x "${CHROMIUM:=/usr/bin/chromium}" ] || skip "no $CHROMIUM (apt-get install chromium)"
[ -d node_modules/playwright-core ] && [ -d node_modules/axe-core ] || skip 'run "npm ci" in tests/browser first'
export CHROMIUM
exec node --test "$@"

#!/bin/sh
# Writes samples/golden again, from what the program says now: sh samples/golden.sh BUILD_FOLDER; look at the difference before you keep it.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
exec /usr/bin/python3 "$here/../tests/photo/test_golden.py" "$1/cli/weftmatch" "$here" --write

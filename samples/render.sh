#!/bin/sh
# Renders all sample photos again: sh samples/render.sh BUILD_FOLDER [OUTPUT_FOLDER]
set -eu
here=$(cd "$(dirname "$0")" && pwd)
render=$(cd "$1" && pwd)/samples/wm_render
cd "${2:-$here}"
mkdir -p photos
for scene in "$here"/scenes/*.scene; do
    "$render" "$scene"
done

#!/bin/sh
# long.sh DOOR [SECONDS]: a fuzz target under libFuzzer with both sanitizers (Debian: clang, libclang-rt-14-dev). Builds in
# build-fuzz/ beside the sources; inputs that found new code are kept there from run to run. Says CPU time and coverage.
set -eu
door=$1 seconds=${2:-600}
top=$(cd "$(dirname "$0")/../.." && pwd)
build=$top/build-fuzz
if [ ! -f "$build/engine/build.ninja" ]; then
    CC=clang CFLAGS=-fsanitize=fuzzer-no-link meson setup "$build/engine" "$top" -Dfuzz_engine=-fsanitize=fuzzer \
        -Db_sanitize=address,undefined -Db_lundef=false >/dev/null
    meson setup "$build/plain" "$top" --buildtype=release >/dev/null
fi
ninja -C "$build/plain" "tests/fuzz/fuzz_$door" >/dev/null
ninja -C "$build/engine" "tests/fuzz/fuzz_$door" cli/weftmatch-photo >/dev/null
mkdir -p "$build/$door.inputs"
"$build/plain/tests/fuzz/fuzz_$door" --seeds "$build/$door.inputs" >"$build/$door.words"
# small keepings of freed memory: SQLite allocates a million times a second
export ASAN_OPTIONS="malloc_context_size=4:quarantine_size_mb=16:thread_local_quarantine_size_kb=64"
export LSAN_OPTIONS="print_suppressions=0:suppressions=$top/tests/support/lsan.supp"
cd "$build"
status=0
nice -n 10 "$build/engine/tests/fuzz/fuzz_$door" -max_total_time="$seconds" -dict="$build/$door.words" -timeout=10 -rss_limit_mb=2048 \
    -print_final_stats=1 -artifact_prefix="$door-" "$build/$door.inputs" >"$build/$door.log" 2>&1 || status=$?
grep -E 'ERROR|does not hold|SUMMARY|runtime error' "$build/$door.log" || true
grep -E '^#[0-9]+.* cov: ' "$build/$door.log" | tail -1
grep -E 'number_of_executed_units|peak_rss' "$build/$door.log" || true
times
exit "$status"

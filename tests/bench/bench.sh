#!/bin/sh
# bench.sh BUILD: how fast it is, as ratios to the least that could do the job, each pair measured in one run. It judges
# nothing: a machine that does something else meanwhile is no fault of the program.
set -eu
build=$(cd "${1:?bench.sh BUILD}" && pwd)
cd "$(dirname "$0")/../.."
tools=$build/tests/bench
"$tools/latency" "$build"
"${CC:-cc}" -D_GNU_SOURCE -O2 -shared -fPIC -o "$tools/slow_sync.so" tests/bench/preload/slow_sync.c -ldl
"$tools/latency" "$build" --slow-sync "$tools/slow_sync.so"
"$tools/latency" "$build" --crowd
"$tools/accept" "$build"
"$tools/sqlite_insert" 500
"$tools/start" "$build" "$PWD/formulas"

#!/bin/sh
# bench_store.sh BUILD BATCHES [FOLDER]: a store of so many batches, what it takes, and what a shop asks of it. In FOLDER
# it stays, else it goes.
set -eu
build=$(cd "${1:?bench_store.sh BUILD BATCHES}" && pwd)
cd "$(dirname "$0")/../.."
tools=$build/tests/bench
if [ $# -gt 2 ]; then
    folder=$3
    mkdir -p "$folder"
else
    folder=$(mktemp -d)
    trap 'rm -rf "$folder"' EXIT
fi
"${CC:-cc}" -D_GNU_SOURCE -O2 -shared -fPIC -o "$tools/loop.so" tests/bench/preload/loop.c -ldl
"$tools/bench_store" "$2" "$folder"
"$tools/questions" "$build" "$folder" "$tools/loop.so"

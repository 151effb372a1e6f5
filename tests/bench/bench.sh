#!/bin/sh
# bench.sh BUILD: how fast it is, as ratios to the least that could do the job, each pair measured in one run. It judges
# nothing: a machine that does something else meanwhile is no fault of the program.
set -eu
build=$(cd "${1:?bench.sh BUILD}" && pwd)
cd "$(dirname "$0")/../.."
tools=$build/tests/bench
said=$(mktemp)
trap 'rm -f "$said"' EXIT

# The p99 of poised in what was said last, in microseconds.
p99() {
    sed -n 's/.*p99: poised \([0-9]*\) us.*/\1/p' "$said"
}
against_quiet() {
    awk -v now="$(p99)" -v quiet="$quiet" -v what="$1" 'BEGIN { printf "p99 of poised %s: %.2f x the quiet one\n", what, now / quiet }'
}

"$tools/latency" "$build" | tee "$said"
quiet=$(p99)
"${CC:-cc}" -D_GNU_SOURCE -O2 -shared -fPIC -o "$tools/slow_sync.so" tests/bench/preload/slow_sync.c -ldl
"$tools/latency" "$build" --slow-sync "$tools/slow_sync.so" | tee "$said"
against_quiet "with syncs 20 ms slower"
"$tools/latency" "$build" --pour
"$tools/latency" "$build" --crowd | tee "$said"
against_quiet "among eight scales and two painters (at most 2)"
"$tools/terminal" "$build"
"$tools/accept" "$build"
"$tools/sqlite_insert" 500
"$tools/start" "$build" "$PWD/formulas"
# The page's own delay needs a browser and tools from npm; without them the rest stands.
if ! { tools/deps.sh page && PAGE_ONLY="frame to number" tests/page/run.sh "$build"; }; then
    echo "the page's delay was not measured: its tools are not here (make test-page names them)"
fi

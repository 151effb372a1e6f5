#!/bin/sh
# Builds each tests/fuzz/fuzz_*.c with clang's fuzzer and the sanitizers, seeds it from tests/data, and runs it for
# FUZZ_SECONDS (default 20): run.sh BUILD. What it finds is left in BUILD/fuzz/NAME-*; make it a row of a unit test.
set -eu
build=${1:-build}/fuzz
seconds=${FUZZ_SECONDS:-20}
mkdir -p "$build"

# One seed a recording: a byte for the family, two for the chopping, then its bytes.
seed_families() {
    list=$(tr -d ' \n' <drivers/decode/families.c | sed 's/.*scale_families\[\]={//; s/}.*//; s/&scale_//g; s/,/ /g')
    for file in tests/data/recordings/*.rec; do
        family=$(sed -n 's/^# family: //p' "$file")
        i=0
        for entry in $list; do
            [ "$(echo "$family" | tr -d -- '-_')" = "$(echo "$entry" | tr -d '_')" ] && break
            i=$((i + 1))
        done
        {
            # shellcheck disable=SC2059 # the format is the byte
            printf "\\$(printf %03o "$i")\\105\\020"
            grep -v '^#' "$file" | cut -d ' ' -f 2 | perl -ne 'print map { chr hex } /[0-9a-f]{2}/g'
        } >"$1/$(basename "$file" .rec)"
    done
}

# The usual report and a descriptor that tells of it, as in test_hid.c; the report's length first.
seed_hid() {
    printf '%s' 06 030402009000 058d0920a1018503 0970a1021971297815012508750895018100c0 \
        0950a1021951295c1501250c750895018100c0 09411581257f750895018102 0940150027ffff0000751095018102 c0 |
        perl -ne 'print map { chr hex } /../g'
}

for source in tests/fuzz/fuzz_*.c; do
    name=$(basename "$source" .c)
    traced='' plan='' seeds="$build/$name.seeds"
    # Watching every comparison and weighing every feature took two thirds of the time where a run is a few microseconds:
    # without them as many seconds reach more.
    [ "$name" = fuzz_families ] && traced=-fno-sanitize-coverage=trace-cmp plan=-entropic=0
    # shellcheck disable=SC2046,SC2086 # a list of files; none or one flag
    clang -std=c17 -D_GNU_SOURCE -I. -O2 -g -fsanitize=fuzzer,address,undefined $traced -fno-sanitize-recover=all \
        "$source" $(ls drivers/decode/*.c) "$build/../libtext.a" -ljansson -lunistring -o "$build/$name"
    mkdir -p "$seeds"
    case $name in
    fuzz_families) seed_families "$seeds" ;;
    fuzz_hid) seed_hid >"$seeds/usual" ;;
    fuzz_profile) cp drivers/profiles/*.ini "$seeds" ;;
    fuzz_recording) for f in tests/data/recordings/*.rec; do head -n 6 "$f" | tail -n 1 >"$seeds/$(basename "$f")"; done ;;
    esac
    echo "$name: $seconds s"
    # What it learns stays in memory: thousands of small files cost a third of the time.
    # shellcheck disable=SC2086 # none or one flag
    "$build/$name" -max_total_time="$seconds" -max_len=128 -print_final_stats=1 -verbosity=0 $plan \
        -artifact_prefix="$build/$name-" -seed_inputs="$(find "$seeds" -type f | paste -s -d , -)" 2>&1 |
        grep -E 'average_exec_per_sec|number_of_executed|ERROR|SUMMARY|Test unit' || {
        echo "$name: it did not run"
        exit 1
    }
    if ls "$build/$name"-* >/dev/null 2>&1; then
        echo "$name: found something, see $build/$name-*"
        exit 1
    fi
done

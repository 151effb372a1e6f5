#!/bin/sh
# Builds each tests/fuzz/fuzz_*.c with clang's fuzzer and the sanitizers, seeds it from tests/data, and runs it for
# FUZZ_SECONDS (default 20): run.sh BUILD. What it finds is left in BUILD/fuzz/NAME-*; make it a row of a unit test.
set -eu
build=${1:-build}/fuzz
seconds=${FUZZ_SECONDS:-20}
mkdir -p "$build"

# One seed a recording: a byte for the family, one for the chopping, then its bytes.
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
            printf "\\$(printf %03o "$i")\\107"
            grep -v '^#' "$file" | cut -d ' ' -f 2 | perl -ne 'print map { chr hex } /[0-9a-f]{2}/g'
        } >"$1/$(basename "$file" .rec)"
    done
}

for source in tests/fuzz/fuzz_*.c; do
    name=$(basename "$source" .c)
    # shellcheck disable=SC2046 # a list of files
    clang -std=c17 -D_GNU_SOURCE -I. -O2 -g -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
        "$source" $(ls drivers/decode/*.c) -o "$build/$name"
    mkdir -p "$build/$name.corpus"
    case $name in
    fuzz_families) seed_families "$build/$name.corpus" ;;
    fuzz_profile) cp drivers/profiles/*.ini "$build/$name.corpus" ;;
    fuzz_recording) for f in tests/data/recordings/*.rec; do head -n 6 "$f" | tail -n 1 >"$build/$name.corpus/$(basename "$f")"; done ;;
    esac
    echo "$name: $seconds s"
    "$build/$name" -max_total_time="$seconds" -max_len=128 -print_final_stats=1 -verbosity=0 \
        -artifact_prefix="$build/$name-" "$build/$name.corpus" 2>&1 |
        grep -E 'average_exec_per_sec|number_of_executed|ERROR|SUMMARY|Test unit' || true
    if ls "$build/$name"-* >/dev/null 2>&1; then
        echo "$name: found something, see $build/$name-*"
        exit 1
    fi
done

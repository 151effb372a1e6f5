#!/bin/sh
# What the unit tests of drivers/ reach in drivers/decode/, line and branch: coverage.sh BUILD. Less than 95 % of lines or
# 90 % of branches, in all or in one file, fails it.
set -eu
build=${1:-build}/coverage
words=${1:-build}/words/words_table.c # made by make, as drivers/ names its reasons by code
rm -rf "$build"
mkdir -p "$build"
objects=
for source in tests/unit/drivers/test_*.c; do
    name=$(basename "$source" .c)
    # shellcheck disable=SC2046 # a list of files
    clang -std=c17 -D_GNU_SOURCE -Idaemon -I. -O0 -g -fprofile-instr-generate -fcoverage-mapping "$source" \
        $(ls drivers/decode/*.c drivers/*.c text/*.c) "$words" -ljansson -luv -lserialport -lunistring -lcmocka -lm -o "$build/$name"
    LLVM_PROFILE_FILE="$build/$name.profraw" "$build/$name" >"$build/$name.log" 2>&1 || {
        cat "$build/$name.log"
        exit 1
    }
    objects="$objects ${objects:+-object }$build/$name"
done
llvm-profdata merge -o "$build/all.profdata" "$build"/*.profraw
# shellcheck disable=SC2086,SC2046 # lists of words
llvm-cov report $objects -instr-profile="$build/all.profdata" $(ls drivers/decode/*.c) |
    awk 'NF >= 13 && !/^-/ && !/^Filename/ {
            low = $10 + 0 < 95 || ($13 != "-" && $13 + 0 < 90)
            printf "%-20s lines %8s  branches %8s%s\n", $1, $10, $13, low ? "  too low" : ""
            failed = failed || low
        }
        END { exit failed || !NR }'

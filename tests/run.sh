#!/bin/bash
# Runs test programs, as many at once as there are cores, each with its own time limit:
# run.sh BUILD unit|e2e|all|valgrind PROGRAM... Prints what passed in one line each and what failed in full, then the
# slowest, and closes with `N passed, N failed`. JOBS=1 runs them one after another.
set -u
if [ "${1:-}" = one ]; then
    # One program: its words go to FILE.log, its outcome to FILE.
    kind=$2 results=$3 program=$4
    out=$results/$(echo "$program" | tr / _)
    set_up=""
    [ "$kind" != valgrind ] || set_up="valgrind -q --error-exitcode=99 --leak-check=full --show-leak-kinds=definite"
    begun=$(date +%s%N)
    # shellcheck disable=SC2086 # set_up is words
    timeout -k 5 180 $set_up "$program" >"$out.log" 2>&1
    code=$?
    ms=$((($(date +%s%N) - begun) / 1000000))
    name=${program#"$POISE_BUILD"/tests/}
    if [ $code = 0 ]; then
        echo "ok    $name ($(grep -c '\[       OK \]' "$out.log") checks)"
        echo "ok $ms $name" >"$out"
    else
        # In one write, so that the words of two failures do not mix.
        printf 'FAIL  %s (exit %s)\n%s\n' "$name" "$code" "$(sed 's/^/      /' "$out.log")"
        echo "failed $ms $name" >"$out"
    fi
    exit 0
fi
build=$1
kind=$2
shift 2
results=$(mktemp -d) || exit 74
trap 'rm -rf "$results"' EXIT
export POISE_BUILD="$build"
export ASAN_OPTIONS="${ASAN_OPTIONS:-detect_leaks=1}"
export UBSAN_OPTIONS=print_stacktrace=1
printf '%s\0' "$@" | xargs -0 -n 1 -P "${JOBS:-$(nproc)}" "$0" one "$kind" "$results"
all=$(find "$results" -type f ! -name '*.log' -exec cat {} +)
passed=$(echo "$all" | grep -c '^ok ')
failed=$(($# - passed))
echo "slowest: $(echo "$all" | sort -k 2 -n -r | head -5 | awk '{ printf "%s%s %.1f s", s, $3, $2 / 1000; s = ", " }')"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]

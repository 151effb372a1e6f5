#!/bin/sh
# Runs test programs one after another, each with its own time limit: run.sh BUILD unit|e2e|all|valgrind PROGRAM...
# Prints what failed in full, what passed in one line, and closes with `N passed, N failed`.
build=$1
kind=$2
shift 2
passed=0
failed=0
log=$(mktemp) || exit 74
trap 'rm -f "$log"' EXIT
export POISE_BUILD="$build"
export ASAN_OPTIONS="${ASAN_OPTIONS:-detect_leaks=1}"
export UBSAN_OPTIONS=print_stacktrace=1
for program in "$@"; do
    name=${program#"$build"/tests/}
    case $kind in
    valgrind) set_up="valgrind -q --error-exitcode=99 --leak-check=full --show-leak-kinds=definite" ;;
    *) set_up="" ;;
    esac
    # shellcheck disable=SC2086 # set_up is words
    if timeout -k 5 180 $set_up "$program" >"$log" 2>&1; then
        passed=$((passed + 1))
        echo "ok    $name ($(grep -c '\[       OK \]' "$log") checks)"
    else
        echo "FAIL  $name (exit $?)"
        sed 's/^/      /' "$log"
        failed=$((failed + 1))
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]

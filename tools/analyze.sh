#!/bin/sh
# The analyzers of both compilers over the product: each follows the paths of a function, clang's through memory and
# NULL, gcc's through ownership. Clean, or each finding is answered where it stands. Some minutes. Needs a built tree
# (BUILD, default: build), for what the build itself makes. gcc 12 takes memory that a struct holds for lost as soon as
# the struct is handed on: that check is off, and the leaks of every test are counted by the address sanitizer.
set -u
cd "$(dirname "$0")/.." || exit 70
build=${BUILD:-build}
out=$(mktemp) || exit 74
trap 'rm -f "$out"' EXIT
files=$(git ls-files 'text/*.c' 'daemon/*.c' 'drivers/*.c' 'client/*.c')
flags="-std=c17 -D_GNU_SOURCE -Idaemon -I. -I$build $(pkg-config --cflags cairo libqrencode)"
# shellcheck disable=SC2086,SC2016 # lists of words; $1 is the inner shell's
echo "$files" | xargs -P "$(nproc)" -I {} sh -c 'clang --analyze --analyzer-output text -Xclang \
    -analyzer-checker=core,unix,deadcode,nullability '"$flags"' "$1" -o /dev/null 2>&1' sh {} >>"$out"
# shellcheck disable=SC2086,SC2016
echo "$files" | xargs -P "$(nproc)" -I {} sh -c "gcc -fanalyzer -Wno-analyzer-malloc-leak -O1 -c $flags "'"$1" -o /dev/null 2>&1' sh {} >>"$out"
if grep -q 'warning:' "$out"; then
    cat "$out"
    echo "analyze: $(grep -c 'warning:' "$out") findings"
    exit 1
fi
echo "analyze: clean"

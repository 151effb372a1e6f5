#!/bin/sh
# Format, static checks, arrows, shell scripts. `lint.sh quick` leaves clang-tidy out.
set -u
cd "$(dirname "$0")/.." || exit 70
"$(dirname "$0")/deps.sh" lint || exit $?
bad=0
fail() {
    echo "lint: $1"
    bad=1
}
sources=$(git ls-files '*.c' '*.h')
# shellcheck disable=SC2086 # lists of words
clang-format --dry-run -Werror $sources || fail "clang-format -i the files above"
tools/arrows.sh || fail "an include runs against the arrows"
scripts="$(git ls-files '*.sh') .ci/run"
# shellcheck disable=SC2086
shellcheck $scripts || fail "shellcheck"
if [ "${1:-}" != quick ]; then
    # One file a process: clang-tidy 14 sees va_list faults that are none when one run reads several files.
    # Its flags are in compile_flags.txt, where an editor finds them as well.
    # shellcheck disable=SC2016 # $0 is the inner shell's
    git ls-files 'text/*.c' 'daemon/*.c' 'drivers/*.c' 'client/*.c' |
        xargs -P "$(nproc)" -n 1 sh -c 'clang-tidy -quiet "$0" 2>/dev/null' || fail "clang-tidy"
fi
[ "$bad" = 0 ] && echo "lint: clean"
exit "$bad"

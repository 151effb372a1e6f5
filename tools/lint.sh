#!/bin/sh
# Format, warnings, static checks, arrows, sizes, words, shell scripts. `lint.sh quick` leaves clang-tidy out.
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
# Warnings are errors here and in CI, with both compilers.
for compiler in gcc clang; do
    make -s -j"$(nproc)" CC="$compiler" BUILD="build/lint-$compiler" WERROR=-Werror check-build >/dev/null ||
        fail "$compiler warns, see above"
done
BUILD=build/lint-gcc tools/arrows.sh || fail "an arrow runs the wrong way"
tools/sizes.sh || fail "a figure that holds for ever does not"
# The words: gettext's own checks of each file, and of German against English (tools/words.c).
for po in words/en.po words/de.po; do
    msgfmt -c -o /dev/null "$po" || fail "msgfmt -c $po"
done
msgfmt -c -o /dev/null build/lint-gcc/words/both.po || fail "a sentence has other slots in German than in English"
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

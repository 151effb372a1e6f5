#!/bin/sh
# Installs what Poise is built and tested with (Debian 12), and nothing that is there already. Asks no question.
# Without root it says plainly what is missing and how to get it.
set -u
packages="gcc make pkg-config libc6-dev
libuv1-dev libmicrohttpd-dev libserialport-dev libsqlite3-dev zlib1g-dev libjansson-dev libsodium-dev libinih-dev
libunistring-dev libgettextpo-dev libcairo2-dev libqrencode-dev liblpsolve55-dev lp-solve libncurses-dev fonts-dejavu-core
libcmocka-dev poppler-utils zbar-tools libglpk-dev liblcms2-dev openssl"
# Only for `make lint`; `make fuzz`, `make coverage` and `make valgrind` name theirs below.
checkers="clang clang-format clang-tidy libclang-rt-14-dev shellcheck gettext"

case "${1:-all}" in
build) wanted=$(echo "$packages" | head -3) ;;
lint) wanted="$packages $checkers" ;;
fuzz) wanted="$packages clang llvm libclang-rt-14-dev perl-base" ;;
valgrind) wanted="$packages valgrind" ;;
page)
    wanted="$packages chromium"
    command -v npm >/dev/null || wanted="$wanted nodejs npm" # one from elsewhere will do
    ;;
*) wanted=$packages ;;
esac

missing=""
for package in $wanted; do
    state=$(dpkg-query -W -f '${Status}' "$package" 2>/dev/null)
    [ "$state" = "install ok installed" ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" != 0 ]; then
    echo "deps: these Debian packages are missing:$missing" >&2
    echo "deps: install them as root with: apt-get install --no-install-recommends$missing" >&2
    exit 69
fi
echo "deps: installing$missing"
export DEBIAN_FRONTEND=noninteractive
# The lists may be old or not there at all; an update that fails is only a reason where the install fails as well.
apt-get update -qq || echo "deps: apt-get update failed, trying with the lists that are there" >&2
# shellcheck disable=SC2086 # a list of words
if ! apt-get install -y -qq --no-install-recommends $missing >/dev/null; then
    echo "deps: apt-get could not install:$missing. Look at its words above." >&2
    exit 69
fi

#!/bin/bash
# vm.sh BUILD: boots a Debian kernel under qemu (no KVM needed) with the poised of BUILD on the kernel's own serial
# and HID drivers, and plays painter, scales and cable. Works in BUILD/vm, where the kernel's package stays for the next time.
# As root it installs what it needs; otherwise it says what is missing. Last line: `N passed, N failed`.
set -eu
build=$(cd "${1:?vm.sh BUILD}" && pwd)
cd "$(dirname "$0")/../.."
work=$build/vm
limit_s=420 # the whole story; without KVM on a busy machine it takes a fraction of this
mkdir -p "$work"

fail() {
    echo "vm: $1" >&2
    echo "0 passed, 1 failed"
    exit 69
}

install_packages() {
    local missing=""
    command -v qemu-system-x86_64 >/dev/null || missing="$missing qemu-system-x86"
    [ -x /bin/busybox ] && /bin/busybox --list | grep -qx uevent || missing="$missing busybox-static"
    command -v cpio >/dev/null || missing="$missing cpio"
    [ -n "$missing" ] || return 0
    [ "$(id -u)" = 0 ] || fail "missing:$missing. As root: apt-get install --no-install-recommends$missing"
    echo "vm: installing$missing"
    apt-get update -qq || echo "vm: apt-get update failed, trying with the lists that are there" >&2
    # shellcheck disable=SC2086 # a list of words
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null ||
        fail "apt-get could not install:$missing"
}

kernel_package() {
    apt-cache depends linux-image-amd64 2>/dev/null | sed -n 's/^ *Depends: *\(linux-image-[0-9].*\)$/\1/p' | head -1
}

# The package that linux-image-amd64 stands for, unpacked in work/kernel. Not installed: nothing of this machine boots it.
fetch_kernel() {
    local package
    compgen -G "$work/kernel/boot/vmlinuz-*" >/dev/null && return 0
    if ! compgen -G "$work/linux-image-*.deb" >/dev/null; then
        package=$(kernel_package)
        if [ -z "$package" ] && [ "$(id -u)" = 0 ]; then
            apt-get update -qq || true
            package=$(kernel_package)
        fi
        [ -n "$package" ] || fail "apt knows no linux-image-amd64: run apt-get update as root"
        echo "vm: fetching $package"
        (cd "$work" && apt-get download -qq -o APT::Sandbox::User=root "$package") || fail "apt-get could not download $package"
    fi
    rm -rf "$work/unpacked"
    dpkg-deb -x "$work"/linux-image-*.deb "$work/unpacked" || fail "the kernel's package in $work is broken: remove it"
    rm -rf "$work/kernel"
    mv "$work/unpacked" "$work/kernel"
}

compile() {
    "${CC:-cc}" -std=c17 -D_GNU_SOURCE -I. -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Werror \
        -O2 -g -o "$@"
}

# A program and the libraries that it loads, at the same places as here.
put_program() {
    local lib
    cp "$1" "$root/bin/"
    for lib in $(ldd "$1" | grep -o '/[^ ]*'); do
        mkdir -p "$root$(dirname "$lib")"
        cp -L "$lib" "$root$lib"
    done
}

# A module behind those that it needs, which it names itself.
put_module() {
    local from needed
    grep -qx "$1" "$root/modules/order" && return 0
    from=$(find "$work/kernel/lib/modules" -name "${1//[-_]/[-_]}.ko")
    [ -n "$from" ] || fail "this kernel has no module $1"
    for needed in $(tr '\0' '\n' <"$from" | sed -n 's/^depends=//p' | tr , ' '); do
        put_module "$needed"
    done
    cp "$from" "$root/modules/$1.ko"
    echo "$1" >>"$root/modules/order"
}

pack() {
    local module program
    root=$work/root
    rm -rf "$root"
    mkdir -p "$root/bin" "$root/etc/poise/data" "$root/modules"
    cp /bin/busybox "$root/bin/"
    touch "$root/modules/order"
    for module in xhci_pci ftdi_sio virtio_pci virtio_console hid_generic uhid; do
        put_module "$module"
    done
    for program in relay opener usb_scale; do
        compile "$work/$program" "tests/vm/$program.c"
        put_program "$work/$program"
    done
    put_program "$build/poised"
    put_program "$build/poise"
    cp tests/vm/init "$root/init"
    cp tests/vm/plugged "$root/plugged"
    chmod 755 "$root/init" "$root/plugged"
    cp tests/vm/poised.ini "$root/etc/poise/"
    cp tests/data/e2e/*.ini "$root/etc/poise/data/"
    (cd "$root" && find . | cpio --quiet -o -H newc | gzip -1) >"$work/initrd.gz"
}

install_packages
fetch_kernel
pack
compile "$work/story" tests/vm/story.c tests/vm/story_hid.c tests/vm/story_seek.c tests/vm/pour.c tests/vm/painter.c \
    tests/vm/machine.c tests/vm/machine_inbox.c tests/vm/machine_talk.c tests/vm/scale_line.c tests/vm/hid_report.c \
    -ljansson -lcmocka -lm
kernel=$(compgen -G "$work/kernel/boot/vmlinuz-*" | head -1)
rc=0
timeout -k 5 "$limit_s" "$work/story" "$kernel" "$work/initrd.gz" "$work/console.log" || rc=$?
if [ "$rc" = 124 ] || [ "$rc" = 137 ]; then
    tail -20 "$work/console.log" >&2
    fail "not done within $limit_s s"
fi
exit "$rc"

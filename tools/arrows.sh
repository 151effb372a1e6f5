#!/bin/sh
# The arrows of the house run one way (DEVELOPERS.md, "Map"): which folder may include which. One line a fault.
set -u
faults=0
# check FOLDER ALLOWED...: every project include of its files must begin with one of the allowed prefixes.
check() {
    folder=$1
    shift
    for file in $(git ls-files "$folder/*.[ch]" | grep -E "^$folder/[^/]*$"); do
        # shellcheck disable=SC2013 # a header's path has no space
        for header in $(sed -n 's/^#include "\([^"]*\)".*/\1/p' "$file"); do
            good=0
            for prefix in "$@"; do
                case $header in
                "$prefix"*) good=1 ;;
                esac
            done
            if [ "$good" = 0 ]; then
                echo "arrows: $file includes $header: $folder may include only: $*"
                faults=$((faults + 1))
            fi
        done
    done
}
check daemon/mix mix/
check daemon/station station/ mix/ fault.h clock.h
check daemon/store store/ fault.h clock.h log.h
check daemon/catalogue catalogue/ store/ fault.h clock.h log.h config.h id.h inifile.h
check daemon/print print/
check daemon/print/draw print/draw/
check daemon/bench bench/ station/ mix/ store/ catalogue/ rpc/rpc.h rpc/written.h drivers/ daemon.h config.h fault.h clock.h log.h
check daemon/rpc rpc/ store/ fault.h clock.h log.h daemon.h config.h
# scale.list names the ports that no station uses.
check daemon/rpc/methods drivers/ports.h rpc/ bench/ station/ mix/ store/ catalogue/ print/ daemon.h config.h fault.h clock.h id.h inifile.h log.h
check drivers/decode drivers/decode/ drivers/scale.h
check drivers drivers/
check drivers/sim drivers/sim/
# `poise record` opens a port by itself, with no daemon: it alone of the client includes drivers/record.h.
check client client/ drivers/decode/ drivers/scale.h drivers/record.h
check client/screen client/
# A bare assert ends the daemon at the bench; our own checks stay in release builds.
bare=$(git ls-files 'daemon/*.[ch]' 'drivers/*.[ch]' 'client/*.[ch]' | xargs grep -nE '(^|[^_a-z])assert\(' || true)
if [ -n "$bare" ]; then
    echo "arrows: bare assert:"
    echo "$bare"
    faults=$((faults + 1))
fi
[ "$faults" = 0 ]

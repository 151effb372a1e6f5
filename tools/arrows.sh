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
check text text/
check daemon/mix mix/
check daemon/station text/ shape/ station/ mix/ fault.h clock.h
check daemon/shape text/ shape/ fault.h id.h
check daemon/store text/ store/ fault.h clock.h log.h
check daemon/catalogue text/ shape/ catalogue/ store/ fault.h clock.h log.h config.h id.h inifile.h
check daemon/print text/ print/
check daemon/print/draw text/ print/draw/
check daemon/bench text/ shape/ bench/ station/ mix/ store/ catalogue/ rpc/rpc.h rpc/written.h drivers/ daemon.h config.h fault.h clock.h log.h
check daemon/rpc text/ shape/ rpc/ store/ fault.h clock.h log.h daemon.h config.h
# scale.list names the ports that no station uses.
check daemon/rpc/methods text/ shape/ drivers/ports.h rpc/ bench/ station/ mix/ store/ catalogue/ print/ daemon.h config.h fault.h clock.h id.h inifile.h log.h
check drivers/decode drivers/decode/ drivers/scale.h
check drivers text/ drivers/
check drivers/sim text/ drivers/sim/
# `poise record` opens a port by itself, with no daemon: it alone of the client includes drivers/record.h.
check client text/ client/ drivers/decode/ drivers/scale.h drivers/record.h
check client/screen text/ client/
# A bare assert ends the daemon at the bench; our own checks stay in release builds.
bare=$(git ls-files 'daemon/*.[ch]' 'drivers/*.[ch]' 'client/*.[ch]' | xargs grep -nE '(^|[^_a-z])assert\(' || true)
if [ -n "$bare" ]; then
    echo "arrows: bare assert:"
    echo "$bare"
    faults=$((faults + 1))
fi
[ "$faults" = 0 ]

#!/bin/sh
# The arrows of the house run one way (DEVELOPERS.md, "Map"). One line a fault.
#
# Three things are checked:
#   1. each file includes only from the folders that its own folder may know (the table below);
#   2. no circle: whoever follows the arrows from file to file, from what calls to what is called, never comes back to
#      where they began. The objects of BUILD (default: build) tell who calls whom, so build before.
#   3. no name is defined for others in two files, whatever programs they are for.
# `arrows.sh list` prints every arrow, file by file.
set -u
build=${BUILD:-build}
cd "$(dirname "$0")/.." || exit 70

# FOLDER: what its files may include, by the beginning of the path. A line that begins with a file's name is for that
# file in place of its folder's.
rules() {
    cat <<'END'
text                   text/
daemon                 text/ drivers/ fault.h clock.h config config_keys.h config_reload.h daemon.h descriptors.h id.h inifile log.h poised_options.h reload.h rights.h config_settings.h start_code.h bench/ rpc/ http/ store/ station/ catalogue/ print/ front/ shape/
daemon/mix             mix/
daemon/solver          solver/ mix/linear.h mix/aim.h
daemon/shape           text/ shape/ fault.h id.h
daemon/station         text/ shape/ station/ mix/ fault.h clock.h
daemon/front           text/ front/ station/ mix/ fault.h clock.h
daemon/store           text/ store/ fault.h clock.h log.h
daemon/catalogue       text/ shape/ catalogue/ store/ fault.h clock.h log.h config.h id.h inifile
daemon/print           text/ print/ log.h fault.h
daemon/print/draw      text/ print/draw/
daemon/bench           text/ shape/ bench/ front/ station/ mix/ solver/solver.h store/ catalogue/ rpc/hub.h rpc/call.h rpc/rpc.h drivers/ daemon.h config.h fault.h clock.h log.h
daemon/rpc             text/ shape/ rpc/ store/ fault.h clock.h log.h daemon.h descriptors.h config.h rights.h
daemon/http            text/ http/ rpc/ print/print.h daemon.h descriptors.h config.h rights.h fault.h clock.h log.h
daemon/rpc/methods     text/ shape/ drivers/ports.h rpc/ bench/ front/ station/ mix/ solver/ store/ catalogue/ print/ daemon.h config.h config_settings.h fault.h clock.h id.h inifile log.h
drivers/decode         text/said.h drivers/decode/ drivers/scale.h
drivers                text/ drivers/
drivers/sim            text/ drivers/sim/
client                 text/ client/ drivers/decode/ drivers/scale.h drivers/port.h
client/screen          text/ client/
END
}

# "FILE HEADER" a line: every project include, the header by its path from the top.
includes() {
    git ls-files 'text/*.[ch]' 'daemon/*.[ch]' 'drivers/*.[ch]' 'client/*.[ch]' |
        xargs grep -o '^#include "[^"]*"' /dev/null |
        sed 's/:#include "/ /; s/"$//'
}

# "FILE [ADDRESS] TYPE NAME" a line: what each built object defines for others, or wants of them (type U).
names() {
    git ls-files 'text/*.c' 'daemon/*.c' 'drivers/*.c' 'client/*.c' | while read -r file; do
        [ ! -e "$build/o/${file%.c}.o" ] || nm -g "$build/o/${file%.c}.o" | sed "s|^|$file |"
    done
}

# "USER USED" a line: a file that calls a function of another one, or reads a table of it, as the built objects say it.
uses() {
    names | awk '
        NF == 3 && $2 == "U" { user[++n] = $1; name[n] = $3 }
        NF == 4 { definer[$4] = $1 }
        END {
            for (i = 1; i <= n; i++)
                if ((name[i] in definer) && definer[name[i]] != user[i] && !seen[user[i], definer[name[i]]]++)
                    print user[i], definer[name[i]]
        }'
}

if [ "${1:-}" = list ]; then
    uses | sort
    exit 0
fi

{
    rules | sed 's/^/rule /'
    includes | sed 's/^/arrow /'
} | awk '
$1 == "rule" { for (i = 3; i <= NF; i++) allowed[$2] = allowed[$2] " " $i; next }
{
    folder = $2
    sub(/\/[^\/]*$/, "", folder)
    good = 0
    n = split(allowed[folder], prefixes, " ")
    for (i = 1; i <= n; i++) if (index($3, prefixes[i]) == 1) good = 1
    if (!good) { print "arrows: " $2 " includes " $3 ": " folder " may include only:" allowed[folder]; faults++ }
}
END { exit faults > 0 }'
faults=$?
loops=$(uses | tsort 2>&1 >/dev/null | sed 's/^tsort: -: input contains a loop:/arrows: a circle:/; s/^tsort: /    /')
if [ -n "$loops" ]; then
    echo "$loops"
    faults=1
fi
# Which of the two is linked in would be a matter of order, and the arrows above could not be told.
twice=$(names | awk 'NF == 4 && $4 != "main" { if ($4 in at) print "arrows: " $4 " is defined in " at[$4] " and " $1; at[$4] = $1 }')
if [ -n "$twice" ]; then
    echo "$twice"
    faults=1
fi
# A bare assert ends the daemon at the bench; our own checks stay in release builds.
if git ls-files 'text/*.[ch]' 'daemon/*.[ch]' 'drivers/*.[ch]' 'client/*.[ch]' | xargs grep -nE '(^|[^_a-z])assert\('; then
    echo "arrows: a bare assert above"
    faults=1
fi
# The library's own parser and writer go on without a piece where they find no memory (DEVELOPERS.md, "Blind alleys").
if git ls-files 'daemon/*.c' | grep -v '^daemon/print/draw/' | xargs grep -nE 'json_(dump[sf]|load[sbf])\('; then
    echo "arrows: json_read_text, json_read or json_write (text/) in place of those above"
    faults=1
fi
exit "$faults"

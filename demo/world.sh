#!/bin/bash
# world.sh - a small paint shop for demo.sh and run.sh: a scale that is not there, a daemon of its own, and the folder
# that holds both and goes when they go. To be sourced; who does so sets `me`, its name in what it says, and `build`.
#
# Colours, toners and products are those of formulas/: the Tern Island Coachworks, invented.
# Nothing here waits for a time: the scale answers each word of the hand with a line, poised says when it is ready.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
: "${me:?}" "${build:?}"
world='' result='' scale_id='' daemon_id='' page='' http=()

# One line on stderr (kept as 6: a trap may come while 2 is turned away), and the end; what was started ends with it.
exec 6>&2
fail() {
    trap '' PIPE
    echo "$me: $*" >&6
    exit 1
}

world_end() {
    trap '' INT TERM HUP PIPE
    [ -z "$daemon_id" ] || kill "$daemon_id" 2>/dev/null
    [ -z "$scale_id" ] || kill "$scale_id" 2>/dev/null
    wait
    [ -z "$world" ] || rm -rf "$world"
}

# Points for the shell's numbers, the painter's own characters for what is shown.
use_locale() {
    local characters=${LC_ALL:-${LC_CTYPE:-${LANG:-C}}}
    unset LC_ALL
    export LC_CTYPE=$characters LC_NUMERIC=C
} 2>/dev/null

write_config() {
    cat >"$world/poised.ini" <<END
[shop]
name = Tern Island Coachworks
currency = EUR
decimal = point
data = $root/formulas
[station bench]
port = pty:$world/scale
profile = hdr2
d_g = 0.01
capacity_g = 3000
tolerance_g = 0.05
[print]
command = sh $world/printer
END
    # The printer of this shop keeps what it is given.
    cat >"$world/printer" <<END
n=1
while [ -e "$keep/printed-\$n.pdf" ]; do n=\$((n + 1)); done
cp "\$1" "$keep/printed-\$n.pdf"
END
}

# world_begin NAME [OPTION OF POISE-SIM]...: /tmp/NAME.XXXXXX with scale, daemon and their ends in our hands:
# 3 the hand's words, 4 the scale's answers. `keep` is the folder that stays.
world_begin() {
    local name=$1 program
    shift
    for program in poised poise poise-sim poise-label poise-solve; do
        [ -x "$build/$program" ] || fail "$build/$program is not there. Build it first: make"
    done
    keep=$build/demo
    mkdir -p "$keep" || fail "$keep cannot be made"
    trap 'exit 130' INT
    trap 'exit 143' TERM HUP
    trap 'fail "what it writes to has gone"' PIPE
    trap world_end EXIT
    world=$(mktemp -d "${TMPDIR:-/tmp}/$name.XXXXXX") || fail "no temporary folder can be made"
    mkfifo "$world/hand" "$world/said" "$world/ready" || fail "no pipes can be made in $world"
    write_config
    begin_scale "$@"
    begin_daemon
    wait_live
}

begin_scale() {
    "$build/poise-sim" --link "$world/scale" --family hdr2 --d 0.01 --hand manual "$@" \
        <"$world/hand" >"$world/said" 2>"$world/scale.log" &
    scale_id=$!
    exec 3<>"$world/hand" 4<"$world/said"
    read -r -t 20 _ <&4 || fail "the simulated scale did not start: $(tail -n 1 "$world/scale.log")"
}

# `http` holds the options that make it serve the page, in `make run`; page is then its address, else empty.
begin_daemon() {
    local ready
    "$build/poised" --config "$world/poised.ini" --state "$world/state" --socket "$world/sock" --foreground "${http[@]}" \
        3>&- 4>&- >"$world/ready" 2>"$world/poised.log" &
    daemon_id=$!
    exec 5<"$world/ready"
    read -r -t 20 ready <&5 || fail "poised did not start: $(tail -n 1 "$world/poised.log")"
    exec 5>&-
    # shellcheck disable=SC2034 # run.sh reads it
    case $ready in *http=*) page=http://${ready##*http=} ;; esac
}

poise() {
    "$build/poise" --no-color --socket "$world/sock" "$@" 3>&- 4>&-
}

# What poise says as JSON, into result.
ask() {
    result=$(poise --json "$@" 2>"$world/error") || fail "poise $*: $(tail -n 1 "$world/error")"
}

# member OBJECT NAME: the first one of that name, into result.
member() {
    local rest=${1#*"\"$2\":"}
    [ "$rest" != "$1" ] || fail "no $2 in: ${1:0:200}"
    case $rest in
    \"*) rest=${rest#\"} && result=${rest%%\"*} ;;
    *) result=${rest%%[,\}]*} ;;
    esac
}

# The scale is there a moment after the daemon.
wait_live() {
    local end=$((SECONDS + 10))
    until ask scales && member "$result" state && [ "$result" = live ]; do
        [ $SECONDS -lt $end ] || fail "the scale did not come alive: $result"
    done
}

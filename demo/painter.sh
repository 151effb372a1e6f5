#!/bin/bash
# painter.sh - the painter of demo.sh: prints what a painter would see, pours as a hand pours, and knows what it has
# poured, so that each record can be held against it. To be sourced after world.sh, which makes `world` and `keep`.
: "${world?}" "${build:?}"
keep=''

cup_g=31.2
said=""           # the scale's last answer to the hand
declare -A poured # grams by toner that are in the cup, as the hand knows them

# ---- what is printed ----
# Where nobody reads any more, world.sh says so in one line; the shell's own is left out.
say() { printf '%s\n' "$*"; } 2>/dev/null
title() { printf '\n==== %s\n' "$*"; } 2>/dev/null
tell() { # LINE...
    printf '\n'
    printf '  %s\n' "$@"
} 2>/dev/null
by_hand() { tell "by hand: $*"; }

# No pour here comes in one jump: should the screen say so, it is a false alarm.
no_alarm() {
    ! grep -q 'one jump' "$world/out" || fail "a false alarm: $(grep 'one jump' "$world/out")"
}

# A command as it is typed, and what it prints, set in.
show() {
    local word line="\$ poise"
    for word; do
        case $word in *[\ ,]*) line+=" \"$word\"" ;; *) line+=" $word" ;; esac
    done
    tell "$line"
    poise "$@" >"$world/out" 2>"$world/error" || fail "poise $*: $(tail -n 1 "$world/error")"
    no_alarm
    sed 's/^/    /' "$world/out"
}

# The bench's own page.
page() {
    printf '\n'
    poise status --page >"$world/out" 2>"$world/error" || fail "poise status --page: $(tail -n 1 "$world/error")"
    no_alarm
    sed 's/^/    |/' "$world/out"
}

# ---- numbers ----
calc() { result=$(awk "BEGIN { printf \"%.${2:-2}f\", ($1) }") || fail "this is no number: $1"; }
near() { awk "BEGIN { d = ($1) - ($2); exit !(d < $3 && d > -($3)) }"; }
expect() { near "$2" "$3" "$4" || fail "$1 is $2 g, and should be $3 g"; }

# ---- the hand ----
hand() {
    printf '%s\n' "$*" >&3
    read -r -t 30 said <&4 || fail "the simulated scale does not answer to: $*"
    case $said in error* | *unsteady) fail "the hand could not $*: $said" ;; esac
}

# Until the daemon has read what the scale now shows.
steady() {
    local end=$((SECONDS + 10)) shown scales
    hand settle
    shown=${said#settled }
    while :; do
        ask scales
        scales=$result
        member "$scales" stable
        if [ "$result" = true ]; then
            member "$scales" weight_g
            near "$result" "$shown" 0.005 && return
        fi
        [ $SECONDS -lt $end ] || fail "the daemon does not read the $shown g that the scale shows: $scales"
    done
}

accept() {
    ask accept
    screen=$result
}

state() { member "$screen" state; }

# put_cup [GRAMS]: an empty cup, or one that holds so much already.
put_cup() {
    hand cup "$cup_g"
    [ $# = 0 ] || hand add "$1"
    steady
    accept
    if [ $# = 0 ]; then
        by_hand "the empty cup stands on the scale, $cup_g g. Accepted."
    else
        by_hand "the cup stands on the scale, $cup_g g, and $1 g in it. Accepted."
    fi
}

# The open step, into toner, name and to_go.
look() {
    ask status
    screen=$result
    now=${screen#*'"now":{'}
    now=${now%%\}*}
    member "$now" toner && toner=$result
    member "$now" name && name=$result
    member "$now" to_go_g && calc "$result" && to_go=$result
}

# stream GRAMS FLOW: one tilt of the tin. The simulated stream thins to 6 in 100 of its flow at the end.
stream() {
    hand pour "$1" "$2"
    calc "${poured[$toner]:-0} + ${said#done }" 4
    poured[$toner]=$result
}

# drop GRAMS: as a hand does it. Much comes at 60 g/s and its end by a tilt of its own; the end comes at 1 g/s.
drop() {
    local last=$1
    if [ "${1%.*}" -ge 40 ]; then
        last=2
        calc "$1 - $last"
        stream "$result" 60
    fi
    stream "$last" 18
}

heading() { printf '\n    %-9s %-26s %9s %10s\n' '' '' 'to go' 'poured'; }

# Accepts what the hand has dropped, and prints the line with what the bench says to it.
line() {
    steady
    accept
    printf '    %-9s %-26s %7.2f g %8.2f g\n' "$toner" "$name" "$to_go" "$1"
    member "$screen" message
    case $result in *'one jump'*) fail "a false alarm: $result" ;; esac
    [ -z "$result" ] || say "      $result"
}

# pour [GRAMS]: one toner, so much of it, or what the screen asks for. A large pour stops a hair early, as a careful
# one does.
pour() {
    look
    calc "${1:-$to_go > 20 ? $to_go - 0.04 : $to_go}"
    local grams=$result
    drop "$grams"
    line "$grams"
}

pour_rest() {
    state
    while [ "$result" = pour ]; do
        pour ""
        state
    done
    [ "$result" = "done" ] || fail "the batch should be done, and is: $result"
}

# Stir, take out, pour on. What was in the cup is less by the same share of each.
dip() {
    local before=0 id out
    for id in "${!poured[@]}"; do
        calc "$before + ${poured[$id]}" 4
        before=$result
    done
    look
    calc "-($to_go) + 0.12" # a ladle is no pipette
    out=$result
    hand remove "$out"
    steady
    by_hand "stir, ladle $out g into the waste tin. Accept: what was really taken out counts. Then pour on:"
    accept
    for id in "${!poured[@]}"; do
        calc "${poured[$id]} * (1 - $out / $before)" 4
        poured[$id]=$result
    done
    heading
    pour_rest
}

# ---- records ----
# part_g RECORD TONER: what that batch's cup held of it.
part_g() {
    local rest=${1#*"\"toner\":\"$2\","}
    [ "$rest" != "$1" ] || fail "the record has no $2"
    member "$rest" poured_g
}

# bring BATCH GRAMS: so much of that cup stands in the next one, each toner by its share.
bring() {
    local record total id
    record=$(<"$keep/record-$1.json")
    member "$record" total_g && total=$result
    while read -r id; do
        part_g "$record" "$id"
        calc "${poured[$id]:-0} + $result * $2 / $total" 4
        poured[$id]=$result
    done < <(grep -o '"toner":"[^"]*","name"' "$keep/record-$1.json" | cut -d '"' -f 4 | sort -u)
}

# finish BATCH [OPTION...]: the record must hold what the hand has poured.
finish() {
    show finish "${@:2}"
    ask show "$1"
    record=$result
    local id
    for id in "${!poured[@]}"; do
        part_g "$record" "$id"
        expect "batch $1: $id in the record" "$result" "${poured[$id]}" 0.03
    done
    poured=()
    printf '%s\n' "$record" >"$keep/record-$1.json"
}

# label BATCH SIZE: the PDF; its QR code is read where there is a reader.
label() {
    local read=''
    show label "$1" --out "$keep/label-$1.pdf" --size "$2"
    [ "$(head -c 5 "$keep/label-$1.pdf")" = %PDF- ] || fail "$keep/label-$1.pdf is no PDF"
    if command -v pdftoppm >/dev/null && command -v zbarimg >/dev/null; then
        pdftoppm -r 300 -png -singlefile "$keep/label-$1.pdf" "$world/label" &&
            read=$(zbarimg -q --raw "$world/label.png" 2>/dev/null)
        [ "$read" = "POISE:$1" ] || fail "the code on $keep/label-$1.pdf reads \"$read\""
        say "    its code reads $read"
    fi
}

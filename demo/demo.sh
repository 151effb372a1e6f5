#!/bin/bash
# demo.sh BUILD - the main job from the first cup to the touch-up, poured by a simulated hand on a simulated scale.
#
# Prints what a painter would see, and checks on the way: each batch's record must hold what the hand has poured.
# Ends with 0, or with one line that says what failed. `make run` is the same with you as the hand.
set -u
me=demo
build=${1:-build}
# shellcheck source=demo/world.sh
. "$(dirname "$0")/world.sh"

order="4417, van 3"
painter=Ines
cup_g=31.2
said="" # the scale's last answer to the hand
declare -A poured # grams by toner that are in the cup, as the hand knows them

# ---- what is printed ----
# Where nobody reads any more, world.sh says so in one line; the shell's own is left out.
say() { printf '%s\n' "$*"; } 2>/dev/null
title() { printf '\n==== %s\n' "$*"; } 2>/dev/null
tell() { printf '\n  %s\n' "$*"; } 2>/dev/null
by_hand() { tell "by hand: $*"; }

# A command as it is typed, and what it prints, set in.
show() {
    local word line="\$ poise"
    for word; do
        case $word in *[\ ,]*) line+=" \"$word\"" ;; *) line+=" $word" ;; esac
    done
    tell "$line"
    poise "$@" >"$world/out" 2>"$world/error" || fail "poise $*: $(tail -n 1 "$world/error")"
    sed 's/^/    /' "$world/out"
}

# The bench's own page.
page() {
    printf '\n'
    poise status --page >"$world/out" 2>"$world/error" || fail "poise status --page: $(tail -n 1 "$world/error")"
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

put_cup() { # [content that is in it already]
    hand cup "$cup_g"
    [ $# = 0 ] || hand add "$1"
    steady
    accept
    by_hand "the cup stands on the scale, $cup_g g. Accepted."
}

accept() {
    ask accept
    screen=$result
}

state() { member "$screen" state; }

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

drop() { # grams that fall into the cup, at a flow that suits them
    calc "$1 * 2 + 5" 0
    hand pour "$1" "$result"
    calc "${poured[$toner]:-0} + ${said#done }" 4
    poured[$toner]=$result
}

heading() { printf '\n    %-9s %-26s %9s %10s\n' '' '' 'to go' 'poured'; }

# Accepts what the hand has dropped, and prints the line.
line() {
    steady
    accept
    printf '    %-9s %-26s %7.2f g %8.2f g\n' "$toner" "$name" "$to_go" "$1"
    member "$screen" message
    [ -z "$result" ] || say "      $result"
}

# One toner: the grams given, or what the screen asks for. A large pour stops a hair early, as a careful one does.
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
        pour
        state
    done
    [ "$result" = "done" ] || fail "the batch should be done, and is: $result"
}

finish() {
    show finish
    ask show "$1"
    record=$result
    local id rest
    for id in "${!poured[@]}"; do
        rest=${record#*"\"toner\":\"$id\","}
        [ "$rest" != "$record" ] || fail "the record of batch $1 has no $id"
        member "$rest" poured_g
        expect "batch $1: $id in the record" "$result" "${poured[$id]}" 0.02
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

# ---- the job ----
opening() {
    say "Poise: order $order, painter $painter. TI-207 Copperwing, a pearl in three layers: ground, mid, clear."
    say "Scale and hand are simulated. Tern Island Coachworks and its paint are invented."
}

ground() {
    title "1  Ground: a little too much white, and the batch grows by itself"
    show plan TI-207 --coat ground --grams 276.7
    show begin TI-207 --coat ground --grams 276.7 --order "$order" --painter "$painter"
    put_cup
    look
    drop 150
    steady
    by_hand "pour N10. The screen, half-way:"
    page
    drop 68.4
    by_hand "pour on, 6.4 g too far. Accept, then the rest:"
    heading
    line 218.4
    member "$screen" total_g
    expect "the batch grown by itself" "$result" 285.05 0.02 # shares 212.0, 61.5, 3.2; the design's own example
    pour_rest
    finish 1
    label 1 62x29
}

# Stir, take out, pour on. What was in the cup is less by the same share of each.
dip() {
    local before=0 id out
    for id in "${!poured[@]}"; do
        calc "$before + ${poured[$id]}" 4
        before=$result
    done
    show remedy dip
    look
    calc "-($to_go) + 0.12" # a ladle is no pipette
    out=$result
    hand remove "$out"
    steady
    by_hand "stir, take $out g out into the waste. Accept: what was really taken counts. Then pour on:"
    accept
    for id in "${!poured[@]}"; do
        calc "${poured[$id]} * (1 - $out / $before)" 4
        poured[$id]=$result
    done
    heading
    pour_rest
}

mid() {
    title "2  Mid: too much copper pearl, and the painter chooses"
    show begin TI-207 --coat mid --grams 400 --order "$order" --painter "$painter"
    put_cup
    heading
    pour
    pour 90.6
    state
    [ "$result" = over ] || fail "6.6 g too much should ask for a remedy, and the bench is in: $result"
    tell "What now? The screen:"
    page
    dip
    member "$screen" wanted_g
    expect "the batch after the dip" "$result" 400 0.005
    finish 2
    label 2 62x29
}

clear() {
    title "3  Clear: hardener starts the pot life"
    show begin CLEAR-40 --ml 300 --order "$order" --painter "$painter"
    put_cup
    heading
    pour_rest
    member "$screen" use_by
    [ "${#result}" -gt 20 ] || fail "the clear has no use-by: $result"
    tell "The screen, with the label and its use-by:"
    page
    finish 3
    label 3 50x25
}

# The toners too small for the scale: thinned together in the binder, so that the part then taken doses each of them.
# Into have, poured and premix_g, what of it goes into the cup.
premix() { # TONER...
    local toner rest aims="" answer sum=0
    have=()
    for toner; do
        rest=${screen#*"\"toner\":\"$toner\","}
        member "$rest" aim_g
        calc "$result" 3
        poured[$toner]=$result
        have+=(--have "$toner:$result")
        aims+=${aims:+,}$result
        sum="$sum + $result"
    done
    answer=$(poise call mix.premix "{\"grams\":[$aims],\"d_g\":0.01,\"error_pct\":5,\"diluent_g_max\":100}" 2>"$world/error") ||
        fail "mix.premix of $aims g: $(tail -n 1 "$world/error")"
    rest=${answer#*"\"toner_g\":["}
    for toner; do
        calc "${rest%%[],]*}"
        rest=${rest#*,}
        printf '    %-4s %5.3f g asked:  weigh %5s g\n' "$toner" "${poured[$toner]}" "$result"
    done
    member "$answer" diluent_g && calc "$result"
    printf '    B20                  add %s g, stir\n' "$result"
    member "$answer" take_g && calc "$result" && premix_g=$result
    printf '    then put %s g of it into the cup\n' "$premix_g"
    calc "$premix_g - ($sum)" 3
    poured[B20]=$result
    have+=(--have "B20:$result")
}

touch_up() {
    title "4  Ten days later: 15 g of the same, for a stone chip"
    say "(The demo does not wait, so the clock says today.)"
    show find 4417
    show repeat 2 --grams 15 --order "$order" --painter "$painter"
    ask status
    screen=$result
    case $screen in *"K01 cannot be weighed"*) ;; *) fail "no warning that K01 cannot be weighed" ;; esac
    tell "K01 is too little for this scale; so are Y05 and R17. One premix makes all three weighable:"
    premix K01 Y05 R17
    tell "Make it in a small cup of its own. Then begin anew with what the part taken brings:"
    show scrap begun again with a premix
    show repeat 2 --grams 15 --order "$order" --painter "$painter" "${have[@]}"
    ask status
    case $result in *"cannot be weighed"*) fail "the premix is in, and it still warns" ;; esac
    put_cup "$premix_g"
    heading
    pour_rest
    member "$screen" total_g
    expect "the touch-up" "$result" 15 0.05
    finish 5
    label 5 50x25
}

books() {
    title "5  The cup again, and why its numbers are so"
    show find POISE:2
    show show 2
    show why 2 E31
    for batch in 1 2 3 5; do
        { poise show "$batch" && poise why "$batch" total_g; } >"$keep/record-$batch.txt" 2>"$world/error" ||
            fail "the record of batch $batch: $(tail -n 1 "$world/error")"
    done
}

closing() {
    title "Done in $SECONDS s. All that was poured stands in the records."
    say "labels   $keep/label-1.pdf, -2, -3, -5"
    say "records  $keep/record-1.txt, -2, -3, -5, and the same as .json"
    say "Mix one yourself, on the screen:  make run"
}

use_locale
world_begin poise-demo --rate 50 --settle 120
rm -f "$keep"/label-*.pdf "$keep"/record-*
opening
ground
mid
clear
touch_up
books
closing

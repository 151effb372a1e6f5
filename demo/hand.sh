#!/bin/bash
# hand.sh FOLDER - your hand at the scale of `make run`: a word a line, and what the scale answers.
# FOLDER is the one that `make run` names; left out, the newest.
set -u

world=${1:-}
if [ -z "$world" ]; then
    for one in "${TMPDIR:-/tmp}"/poise-run.*; do
        if [ -p "$one/hand" ] && { [ -z "$world" ] || [ "$one" -nt "$world" ]; }; then world=$one; fi
    done
fi
if ! [ -p "$world/hand" ] || ! [ -p "$world/said" ]; then
    echo "hand: no bench runs${world:+ in $world}. Begin one with: make run" >&2
    exit 66
fi

# Its answers, as they come; `ok` alone says nothing new. When they end, the bench has ended.
answers() {
    local line
    while read -r line; do
        case $line in
        done\ *unsteady) echo "  poured, but the scale does not settle" ;;
        done\ *) line=${line%??} && echo "  ${line#done } g are in" ;; # to 0.01 g
        ok\ true*) echo "  the scale shows ${line##*shown }" ;;
        ok\ *) ;;
        *) echo "  $line" ;;
        esac
    done <"$world/said"
    echo "  the bench has ended"
    kill -TERM $$
}

words() {
    cat <<END
Your hand at the scale. A word and Enter:
 cup 31.2   an empty cup on          pour 50      50 g, by a practised hand
 lift, put  the cup off, and back    pour 3 0.5   3 g, half a gram a second
 weigh      what the scale shows     remove 20    20 g out (a dip)
 tare       the scale's key          quit         leave; the bench goes on
END
}

words
read -r page 2>/dev/null <"$world/page" && echo "The same bench in a browser: $page"
answers &
reader=$!
trap 'kill "$reader" 2>/dev/null; exit 0' TERM EXIT
exec 3>"$world/hand"
trap 'exit 0' PIPE
while read -r -e -p "hand> " line; do
    case $line in
    quit | q | exit) break ;;
    help | h | \?) words ;;
    "") ;;
    *) printf '%s\n' "$line" >&3 ;;
    esac
done

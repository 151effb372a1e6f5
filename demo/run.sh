#!/bin/bash
# run.sh BUILD - the bench of `make demo`, poured by you: the screen in this terminal, your hand in another one
# (demo/hand.sh). Within tmux, or where tmux is there, the hand stands below the screen. All ends with the screen.
set -u
me=run
build=${1:-build}
# shellcheck source=demo/world.sh
. "$(dirname "$0")/world.sh"

# The screen wants 24 rows, the hand 8 and a line between them.
has_room() { [ "$(tput lines 2>/dev/null || echo 0)" -ge 33 ] && [ "$(tput cols 2>/dev/null || echo 0)" -ge 80 ]; }

bench() { "$build/poise" --socket "$world/sock" bench 3>&- 4>&-; }

# The hand in a pane of the tmux that we are in. It ends by itself when the scale does.
beside() {
    tmux split-window -d -v -l 8 "exec '$root/demo/hand.sh' '$world'" && bench
}

# A tmux of our own, by a socket in our own folder: nobody else's sessions are touched.
within() {
    local code
    cat >"$world/bench" <<END
'$build/poise' --socket '$world/sock' bench
echo \$? >'$world/code'
tmux -S '$world/tmux' kill-server
END
    tmux -S "$world/tmux" -f /dev/null new-session -c "$PWD" "sh '$world/bench'" \; \
        set -g mouse on \; set -g status-left '' \; set -g status-right-length 75 \; \
        set -g status-right "$page  Ctrl-b o: hand, screen" \; set -g window-status-current-format '' \; \
        split-window -v -l 8 "exec '$root/demo/hand.sh' '$world'" \; 3>&- 4>&- 2>"$world/error"
    if [ -e "$world/code" ]; then
        read -r code <"$world/code"
        return "$code"
    fi
    apart # tmux cannot use this terminal
}

apart() {
    local hand=demo/hand.sh
    [ "$PWD" = "$root" ] || hand=$root/$hand
    cat <<END
The bench of the Tern Island Coachworks: an invented shop, a simulated scale,
and your hand. Open a second terminal$([ "$PWD" != "$root" ] || echo ' in this folder') and type

    $hand $world

There you pour: cup 31.2, pour 50, pour 3 0.5, lift, put. The same bench in a
browser: $page    Here is the screen:
/ finds a colour (try TI-207), Enter makes the move at its foot, 0 and q end it.
Labels are kept in $keep.
END
    read -r -p "Enter begins. " _ || return 0
    bench
}

if ! [ -t 0 ] || ! [ -t 1 ]; then
    echo "run: this is no terminal. Run it in one; make demo needs none." >&2
    exit 64
fi
use_locale
# Also where this terminal is closed under it.
# shellcheck disable=SC2317 # the trap below calls it
end() {
    [ -z "$world" ] || ! [ -e "$world/tmux" ] || tmux -S "$world/tmux" kill-server 2>/dev/null
    world_end
}
http=(--port-http 0) # any free port: the shop's own daemon may have the usual one
world_begin poise-run --rate 10 --settle 500 --noise 0.002
trap end EXIT
echo "$page" >"$world/page" # the hand names it, since the screen leaves no room
if [ -n "${TMUX:-}" ] && has_room; then
    beside
elif command -v tmux >/dev/null && [ -z "${TMUX:-}" ] && has_room; then
    within
else
    apart
fi
exit $?

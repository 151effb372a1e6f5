#!/bin/sh
# The figures that hold for ever: no product file above 500 lines, no function above 60, no two files of one name, and
# comments on 15 % of all lines or more. One line a fault; `sizes.sh show` prints the figures.
set -u
cd "$(dirname "$0")/.." || exit 70
files=$(git ls-files 'text/*.[ch]' 'daemon/*.[ch]' 'drivers/*.[ch]' 'client/*.[ch]')
bad=0

twice=$(echo "$files" | sed 's|.*/||' | sort | uniq -d)
for name in $twice; do
    echo "sizes: two files of one name: $(echo "$files" | grep "/$name\$" | tr '\n' ' ')"
    bad=1
done

# A function begins and ends with a brace in the first column: clang-format sees to it.
# shellcheck disable=SC2086 # a list of files
awk -v show="${1:-}" '
FNR == 1 { if (file) size[file] = before; file = FILENAME; order[++files] = file; inside = 0 }
{ before = FNR; lines++ }
/^\{/ { began = FNR }
/^\}/ { if (began && FNR - began + 1 > 60) { print "sizes: " FILENAME ":" began ": a function of " FNR - began + 1 " lines"; bad = 1 } began = 0 }
{
    line = $0
    if (inside || line ~ /^[ \t]*\/[*\/]/) comments++
    else if (line ~ /\/\*.*\*\//) trailing++
    if (line ~ /\/\*/ && line !~ /\*\//) inside = 1
    if (line ~ /\*\//) inside = 0
}
END {
    size[file] = before
    for (i = 1; i <= files; i++) if (size[order[i]] > 500) { print "sizes: " order[i] " has " size[order[i]] " lines"; bad = 1 }
    share = 100 * (comments + trailing) / lines
    if (share < 15) { printf "sizes: comments stand on %.2f %% of the lines, fewer than 15\n", share; bad = 1 }
    if (show) printf "%d files, %d lines, comments on %.1f %% of them (15 at least)\n", files, lines, share
    exit bad
}' $files || bad=1
if [ "${1:-}" = show ]; then
    # shellcheck disable=SC2086
    wc -l $files | awk '$2 != "total" { print $1 }' | sort -n | awk '{ n[NR] = $1; below += $1 < 60 } END { print "median " n[int((NR + 1) / 2)] ", largest " n[NR] ", below 60 lines: " below }'
fi
exit "$bad"

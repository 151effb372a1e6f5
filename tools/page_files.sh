#!/bin/sh
# Writes the assembly that builds the page's files and the words into poised: `page_files` of daemon/http/page_files.h.
# usage: page_files.sh WORDS_DIR FILE...     a file under client/page/ is named by its path from there
set -eu
words=$1
shift
echo '.section .note.GNU-stack,"",@progbits'
echo '.section .rodata'
n=0
names=""
for file in "$@" "$words/en.json" "$words/de.json"; do
    case "$file" in
    "$words"/*) name=words/${file##*/} ;;
    *) name=${file#client/page/} ;;
    esac
    n=$((n + 1))
    names="$names $name"
    echo "name_$n: .asciz \"$name\""
    echo "begin_$n: .incbin \"$file\""
    echo "end_$n:"
done
echo '.section .data.rel.ro,"aw",@progbits'
echo '.balign 8'
echo '.globl page_files'
echo '.type page_files, @object'
echo 'page_files:'
i=0
while [ $i -lt $n ]; do
    i=$((i + 1))
    echo ".quad name_$i, begin_$i, end_$i"
done
echo '.quad 0, 0, 0'
echo '.size page_files, .-page_files'

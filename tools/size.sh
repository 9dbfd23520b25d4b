#!/bin/sh
# Fail when file $1 is larger than $2 MB (10^6 bytes).
set -eu
bytes=$(wc -c <"$1")
echo "$1: $bytes bytes"
[ "$bytes" -le $(($2 * 1000000)) ] || { echo "$1 is larger than $2 MB" >&2; exit 1; }

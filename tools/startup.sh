#!/bin/sh
# Start-up of the whole binary, by the shell's own clock: 20 runs.
set -eu
go build -trimpath -ldflags '-s -w' -o larder ./cmd/larder
echo "20 × larder mix --strength 2:1 --make 40gal"
time -p sh -c 'i=0; while [ $i -lt 20 ]; do ./larder mix --strength 2:1 --make 40gal >/dev/null; i=$((i+1)); done'

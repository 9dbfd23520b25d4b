#!/bin/sh
# Fuzz every target in turn for the time given; stops at the first crash.
set -eu
time=${1:-60s}
for pkg in $(go list ./...); do
	for target in $(go test -list '^Fuzz' "$pkg" | grep '^Fuzz' || true); do
		echo "== $pkg $target $time"
		go test -run '^$' -fuzz "^$target\$" -fuzztime "$time" "$pkg"
	done
done

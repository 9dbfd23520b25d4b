#!/bin/sh
# The tests of all packages: those in a browser by themselves, the rest with the
# race detector.
#
#	sh tools/unit.sh            # what make test runs
#	sh tools/unit.sh hunt 1000  # property tests only, so many new draws each
#
# What property tests draw hangs on SEED, and is the same each time, so that a
# commit passes or does not whenever it is asked; hunt draws anew each time.
set -eu
GO=${GO:-go}
SEED=${SEED:-20261130}
cd "$(dirname "$0")/.."

imports='{{$p := .ImportPath}}{{range .TestImports}}{{if eq . "pgregory.net/rapid"}}{{$p}}{{"\n"}}{{end}}{{end}}{{range .XTestImports}}{{if eq . "pgregory.net/rapid"}}{{$p}}{{"\n"}}{{end}}{{end}}'
drawn=$($GO list -f "$imports" ./... | sed '/^$/d' | sort -u)
[ -n "$drawn" ] || { echo "no property tests found" >&2; exit 1; }

if [ "${1:-}" = hunt ]; then
	for p in $drawn; do
		dir=.${p#larder}
		names=$(grep -lE '"pgregory.net/rapid"' "$dir"/*_test.go | xargs grep -hoE '^func Test[A-Za-z0-9_]+' | sed 's/func //' | paste -sd'|' -)
		$GO test -timeout 60m "$p" -run "^($names)\$" -rapid.checks="${2:-1000}"
	done
	exit
fi

# The tests in a browser wait for it most of the time, and the detector made them
# five times as long; the same handlers run under it in the tests of package web.
$GO test -timeout 20m ./internal/web/browser

# SQLite is C turned into Go: under the detector it took two thirds of the time of
# every test with a book, to look at memory that none of our code reads. What is
# ours, and all else, is looked at as before.
race="-race -gcflags=modernc.org/...=-race=false"

# Package web takes longest and one core: those with draws go beside it.
out=$(mktemp)
trap 'rm -f "$out"' EXIT
CGO_ENABLED=1 $GO test $race -p 1 -timeout 30m $drawn -rapid.seed="$SEED" >"$out" 2>&1 &
beside=$!
bad=0
# These read every page's text, one after the other, and are most of the time of
# package web under the detector; they run without it. What goes on at once in the
# same handlers is looked at by all its other tests.
texts='TestPagesAreWellMade|TestPagesArePlain|TestTemplatesFitTheirPages'
[ "$($GO test -list "^($texts)\$" ./internal/web | grep -c '^Test')" = 3 ] || { echo "package web lacks one of $texts" >&2; exit 1; }
# Each command of a story is a program of its own, and most do one thing after
# another: the detector made starting them seven times as long. The stories with
# something in the background have it.
served=$(grep -lE '&$' cmd/larder/testdata/script/*.txtar | sed 's,.*/,,; s/\.txtar$//' | paste -sd'|' -)
[ -n "$served" ] || { echo "no story with something in the background" >&2; exit 1; }
# These work out one thing after another, most of it by the planner and the pages,
# whose own tests have the detector.
one='larder/tools/(backtest|exact|pencil|storybook/stories)'
[ "$($GO list ./... | grep -cxE "$one")" = 4 ] || { echo "one of $one is no more" >&2; exit 1; }
CGO_ENABLED=1 $GO test $race -p 2 -timeout 30m -skip "^($texts)\$" $($GO list ./... | grep -vxF "$drawn" | grep -vxE "larder/(internal/web/browser|cmd/larder)|$one") || bad=$?
$GO test -p 2 -timeout 20m $($GO list ./... | grep -xE "$one") || bad=$?
$GO test -timeout 20m ./cmd/larder || bad=$?
CGO_ENABLED=1 $GO test $race -timeout 20m -run "^TestStories\$/^($served)\$" ./cmd/larder || bad=$?
$GO test -timeout 20m -run "^($texts)\$" ./internal/web || bad=$?
wait "$beside" || bad=$?
cat "$out"
[ "$bad" = 0 ] || exit "$bad"
$GO test -run 'Killed|PowerCut|Damaged' ./internal/sqlite

#!/bin/sh
# The tests of all packages: those in a browser by themselves, of the rest those in
# which something goes on at once with the race detector.
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
# every test with a book, to look at memory that none of our code reads. Only that
# one package is left out, and only while it makes no generic code: the linker could
# put that in place of the same code elsewhere, and what goes by it would be called
# a race.
sqlite=modernc.org/sqlite/lib
race="-race -gcflags=$sqlite=-race=false"
out=$(mktemp)
trap 'rm -f "$out"' EXIT
archive=$(CGO_ENABLED=1 $GO list $race -export -f '{{.Export}}' $sqlite)
$GO tool nm "$archive" >"$out"
grep -q 'Xsqlite3_step' "$out" || { echo "what $sqlite is made of cannot be read" >&2; exit 1; }
if grep -q 'go\.shape' "$out"; then
	echo "$sqlite makes generic code: let the detector look at it" >&2
	exit 1
fi

# In these packages nothing goes on at once, so that there is nothing to detect, and
# working things out takes it nine times as long. One place is otherwise, opening a
# journal: the tests of that have it.
alone='larder/(manual|internal/(feeding|figure|folder|hive|ledger|rig|season|sheet|stores|supplement|syrup|units|weather))'
quiet=$(echo "$drawn" | grep -xE "$alone")
[ "$(echo "$quiet" | grep -c .)" = 14 ] || { echo "one of $alone is no more, or draws nothing" >&2; exit 1; }
for p in $quiet; do
	found=$(grep -lE '^[[:space:]]*go [a-zA-Z].*\(|\.Go\(' ."${p#larder}"/*.go | grep -v _test.go || :)
	case $found in '' | ./internal/season/journal.go) ;; *) echo "$found: something goes on at once here: let the detector look at it" >&2; exit 1 ;; esac
done
journal='TestJournalOf|TestJournalOfRefuses|TestMemory|TestAsOf'
[ "$($GO test -list "^($journal)\$" ./internal/season | grep -c '^Test')" = 4 ] || { echo "package season lacks one of $journal" >&2; exit 1; }

# These read every page's text, one after the other, and are most of the time of
# package web under the detector; they run without it. What goes on at once in the
# same handlers is looked at by all its other tests.
texts='TestPagesAreWellMade|TestPagesArePlain|TestTemplatesFitTheirPages'
[ "$($GO test -list "^($texts)\$" ./internal/web | grep -c '^Test')" = 3 ] || { echo "package web lacks one of $texts" >&2; exit 1; }

# These work out one thing after another, most of it by the planner and the pages,
# whose own tests have the detector.
one='larder/tools/(backtest|exact|pencil|storybook/stories)'
[ "$($GO list ./... | grep -cxE "$one")" = 4 ] || { echo "one of $one is no more" >&2; exit 1; }

# Package web takes longest and one core: these go beside it.
{
	side=0
	CGO_ENABLED=1 $GO test $race -p 1 -timeout 30m $(echo "$drawn" | grep -vxF "$quiet") -rapid.seed="$SEED" || side=$?
	CGO_ENABLED=1 $GO test $race -timeout 30m -run "^($journal)\$" ./internal/season || side=$?
	$GO test -p 1 -timeout 30m $quiet -rapid.seed="$SEED" || side=$?
	$GO test -p 1 -timeout 30m $($GO list ./... | grep -xE "$one") || side=$?
	$GO test -timeout 20m -run "^($texts)\$" ./internal/web || side=$?
	exit $side
} >"$out" 2>&1 &
beside=$!
bad=0
# Each command of a story is a program of its own, and most do one thing after
# another: the detector made starting them seven times as long. The stories with
# something in the background have it.
served=$(grep -lE '&$' cmd/larder/testdata/script/*.txtar | sed 's,.*/,,; s/\.txtar$//' | paste -sd'|' -)
[ -n "$served" ] || { echo "no story with something in the background" >&2; exit 1; }
CGO_ENABLED=1 $GO test $race -p 2 -timeout 30m -skip "^($texts)\$" $($GO list ./... | grep -vxF "$drawn" | grep -vxE "larder/(internal/web/browser|cmd/larder)|$one") || bad=$?
$GO test -timeout 20m ./cmd/larder || bad=$?
CGO_ENABLED=1 $GO test $race -timeout 20m -run "^TestStories\$/^($served)\$" ./cmd/larder || bad=$?
wait "$beside" || bad=$?
cat "$out"
[ "$bad" = 0 ] || exit "$bad"
$GO test -run 'Killed|PowerCut|Damaged' ./internal/sqlite

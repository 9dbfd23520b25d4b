#!/bin/sh
# The winter watch against plain NumPy of the same model, in one run: the Go
# benchmark (10,000 colonies × 210 days × 1000 draws), a loop stripped to its
# sums, and tools/numpy/watch.py on COLONIES of them (default 400).
set -eu
python=${PYTHON:-/usr/bin/python3}
"$python" -c 'import numpy' 2>/dev/null || {
	echo "NumPy is not here. Type: sudo apt-get install -y python3-numpy" >&2
	exit 1
}
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go test -c -o "$dir/winter.test" ./internal/winter
for b in BenchmarkWatch BenchmarkStripped; do
	# time says the processor's seconds too: on a busy machine they, not the
	# clock, tell two loops apart.
	(cd internal/winter && time -p "$dir/winter.test" -test.run '^$' -test.bench "^$b\$" -test.benchtime 2x) 2>"$dir/$b" | grep "^$b" | tee -a "$dir/go"
	sed -n "s/^user/$b user/p" "$dir/$b" | tee -a "$dir/go"
done
go run ./tools/winterbench "${COLONIES:-400}" >"$dir/case.json"
"$python" tools/numpy/watch.py "$dir/case.json" | tee "$dir/numpy"
awk '
	$2 == "user" { cpu[$1] = $3 }
	/colony-days\/s/ { for (i = 2; i <= NF; i++) if ($i == "colony-days/s") rate[$1] = $(i-1) }
	END {
		for (k in rate) { if (k ~ /Watch/) watch = rate[k]; if (k ~ /Stripped/) bare = rate[k]; if (k ~ /NumPy/) numpy = rate[k] }
		printf "the watch is %.1f times as fast as NumPy\n", watch / numpy
		printf "it takes %.1f times as long as its bare sums by the clock, %.1f times by the processor\n", bare / watch, cpu["BenchmarkWatch"] / cpu["BenchmarkStripped"]
	}
' "$dir/go" "$dir/numpy"

#!/bin/sh
# Passes the tests, on a machine with only Go and a package manager too: what else
# they need is installed or named first, make among it.
set -eu
cd "$(dirname "$0")/.."
sh tools/need.sh
exec make test

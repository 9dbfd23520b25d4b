#!/bin/sh
# What the tests need beside Go: make, a PostgreSQL server's programs, a Chromium,
# a C compiler for the race detector, and the exact solver cbc (its name at apk and
# zypper is from memory). What is missing is installed where that can be done
# without asking (apt-get as root); else this stops with the one line to type. It
# never passes over what is missing: a test without its tool fails, and it is
# kinder to say so first.
set -eu

have_postgres() {
	for p in "$(command -v postgres 2>/dev/null || :)" /usr/lib/postgresql/*/bin/postgres /usr/pgsql-*/bin/postgres \
		/usr/local/pgsql/bin/postgres /usr/lib/postgresql*/bin/postgres /usr/libexec/postgresql*/postgres \
		/opt/homebrew/opt/postgresql@*/bin/postgres /usr/local/opt/postgresql@*/bin/postgres \
		/opt/homebrew/opt/postgresql/bin/postgres /Applications/Postgres.app/Contents/Versions/*/bin/postgres; do
		[ -n "$p" ] && [ -x "$p" ] && return 0
	done
	return 1
}

have_chromium() {
	for p in chromium chromium-browser google-chrome google-chrome-stable headless-shell chrome; do
		command -v "$p" >/dev/null 2>&1 && return 0
	done
	for p in "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome" /Applications/Chromium.app/Contents/MacOS/Chromium; do
		[ -x "$p" ] && return 0
	done
	return 1
}

have_cc() { command -v "${CC:-cc}" >/dev/null 2>&1 || command -v gcc >/dev/null 2>&1 || command -v clang >/dev/null 2>&1; }

have_make() { command -v make >/dev/null 2>&1; }

have_cbc() { command -v cbc >/dev/null 2>&1; }

# missing lists what is not there, by the names of the package manager at hand:
# $1 for the server, $2 for the browser, $3 for the compiler, $4 for the solver;
# make is make everywhere.
missing() {
	have_make || printf ' make'
	have_postgres || printf ' %s' "$1"
	have_chromium || printf ' %s' "$2"
	have_cc || printf ' %s' "$3"
	have_cbc || printf ' %s' "$4"
}

stop() {
	echo "The tests need more than is on this machine. Type:" >&2
	echo "    $1" >&2
	exit 1
}

if have_make && have_postgres && have_chromium && have_cc && have_cbc; then
	exit 0
fi

if command -v apt-get >/dev/null 2>&1; then
	want=$(missing postgresql chromium "gcc libc6-dev" coinor-cbc)
	if [ "$(id -u)" -ne 0 ]; then
		stop "sudo apt-get update && sudo apt-get install -y$want"
	fi
	# No server is wanted that runs by itself, only its programs.
	if ! have_postgres && [ ! -e /etc/postgresql-common/createcluster.conf ]; then
		mkdir -p /etc/postgresql-common
		echo "create_main_cluster = false" >/etc/postgresql-common/createcluster.conf
	fi
	apt-get update -q
	# shellcheck disable=SC2086 # a list of words
	DEBIAN_FRONTEND=noninteractive apt-get install -qy --no-install-recommends -o Dpkg::Options::=--force-confold $want
elif command -v dnf >/dev/null 2>&1; then
	stop "sudo dnf install -y$(missing postgresql-server chromium gcc coin-or-Cbc)"
elif command -v pacman >/dev/null 2>&1; then
	stop "sudo pacman -S --needed$(missing postgresql chromium gcc coin-or-cbc)"
elif command -v apk >/dev/null 2>&1; then
	stop "apk add$(missing postgresql chromium "gcc musl-dev" cbc)"
elif command -v zypper >/dev/null 2>&1; then
	stop "sudo zypper install -y$(missing postgresql-server chromium gcc Cbc)"
elif command -v brew >/dev/null 2>&1; then
	line=:
	have_make || line="$line && brew install make"
	have_postgres || line="$line && brew install postgresql@17"
	have_chromium || line="$line && brew install --cask chromium"
	have_cc || line="$line && xcode-select --install"
	have_cbc || line="$line && brew install cbc"
	stop "${line#: && }"
else
	echo "The tests need make, a PostgreSQL server (initdb, postgres), Chromium, a C compiler and the solver cbc; install what is missing." >&2
	exit 1
fi

# Say so if it did not help, rather than let a test find out.
have_make || { echo "make was installed, but is not found" >&2; exit 1; }
have_postgres || { echo "PostgreSQL was installed, but its programs are not found" >&2; exit 1; }
have_chromium || { echo "Chromium was installed, but is not found" >&2; exit 1; }
have_cc || { echo "a C compiler was installed, but is not found" >&2; exit 1; }
have_cbc || { echo "the solver cbc was installed, but is not found" >&2; exit 1; }

#!/usr/bin/env bash
# Runs a command against a throw-away PostgreSQL, which DATABASE_URL names to it:
#
#   tests/postgresql.sh .venv/bin/pytest tests/journal tests/work tests/api
#
# The cluster lies in a temporary folder, listens on a free port of this machine alone, and is gone afterwards.
# With --if-there as the first argument it says so and ends well where PostgreSQL is not installed.
set -euo pipefail

optional=
if [ "${1:-}" = --if-there ]; then optional=1; shift; fi
[ $# -gt 0 ] || { echo "Give the command to run, such as: tests/postgresql.sh .venv/bin/pytest tests/journal" >&2; exit 2; }

bin=$(pg_config --bindir 2>/dev/null || true)
if [ ! -x "$bin/initdb" ]; then bin=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | sort -V | tail -1); fi
if [ ! -x "$bin/initdb" ]; then
  echo "PostgreSQL is not installed here (Debian: the package 'postgresql'): the tests were not run on it." >&2
  [ -n "$optional" ] && exit 0 || exit 1
fi

as=()
folder=$(mktemp -d)
if [ "$(id -u)" = 0 ]; then chown postgres "$folder"; as=(runuser -u postgres --); fi  # initdb refuses root
port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')

end() {
  (cd / && "${as[@]}" "$bin/pg_ctl" -D "$folder/data" -m immediate stop >/dev/null 2>&1) || true
  rm -rf "$folder"
}
trap end EXIT

(
  cd /
  "${as[@]}" "$bin/initdb" -D "$folder/data" -U barnbook -A trust -E UTF8 --locale=C.UTF-8 --no-sync >/dev/null
  "${as[@]}" "$bin/pg_ctl" -D "$folder/data" -w -l "$folder/log" \
    -o "-p $port -k $folder -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=60" start >/dev/null
) || { cat "$folder/log" >&2; exit 1; }

DATABASE_URL="postgres://barnbook@127.0.0.1:$port/postgres" "$@"

#!/usr/bin/env bash
# Runs a command against a PostgreSQL server of its own, made in a temporary folder and thrown away afterwards.
# usage: tools/with_postgres.sh COMMAND...   (the command finds its address in ROPEWRIGHT_DATABASE)
set -euo pipefail

bin=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | sort -V | tail -1) || true
if [ -z "${bin:-}" ]; then
  echo "no PostgreSQL server is installed (Debian's package postgresql); 'make test' installs it" >&2
  exit 1
fi

folder=$(mktemp -d -t ropewright-postgres-XXXXXX)
port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
as_server() { "$@"; }
if [ "$(id -u)" -eq 0 ]; then # the server refuses to run as root
  chown postgres "$folder"
  as_server() { runuser -u postgres -- "$@"; }
fi
stop() {
  as_server "$bin/pg_ctl" -D "$folder/data" -m immediate stop >/dev/null 2>&1 || true
  rm -rf "$folder"
}
trap stop EXIT

cd /
as_server "$bin/initdb" -D "$folder/data" -U ropewright -A trust -E UTF8 --locale=C.UTF-8 --no-sync >"$folder/log" 2>&1 || { cat "$folder/log" >&2; exit 1; }
as_server "$bin/pg_ctl" -D "$folder/data" -w -l "$folder/server.log" \
  -o "-p $port -k $folder -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=200" start >>"$folder/log" 2>&1 \
  || { cat "$folder/log" "$folder/server.log" >&2; exit 1; }
as_server "$bin/createdb" -h 127.0.0.1 -p "$port" -U ropewright ropewright
cd "$OLDPWD"

ROPEWRIGHT_DATABASE="postgresql://ropewright@127.0.0.1:$port/ropewright" "$@"

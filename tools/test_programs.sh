#!/usr/bin/env bash
# Installs what the tests need from Debian's packages, where it is missing: a headless browser, a PostgreSQL
# server, and a reader of PDF text. Says plainly what to do where it can't.
set -euo pipefail

missing=()
[ -x /usr/bin/chromium-headless-shell ] || [ -x /usr/bin/chromium ] || missing+=(chromium-headless-shell)
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || missing+=(postgresql)
command -v pdftotext >/dev/null || missing+=(poppler-utils)
[ ${#missing[@]} -gt 0 ] || exit 0

install="apt-get install -y --no-install-recommends ${missing[*]}"
echo "The tests need ${missing[*]}; installing from Debian's packages ..."
if [ "$(id -u)" -eq 0 ]; then as=(); elif command -v sudo >/dev/null; then as=(sudo -n); else
  echo "can't install it: not root, and no sudo. Run as root: $install" >&2
  exit 1
fi
log=$(mktemp)
# the server's package starts a cluster of its own; the tests don't want one
"${as[@]}" mkdir -p /etc/postgresql-common
[ -e /etc/postgresql-common/createcluster.conf ] || echo "create_main_cluster = false" | "${as[@]}" tee /etc/postgresql-common/createcluster.conf >/dev/null
if ! { "${as[@]}" apt-get update && DEBIAN_FRONTEND=noninteractive "${as[@]}" $install; } >"$log" 2>&1; then
  tail -20 "$log" >&2
  echo "can't install it; the words above are apt-get's. By hand: $install" >&2
  exit 1
fi

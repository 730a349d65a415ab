#!/usr/bin/env bash
# Packs the house and the built app into one wheel: make-wheel.sh APP OUT. `make wheel` builds the app before.
# In a folder of its own, so that a house that is served from here meanwhile does not find a second app.
set -euo pipefail
cd "$(dirname "$0")/.."
app=${1:?the folder of the built app} out=${2:?the folder for the wheel}
test -f "$app/index.html" -a -f "$app/sw.js" || { echo "$app holds no built app: run make wheel." >&2; exit 1; }
mkdir -p "$out"
out=$(cd "$out" && pwd)
stage=$(mktemp -d)
trap 'rm -rf "$stage"' EXIT
cp -r barnbook pyproject.toml README.md LICENSE "$stage"
find "$stage" -name __pycache__ -prune -exec rm -rf {} +
rm -rf "$stage/barnbook/web"
cp -r "$app" "$stage/barnbook/web"
rm -f "$stage/barnbook/web/.built" "$stage/barnbook/web/.compressed"
.venv/bin/uv build --quiet --wheel --out-dir "$out" "$stage"
ls "$out"/barnbook-*.whl

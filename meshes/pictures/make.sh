#!/usr/bin/env bash
# Makes the pictures of README anew, with the command given or the release build.
set -euo pipefail
cd "$(dirname "$0")"
awash=${1:-../../../target/release/awash}
"$awash" inspect ../hull.stl --svg scan.svg --force >/dev/null
"$awash" compare ../before.toml ../after.toml --without-steps --svg compare.svg --force >/dev/null
"$awash" drill ../bulkheads.toml "../bulkheads.toml#rain" --svg drill.svg --force >/dev/null
"$awash" margins ../after.toml --svg rose.svg --force >/dev/null
"$awash" swamp ../after.toml --inside "165 L" --bail "20 L/min" --svg film.svg --force >/dev/null
"$awash" tape ../after.toml --svg tape.svg --force >/dev/null
# The viewer's picture needs a build with it: `cargo build --release --features viewer`.
"$awash" view ../after.toml --snapshot view.png --force >/dev/null \
  || echo "view.png is left as it was"

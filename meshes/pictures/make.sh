#!/usr/bin/env bash
# Makes the pictures anew, with the command given or the release build.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
awash=$(realpath "${1:-$here/../../target/release/awash}")
cd "$here/../dipper"
to=../pictures
(cd ../grebe && "$awash" inspect scan.stl --svg "$to/scan.svg" --force >/dev/null)
"$awash" compare asfitted.toml after.toml --without-steps --svg "$to/compare.svg" --force >/dev/null
"$awash" drill bulkheads.toml "bulkheads.toml#rain" --svg "$to/drill.svg" --force >/dev/null
"$awash" margins asfitted.toml --svg "$to/rose.svg" --force >/dev/null
"$awash" swamp asfitted.toml --inside "25 L" --bail "20 L/min" --svg "$to/film.svg" --force >/dev/null
"$awash" tape after.toml --svg "$to/tape.svg" --force >/dev/null
"$awash" dive ../dabchick/sledge.toml --svg "$to/dive.svg" --force >/dev/null
# The viewer's picture needs a build with it: `cargo build --release --features viewer`.
"$awash" view after.toml asfitted.toml --snapshot "$to/view.png" --force >/dev/null \
  || echo "view.png is not made"

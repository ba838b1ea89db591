#!/usr/bin/env bash
# Makes every drawing and page of the program for a set of boats: make.sh TO [AWASH] [BOAT] [UNITS].
# check.py measures them. With rsvg-convert, what is in TO/*.svg can be looked at.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
to=$(mkdir -p "$1" && cd "$1" && pwd)
awash=$(realpath "${2:-$root/target/debug/awash}")
only=${3:-}
units=${4:-metric}
python3 "$here/boats.py" "$to/boats"

# A command that answers with an error may be right for that boat: its words are kept.
run() {
  local out=$1
  shift
  "$awash" "$@" --units "$units" --force >"$out.txt" 2>&1 || echo "exit $? of: $*" >>"$to/failed.txt"
}

# Every drawing of one boat: name, file, an item of it, an opening, a station, before it.
boat() {
  local name=$1 file=$2 item=$3 opening=$4 station=$5 before=$6
  [[ -z $only || $only == "$name" ]] || return 0
  local at="$to/$name"
  run "$at-margins" margins "$file" --svg "$at-rose.svg" --load-svg "$at-load.svg"
  run "$at-place" place "$file" "$item" --svg "$at-place.svg"
  run "$at-drill" drill "$file" --svg "$at-drill.svg"
  run "$at-tape" tape "$file" --svg "$at-tape.svg"
  run "$at-section" section "$file" --svg "$at-section.svg"
  run "$at-template" template "$file" --station "$station" -o "$at-template.svg"
  run "$at-panel" template "$file" --station "$station" --panel --skin "3 mm" --thickness "9 mm" -o "$at-panel.svg"
  run "$at-swamp" swamp "$file" --svg "$at-film.svg"
  run "$at-dive" dive "$file" --svg "$at-dive.svg"
  run "$at-curves" curves "$file" --svg "$at-curves.svg"
  run "$at-righting" righting "$file" --svg "$at-righting.svg"
  run "$at-sill" sill "$file" "$opening" --svg "$at-sill.svg"
  run "$at-compare" compare "$before" "$file" --without-steps --svg "$at-compare.svg"
  run "$at-report" report "$file" -o "$at-report.html" --sheet "$at-sheet.html"
}

rm -f "$to/failed.txt"
b=$to/boats
t=$root/tests/boats
m=$root/meshes
many="the whole open edge of the boat's inside"
boat many "$b/many.toml" motor "$many" 1.8 "$b/many.toml"
boat model "$b/model.toml" battery rim 0.25 "$b/model.toml"
boat long "$b/long.toml" engine rim 6 "$b/many.toml"
boat tumble "$b/tumble.toml" chest rim 2.1 "$b/tumble.toml"
boat narrow "$b/narrow.toml" housing rim 0.8 "$b/narrow.toml"
boat twin "$b/twin.toml" motor "vent to port" 2.1 "$b/twin.toml"
boat decked "$t/after.toml" battery "well lip" 0.5 "$t/before.toml"
boat asfitted "$m/dipper/asfitted.toml" battery "boarding door" 1.55 "$m/dipper/before.toml"
boat bulkheads "$m/dipper/bulkheads.toml" battery gunwale 1.55 "$m/dipper/asfitted.toml"
boat sledge "$m/dabchick/sledge.toml" "battery pod" hatch 0.9 "$m/dabchick/vented.toml"
if [[ -z $only || $only == scan ]]; then
  run "$to/scan" inspect "$m/grebe/scan.stl" --svg "$to/scan-inspect.svg"
fi
[[ ! -s $to/failed.txt ]] || cat "$to/failed.txt"

#!/usr/bin/env bash
# The path of a first hole by mouse and keys on the real window, no coordinate typed: opens
# a hull, clicks a hole into its side, types how wide it is, puts a battery aboard by a
# click, saves, and holds what the window showed to `awash float` of the file saved. Needs
# what display.sh does, python3, and an awash built with its viewer.
#
#   tests/viewer/path.sh [path of awash, target/debug/awash when not given]
#
# AWASH_PICTURES names a folder for pictures of its steps (with ImageMagick).
set -euo pipefail
cd "$(dirname "$0")/../.."
awash=${1:-target/debug/awash}
# shellcheck source=tests/viewer/display.sh
source tests/viewer/display.sh
open_display
cp tests/boats/before.toml tests/boats/hull.stl "$folder"
open_window 'open hull' "$awash" view "$folder/before.toml" --view side

picture() {
  [ -z "${AWASH_PICTURES:-}" ] || import -window root "$AWASH_PICTURES/$1.png"
}
# Clicks on a place until the title (or, with a file, the file) is as wished.
click_until() {
  local x=$1 y=$2
  shift 2
  for pause in 0.5 1 2 4 8; do
    xdotool mousemove "$x" "$y"; sleep 0.3
    xdotool click 1
    for _ in 1 2 3 4 5 6; do
      sleep "$pause"
      is_open
      if "$@"; then return 0; fi
    done
  done
  echo "clicking at $x $y did nothing that was wished for ($*); the title is '$(title)'"
  exit 1
}
says() { case "$(title)" in $1) return 0 ;; esac; return 1; }
read -r round_x round_y side_x side_y battery_x battery_y <<<"${AWASH_PATH_POINTS:-88 99 900 430 182 141}"
sleep 3
picture 1-opened
# "round hole" in the panel, then on the starboard side.
xdotool mousemove "$round_x" "$round_y"; sleep 0.5; xdotool click 1; sleep 2
click_until "$side_x" "$side_y" says '*round hole*'
picture 2-hole
echo "cut:    $(title)"
cut=$(title)
# Its diameter, typed.
differs() { [ "$(title)" != "$cut" ]; }
xdotool mousemove 171 387; sleep 0.5; xdotool click 1; sleep 1
xdotool type 90; xdotool key Return
for _ in $(seq 60); do if differs; then break; fi; sleep 0.5; done
differs || { echo "typing a diameter changed nothing; the title is '$cut'"; exit 1; }
sleep 3
echo "typed:  $(title)"
cut=$(title)
# "battery" in the panel, then on the bottom, from above.
xdotool key 3; sleep 2
xdotool mousemove "$battery_x" "$battery_y"; sleep 0.5; xdotool click 1; sleep 2
click_until "${AWASH_BATTERY_X:-650}" "${AWASH_BATTERY_Y:-435}" differs
sleep 3
picture 3-battery
echo "loaded: $(title)"
xdotool key ctrl+s
for _ in $(seq 40); do
  [ -f "$folder/before-changed.toml" ] && break
  sleep 0.5
done
picture 4-saved
[ -f "$folder/before-changed.toml" ] || { echo "nothing was saved"; exit 1; }
grep -q 'name = "round hole"' "$folder/before-changed.toml"
grep -q 'name = "battery"' "$folder/before-changed.toml"
tests/viewer/as_shown.py "$awash" "$folder/before-changed.toml"

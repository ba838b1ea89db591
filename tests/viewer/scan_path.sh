#!/usr/bin/env bash
# From a raw scan to a boat by mouse and keys on the real window, no coordinate typed: opens
# the scan of a decked hull, ticks the steps that mend it, types its length, goes on with the
# hull, builds a coaming and a deck, puts three things aboard, cuts a hole, saves, and holds
# what the window showed to `awash float` of the file saved. Takes some minutes; needs what
# path.sh does.
#
#   tests/viewer/scan_path.sh [path of awash, target/debug/awash when not given]
set -euo pipefail
cd "$(dirname "$0")/../.."
awash=${1:-target/debug/awash}
# shellcheck source=tests/viewer/display.sh
source tests/viewer/display.sh
open_display
cp meshes/grebe/scan.stl "$folder"
open_window 'scan.stl' "$awash" view "$folder/scan.stl"
sleep 3

picture() {
  [ -z "${AWASH_PICTURES:-}" ] || import -window root "$AWASH_PICTURES/$1.png"
}
click() {
  xdotool mousemove "$1" "$2"; sleep 0.5
  xdotool click 1; sleep 1
}
wait_for() {
  for _ in $(seq 240); do
    is_open
    # shellcheck disable=SC2254 # a pattern
    case "$(title)" in $1) return 0 ;; esac
    sleep 0.5
  done
  echo "waited in vain for '$1'; the title is '$(title)'"; exit 1
}
# A click that changes the title, once it is settled.
click_changes() {
  local was
  was=$(title)
  click "$1" "$2"
  for _ in $(seq 120); do
    is_open
    [ "$(title)" = "$was" ] || { sleep 4; return 0; }
    sleep 0.5
  done
  echo "clicking at $1 $2 changed nothing; the title is '$was'"; exit 1
}
picture scan-1
# Floor off, outer skin, upright, a length by tape.
click 15 141; click 15 183; click 15 204; click 15 288
wait_for '*steps done*'
click 205 288; xdotool type 390; xdotool key Return; sleep 2
click 15 309
wait_for '*steps done*'
sleep 2
wait_for '*steps done*'
picture scan-2
click 75 339
wait_for '*: heel*'
sleep 5
xdotool key 3; sleep 2
click 90 183; click_changes 820 400   # a coaming round the cockpit
click 162 183; click_changes 900 432  # a foredeck over its fore end
click 183 141; click_changes 760 430  # a battery
click 257 141; click_changes 860 430  # an air cylinder
click 25 162; click_changes 700 433   # lead
xdotool key 2; sleep 2
click 88 99; click_changes 1000 420   # a round hole in the starboard side
xdotool key 1; sleep 2
picture scan-3
xdotool key ctrl+s
for _ in $(seq 40); do
  [ -f "$folder/scan-changed.toml" ] && break
  sleep 0.5
done
sleep 2
picture scan-4
[ -f "$folder/scan-changed.toml" ] || { echo "nothing was saved"; exit 1; }
echo "saved:  $(title)"
for name in coaming foredeck battery 'air cylinder' lead 'round hole'; do
  grep -q "name = \"$name\"" "$folder/scan-changed.toml" || { echo "no $name"; exit 1; }
done
tests/viewer/as_shown.py "$awash" "$folder/scan-changed.toml"

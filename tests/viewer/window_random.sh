#!/usr/bin/env bash
# Random mouse and keys to the viewer's window on a display of its own, for a time
# (600 s when not given). It must not end, and must not grow: memory a third of the
# way through is compared with that at the end. Linux only; what it needs stands in
# display.sh.
#
#   tests/viewer/window_random.sh [seconds] [path of awash]
#
# AWASH_RANDOM_SEED repeats a run.
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-600}
awash=${2:-target/debug/awash}
# Allocators hold on to some of what they were given, and each shade of each
# pipeline is compiled when it is first seen.
most_growth_kb=60000
RANDOM=${AWASH_RANDOM_SEED:-7}
# shellcheck source=tests/viewer/display.sh
source tests/viewer/display.sh
open_display
# A copy: "Save as a new boat" may be clicked, too.
cp tests/boats/*.toml tests/boats/*.stl "$folder"
open_window 'decked craft, with bulkheads' "$awash" view "$folder/bulkheads.toml" "$folder/before.toml"

# Keys of the help sheet, none that types a text.
keys=(1 2 3 4 5 6 f u w w i i l l g x x h b b v Delete ctrl+s Escape Escape ctrl+z ctrl+z ctrl+y)
at() { echo $((RANDOM % $2 + $1)); }
drag() {
  local button=$1 x=$2 y=$3
  xdotool mousemove "$x" "$y" mousedown "$button"
  for _ in 1 2 3 4 5; do
    sleep 0.1
    xdotool mousemove_relative -- $((RANDOM % 81 - 40)) $((RANDOM % 61 - 30))
  done
  sleep 0.1
  xdotool mouseup "$button"
}
started=$SECONDS
third=''
steps=0
next_line=0
while [ $((SECONDS - started)) -lt "$seconds" ]; do
  case $((RANDOM % 14)) in
    # A tool, and a click in the picture; and where the things aboard are seen from above.
    10 | 11)
      xdotool mousemove "$(at 20 300)" "$(at 70 160)" click 1
      sleep 0.2
      xdotool mousemove "$(at 420 760)" "$(at 350 160)" click 1
      ;;
    12 | 13)
      xdotool key 3
      drag 1 "$(at 480 700)" "$(at 350 160)"
      ;;
    0 | 1 | 2) drag 1 "$(at 360 910)" "$(at 70 720)" ;;
    3) drag 3 "$(at 360 910)" "$(at 70 720)" ;;
    4 | 5) drag 1 "$(at 10 330)" "$(at 70 720)" ;;
    6) xdotool mousemove "$(at 10 330)" "$(at 70 720)" click 1 ;;
    7) xdotool mousemove "$(at 10 1260)" "$(at 10 780)" click $((RANDOM % 2 + 4)) ;;
    *) xdotool key "${keys[$((RANDOM % ${#keys[@]}))]}" ;;
  esac
  steps=$((steps + 1))
  is_open
  gone=$((SECONDS - started))
  if [ "$gone" -ge "$next_line" ]; then
    echo "$gone s, $steps steps: $(memory_kb) kB, $(title)"
    next_line=$((next_line + 30))
  fi
  if [ -z "$third" ] && [ "$gone" -ge $((seconds / 3)) ]; then third=$(memory_kb); fi
done
sleep 2
is_open
now=$(memory_kb)
echo "$steps steps in $seconds s: $third kB a third of the way, $now kB at the end"
if grep -qi panicked "$folder/viewer.log"; then cat "$folder/viewer.log"; exit 1; fi
[ $((now - third)) -lt "$most_growth_kb" ] || { echo "it grows"; exit 1; }
echo "no panic, no growth"

#!/usr/bin/env bash
# Opens the viewer's window on a display of its own, drags the heel slider, lets
# the boat float, drags a thing along the hull and undoes that, and reads each
# change off the window's title. Needs what display.sh does, and an awash built
# with its viewer.
#
#   tests/viewer/window.sh [path of awash, target/debug/awash when not given]
set -euo pipefail
cd "$(dirname "$0")/../.."
awash=${1:-target/debug/awash}
# shellcheck source=tests/viewer/display.sh
source tests/viewer/display.sh
open_display
open_window 'decked craft' "$awash" view tests/boats/after.toml --view top

# Waits until the title matches a pattern (or, with "not", no longer does).
wait_for() {
  for _ in $(seq 240); do
    is_open
    case "$(title)" in $1) return 0 ;; esac
    sleep 0.25
  done
  echo "waited in vain for '$1'; the title is '$(title)'"; exit 1
}
wait_for '*transom notch  95 mm*'
rest=$(title)
echo "at rest:  $rest"

# Drags from one point to another until the title says that it lies otherwise: no
# longer as before, nor as the last pattern. A busy machine draws slowly, so each
# attempt takes more time than the one before.
drag_until_changed() {
  local before pause step
  before=$(title)
  for pause in 0.5 1.5 4 10; do
    # From above again: a drag beside the thing turns the view.
    xdotool key 3
    xdotool mousemove "$1" "$2"; sleep "$pause"
    xdotool mousedown 1; sleep "$pause"
    for step in 1 2 3; do
      xdotool mousemove $(($1 + ($3 - $1) * step / 3)) $(($2 + ($4 - $2) * step / 3)); sleep "$pause"
    done
    xdotool mouseup 1
    for step in 1 2 3 4 5 6; do
      sleep "$pause"
      # shellcheck disable=SC2254 # a pattern
      case "$(title)" in "$before"|$6) ;; *) return 0 ;; esac
    done
  done
  echo "dragging $5 changed nothing; the title is '$(title)'"; exit 1
}
read -r slider_x slider_y item_x item_y <<<"${AWASH_WINDOW_POINTS:-81 653 640 406}"
# The sliders are folded away.
sleep 2
xdotool mousemove 66 633; sleep 0.5; xdotool click 1; sleep 3
drag_until_changed "$slider_x" "$slider_y" $((slider_x + 17)) "$slider_y" "the heel slider" '*heel *0.0*,*pitch*'
echo "held:     $(title)"

# What was dragged may still be on its way to the panel.
sleep 4
xdotool key f
wait_for "$rest"
echo "let go:   $(title)"

drag_until_changed "$item_x" "$item_y" $((item_x + 300)) "$item_y" "the battery" 'nothing'
echo "moved:    $(title)"
sleep 4
xdotool key ctrl+z
wait_for "$rest"
echo "undone:   $(title)"
echo "the window answers"

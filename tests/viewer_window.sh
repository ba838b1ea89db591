#!/usr/bin/env bash
# Opens the viewer's window on a display of its own, drags the heel slider, lets
# the boat float, drags a thing along the hull and undoes that, and reads each
# change off the window's title. Needs: xvfb, xdotool, libvulkan1,
# mesa-vulkan-drivers, libxcursor1, libxi6, libxkbcommon-x11-0, and an awash
# built with its viewer.
#
#   tests/viewer_window.sh [path of awash, target/debug/awash when not given]
set -euo pipefail
cd "$(dirname "$0")/.."
awash=${1:-target/debug/awash}
folder=$(mktemp -d)
display=":$((90 + RANDOM % 900))"
Xvfb "$display" -screen 0 1400x900x24 >"$folder/xvfb.log" 2>&1 &
xvfb=$!
viewer=
finish() {
  [ -z "$viewer" ] || kill "$viewer" 2>/dev/null || true
  kill "$xvfb" 2>/dev/null || true
  rm -rf "$folder"
}
trap finish EXIT
export DISPLAY="$display" XDG_RUNTIME_DIR="$folder"
unset WAYLAND_DISPLAY
for _ in $(seq 120); do
  xdotool getdisplaygeometry >/dev/null 2>&1 && break
  sleep 0.25
done
"$awash" view meshes/dipper/after.toml --view top >"$folder/viewer.log" 2>&1 &
viewer=$!

title() { xdotool getwindowname "$window"; }
# Waits until the title matches a pattern (or, with "not", no longer does).
wait_for() {
  for _ in $(seq 240); do
    if kill -0 "$viewer" 2>/dev/null; then :; else
      echo "the viewer ended:"; cat "$folder/viewer.log"; exit 1
    fi
    case "$(title)" in $1) return 0 ;; esac
    sleep 0.25
  done
  echo "waited in vain for '$1'; the title is '$(title)'"; exit 1
}
window=
for _ in $(seq 240); do
  window=$(xdotool search --name 'dipper, survey craft' 2>/dev/null | head -n 1 || true)
  [ -z "$window" ] || break
  sleep 0.25
done
[ -n "$window" ] || { echo "no window came up:"; cat "$folder/viewer.log"; exit 1; }
xdotool windowmove "$window" 0 0 2>/dev/null || true
xdotool windowfocus "$window" 2>/dev/null || true
wait_for '*transom notch  91 mm*'
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
read -r slider_x slider_y item_x item_y <<<"${AWASH_WINDOW_POINTS:-93 265 726 421}"
drag_until_changed "$slider_x" "$slider_y" $((slider_x + 12)) "$slider_y" "the heel slider" '*heel *0.0*,*pitch*'
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

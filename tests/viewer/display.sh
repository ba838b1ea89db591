# Sourced by the scripts beside it: a display of its own, the viewer's window on
# it, and both ended with the script. Needs: xvfb, xdotool, libvulkan1,
# mesa-vulkan-drivers, libxcursor1, libxi6, libxkbcommon-x11-0.
folder=$(mktemp -d)
xvfb=
viewer=
finish() {
  [ -z "$viewer" ] || kill "$viewer" 2>/dev/null || true
  [ -z "$xvfb" ] || kill "$xvfb" 2>/dev/null || true
  rm -rf "$folder"
}
trap finish EXIT

open_display() {
  export DISPLAY=":$((90 + RANDOM % 900))" XDG_RUNTIME_DIR="$folder"
  unset WAYLAND_DISPLAY
  Xvfb "$DISPLAY" -screen 0 1400x900x24 >"$folder/xvfb.log" 2>&1 &
  xvfb=$!
  for _ in $(seq 120); do
    xdotool getdisplaygeometry >/dev/null 2>&1 && return 0
    sleep 0.25
  done
  echo "no display came up:"; cat "$folder/xvfb.log"; exit 1
}

# open_window NAME COMMAND...: starts the command and waits for the window whose
# title holds the name.
open_window() {
  local name=$1
  shift
  "$@" >"$folder/viewer.log" 2>&1 &
  viewer=$!
  window=
  for _ in $(seq 240); do
    window=$(xdotool search --name "$name" 2>/dev/null | head -n 1 || true)
    [ -z "$window" ] || break
    is_open
    sleep 0.25
  done
  [ -n "$window" ] || { echo "no window came up:"; cat "$folder/viewer.log"; exit 1; }
  xdotool windowmove "$window" 0 0 2>/dev/null || true
  xdotool windowfocus "$window" 2>/dev/null || true
}

is_open() {
  kill -0 "$viewer" 2>/dev/null || { echo "the viewer ended:"; cat "$folder/viewer.log"; exit 1; }
}

title() { xdotool getwindowname "$window"; }

# Memory that the viewer holds, kB.
memory_kb() { awk '/VmRSS/ { print $2 }' "/proc/$viewer/status"; }

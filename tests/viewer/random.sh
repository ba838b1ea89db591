#!/usr/bin/env bash
# Random input to the viewer's state and to its panel, each for a time (600 s when
# not given), neither of which may stop or grow: memory half way through is
# compared with that at the end. Linux only.
#
#   tests/viewer/random.sh [seconds]
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-600}
cargo test --locked --features viewer-tests --test viewer --test viewer_panel --no-run
export AWASH_RANDOM_SECONDS=$seconds
# Allocators hold on to some of what they were given.
most_growth_kb=40000
run() {
  cargo test --locked --features viewer-tests --test "$1" random >"$log" 2>&1 &
  local started=$! test_process='' middle='' now=''
  for step in $(seq "$seconds"); do
    sleep 1
    kill -0 "$started" 2>/dev/null || break
    [ -n "$test_process" ] || test_process=$(pgrep -P "$started" -f "deps/$1-" | head -n 1 || true)
    [ -z "$test_process" ] || now=$(awk '/VmRSS/ { print $2 }' "/proc/$test_process/status" 2>/dev/null || echo "$now")
    [ "$step" -ne $((seconds / 2)) ] || middle=$now
  done
  if ! wait "$started"; then cat "$log"; exit 1; fi
  [ -n "$middle" ] && [ -n "$now" ] || { echo "$1: the run was too short to tell its memory"; exit 1; }
  echo "$1: $middle kB half way, $now kB at the end"
  [ $((now - middle)) -lt "$most_growth_kb" ] || { echo "$1: it grows"; exit 1; }
}
log=$(mktemp)
trap 'rm -f "$log"' EXIT
run viewer
run viewer_panel
echo "no panic, no growth"

#!/usr/bin/env bash
# The viewer: its lints, its panel, its commands and its window. Installs what it needs.
set -euo pipefail
cd "$(dirname "$0")/../.."

if command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
  export DEBIAN_FRONTEND=noninteractive
  apt-get install -qy --no-install-recommends libvulkan1 mesa-vulkan-drivers \
    xvfb xdotool libxcursor1 libxi6 libxkbcommon-x11-0 >/dev/null \
    || echo "no Vulkan driver or display could be had: the viewer draws nothing in its tests"
fi
cargo test --locked --features viewer-tests --test viewer --test viewer_panel
cargo test --locked --features viewer-tests --test commands view
cargo clippy --locked --all-targets --features viewer-tests -- -D warnings
if command -v Xvfb >/dev/null && command -v xdotool >/dev/null; then
  tests/viewer/path.sh target/debug/awash
else
  echo "NOT RUN: the path by mouse and keys through the viewer's window (no Xvfb or xdotool)"
fi

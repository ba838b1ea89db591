#!/usr/bin/env bash
# Compiles the library without its command line for wasm32-unknown-unknown, and looks
# that it then brings no argument parser. Needs rustup, which fetches the target.
set -euo pipefail
cd "$(dirname "$0")/../.."
target=wasm32-unknown-unknown
bare=(--locked --lib --no-default-features --target "$target")
parsers=$(cargo tree --locked --no-default-features --edges normal --target "$target" | grep -cE '\bclap|\btempfile' || true)
if [ "$parsers" != 0 ]; then
  echo "the library without the feature cli still needs clap or tempfile"
  exit 1
fi
if ! command -v rustup >/dev/null || ! rustup target add "$target" >/dev/null 2>&1; then
  echo "rustup could not bring $target"
  exit 1
fi
cargo check "${bare[@]}"

#!/usr/bin/env bash
# Runs the checks, and holds TABLE.md to what they got; --write makes it anew.
# AWASH_TABLE may name the lines of a run that has just been made with it.
set -euo pipefail
cd "$(dirname "$0")/../.."
if [ -z "${AWASH_TABLE:-}" ]; then
  export AWASH_TABLE="$PWD/target/validation.tsv"
  rm -f "$AWASH_TABLE"
  cargo test --locked --test validation
fi
[ "${1:-}" != --write ] || export AWASH_TABLE_WRITE=yes
cargo test --locked --test validation the_table_is_that_of_the_run -- --ignored --nocapture

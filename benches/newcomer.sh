#!/usr/bin/env bash
# What a newcomer waits for: a fresh clone, an empty cargo home, the first plan, then the tests. Downloads all that the build needs.
# Prints the seconds on the clock and of processor time of each.
set -euo pipefail
here=$(cd "$(dirname "$0")/.." && pwd)
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
export CARGO_HOME="$folder/cargo" CARGO_TARGET_DIR="$folder/target" CARGO_TERM_COLOR=never
git clone --quiet "$here" "$folder/clone"
cd "$folder/clone"
TIMEFORMAT='%R s on the clock, %U s + %S s of processor time'
echo "$(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg)"
echo "the first plan:"
time cargo run --quiet -- plan examples/harbour-garage/jobs/van-no-pull.toml >"$folder/plan.txt"
echo "cargo test, to build:"
time cargo test --quiet --no-run
echo "cargo test, to run:"
time cargo test --quiet >"$folder/tests.txt"

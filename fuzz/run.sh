#!/usr/bin/env bash
# Builds every fuzz target with the pinned toolchain and runs each for so many seconds (120): bash fuzz/run.sh [SECONDS]. Needs `cargo install cargo-fuzz`.
set -euo pipefail
cd "$(dirname "$0")/.."
export RUSTC_BOOTSTRAP=1   # the sanitiser's options are not stable; the compiler is the one that builds the program
bash fuzz/seeds.sh
cargo fuzz build
for target in $(cargo fuzz list); do
    cargo fuzz run "$target" -- -max_total_time="${1:-120}" -max_len=12000 -timeout=30 -rss_limit_mb=4096 -dict=fuzz/words.dict
done

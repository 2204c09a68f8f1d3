#!/usr/bin/env bash
# The long run of the faults: thousands of kills, a hundred thousand histories, a torn write at every byte. About half an hour on two quiet cores.
# bash tests/faults/long.sh [KILLS OF EACH COMMAND] [HISTORIES]
set -euo pipefail
cd "$(dirname "$0")/../.."
export FAULTBOOK_KILLS="${1:-1000}" FAULTBOOK_HISTORIES="${2:-100000}"
nice cargo test --release --test all faults:: -- --nocapture

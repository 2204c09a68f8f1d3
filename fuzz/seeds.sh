#!/usr/bin/env bash
# Fills fuzz/corpus with seeds: the book that ships, its cases, the example jobs and logs. Run once before fuzzing.
set -euo pipefail
cd "$(dirname "$0")/.."
put() { mkdir -p "fuzz/corpus/$1"; shift_to="fuzz/corpus/$1"; shift; for file in "$@"; do cp "$file" "$shift_to/$(echo "$file" | tr / _)"; done; }
mapfile -t rules < <(find rules examples -name '*.rules' -size -16k)
mapfile -t cases < <(find rules examples -path '*/cases/*.toml')
mapfile -t jobs < <(find examples -path '*/jobs/*.toml')
mapfile -t logs < <(find examples -name '*.csv' -size -64k)
for target in text_to_weights rules_fmt lint_fix; do put "$target" "${rules[@]}" fuzz/small.rules; done
put case_file "${cases[@]}"
put job_sheet "${jobs[@]}"
put drive_log "${logs[@]}"
for target in journal walk_answers typed_words; do
    mkdir -p "fuzz/corpus/$target"
    printf 'it is gutless\n0\n0\n1\n0\n1\n1\n2\n1\n96\n104\n1\n1\n1\n3\n1\n' > "fuzz/corpus/$target/job"
    printf 'symptom:no-pull yes\ncodes P0299\nscan yes\ndo:look-hose done\nfind:hose split\nback \n' > "fuzz/corpus/$target/journal"
done
mkdir -p fuzz/corpus/arguments
printf 'plan\n--code\nP0299\njob.toml\n--json' > fuzz/corpus/arguments/plan

#!/usr/bin/env bash
# Pictures of the three reports as a phone (390 x 844) and as A4 paper see them, for a person to look at.
# usage: screens.sh PROGRAM FOLDER; needs chromium, and pdftoppm for the paper. Exits with 3 where chromium is missing.
set -euo pipefail
program=$(realpath "$1"); mkdir -p "$2"; folder=$(realpath "$2")
cd "$(dirname "$0")"
browser=$(command -v chromium || command -v chromium-browser) || { echo "chromium is missing" >&2; exit 3; }
home=$(mktemp -d); trap 'rm -rf "$home"' EXIT

# --no-sandbox: containers seldom allow one, and the page is our own
chrome() { timeout 120 "$browser" --headless --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$home" "$@" 2>/dev/null; }

for reader in customer file road; do
  sheet=closed.toml; [ "$reader" = road ] && sheet=open.toml
  page="$folder/$reader.html"
  "$program" report "$sheet" --rules queue.rules --for "$reader" --out "$page" 2>/dev/null
  # a window narrower than 500 is widened by the browser: the page goes into a frame of the phone's width
  printf '<!doctype html><style>body{margin:0}iframe{border:0;width:390px;height:844px}</style><iframe src="%s"></iframe>' "$reader.html" >"$folder/frame.html"
  chrome --window-size=500,844 --screenshot="$folder/$reader-phone.png" "file://$folder/frame.html"
  chrome --no-pdf-header-footer --print-to-pdf="$folder/$reader.pdf" "file://$page"
  if command -v pdftoppm >/dev/null; then pdftoppm -r 70 -png "$folder/$reader.pdf" "$folder/$reader-a4"; fi
done
printf '<!doctype html><style>body{margin:0}iframe{border:0;width:390px;height:844px}</style><iframe src="road.html#step-2"></iframe>' >"$folder/frame.html"
chrome --window-size=500,844 --screenshot="$folder/road-step-2-phone.png" "file://$folder/frame.html"
rm -f "$folder/frame.html"
ls "$folder"

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

# A headless window may be no narrower than the browser likes, so the page stands in a frame of the phone's width.
shoot() {
  printf '<!doctype html><meta charset="utf-8"><style>body{margin:0}iframe{border:0;width:390px;height:844px;display:block}</style><iframe src="%s" onload="document.body.dataset.width=this.contentDocument.documentElement.scrollWidth"></iframe>' "$1" >"$folder/frame.html"
  chrome --window-size=390,844 --screenshot="$folder/$2.png" "file://$folder/frame.html"
}

for reader in customer file road; do
  sheet=closed.toml; [ "$reader" = road ] && sheet=open.toml
  page="$folder/$reader.html"
  "$program" report "$sheet" --rules queue.rules --for "$reader" --out "$page" 2>/dev/null
  shoot "$reader.html" "$reader-phone"
  # how wide the page wants to be in a frame of the phone's width, told by the browser itself
  chrome --allow-file-access-from-files --virtual-time-budget=3000 --dump-dom "file://$folder/frame.html" | sed -n 's/.*data-width="\([0-9]*\)".*/\1/p' | head -1 >"$folder/$reader-width.txt"
  chrome --no-pdf-header-footer --print-to-pdf="$folder/$reader.pdf" "file://$page"
  if command -v pdftoppm >/dev/null; then pdftoppm -r 70 -png "$folder/$reader.pdf" "$folder/$reader-a4"; fi
done
shoot "road.html#step-2" road-step-2-phone
rm -f "$folder/frame.html"
ls "$folder"

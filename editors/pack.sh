#!/usr/bin/env bash
# Packs the extension into target/editor: its folder, the colours, the licence, and the client library it names; then looks whether
# all that its manifest names is in the package. Needs npm and its registry.
set -euo pipefail
cd "$(dirname "$0")/.."
to=target/editor
rm -rf "$to" && mkdir -p "$to"
cp -r editors/extension/. "$to"
cp grammar/rules.tmLanguage.json "$to"
cp LICENSE-MIT "$to/LICENSE.txt"
cd "$to"
npm install --no-audit --no-fund --silent
npx --no-install vsce package --no-update-package-json
package=$(ls ./*.vsix)
node -e '
  const manifest = require("./package.json"), inside = require("child_process").execFileSync("unzip", ["-Z1", process.argv[1]]).toString().split("\n");
  const { languages, grammars } = manifest.contributes;
  const named = [manifest.main, ...languages.map((l) => l.configuration), ...grammars.map((g) => g.path), ...Object.keys(manifest.dependencies).map((d) => `node_modules/${d}/package.json`)];
  const missing = named.map((n) => "extension/" + n.replace(/^\.\//, "")).filter((n) => !inside.includes(n));
  if (missing.length) { console.error("not in the package: " + missing.join(", ")); process.exit(1); }
' "$package"
echo "$to/${package#./}"

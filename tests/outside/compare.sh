#!/usr/bin/env bash
# Compares with general-purpose reference libraries from PyPI, from the pinned lists, in a virtual environment of its own.
set -euo pipefail
cd "$(dirname "$0")/../.."
venv=target/reference
[ -x "$venv/bin/python" ] || python3 -m venv "$venv"
"$venv/bin/pip" install --quiet --disable-pip-version-check -r tests/outside/requirements.txt
"$venv/bin/python" tests/outside/codes/compare.py
"$venv/bin/python" tests/outside/belief.py
# the quantiles that the tests hold, written anew: they must come out as they stand
"$venv/bin/python" tests/outside/beta.py
git diff --exit-code tests/outside/beta.tsv
"$venv/bin/python" tests/outside/network.py

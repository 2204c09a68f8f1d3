#!/usr/bin/env bash
# Tries the files of a release where nothing of this machine is: installs, makes a first plan and a first walk with two commands.
#
# usage: packaging/try.sh FILE…      files of target/dist (.tar.gz: in a root with nothing else in it; .deb: in a fresh Debian)
#
# Needs root, and for a .deb mmdebstrap; FAULTBOOK_ROOT may name a tar of a Debian root, which saves fetching one.
set -euo pipefail
here=$(mktemp -d)
trap 'rm -rf "$here"' EXIT

# The two commands, started in the root `$1` with nothing of this machine around them, and what must come of them.
first_job() {
    local inside=(env -i "$(command -v chroot)" "$1" /usr/bin/faultbook)
    "${inside[@]}" plan --complaint "no power uphill, whistles" --code P0299 >"$here/plan"
    grep -q '^Do next' "$here/plan"
    # a car, the customer's words, then the end of what is typed: the sheet must hold the answers
    printf '2.2 diesel van 2016, filter\nno power uphill, whistles\n' | "${inside[@]}" walk /root/first.toml >"$here/walk" 2>&1
    grep -q 'no power uphill' "$1/root/first.toml"
    "${inside[@]}" --version --json >"$here/version"
    grep -q '"digest": "[0-9a-f]\{64\}"' "$here/version"
    echo "installed, planned, walked: $2, $("${inside[@]}" --version)"
}

for file in "$@"; do
    root=$here/root
    rm -rf "$root" && mkdir -p "$root"
    case $file in
    *.tar.gz)
        # no shell, no libraries, no Rust: the program is all there is
        mkdir -p "$root/usr/bin" "$root/root"
        tar -xzf "$file" -C "$here"
        cp "$here"/faultbook-*/faultbook "$root/usr/bin/"
        first_job "$root" "${file##*/}"
        ;;
    *.deb)
        if [ -n "${FAULTBOOK_ROOT:-}" ]; then tar -xf "$FAULTBOOK_ROOT" -C "$root"; else mmdebstrap --variant=apt bookworm "$root"; fi
        if chroot "$root" sh -c 'command -v cargo || command -v rustc'; then echo "there is a toolchain in the root" >&2; exit 1; fi
        cp "$file" "$root/tmp/faultbook.deb"
        chroot "$root" apt-get install --yes --no-install-recommends /tmp/faultbook.deb >"$here/apt" 2>&1 || { cat "$here/apt" >&2; exit 1; }
        first_job "$root" "${file##*/}"
        for page in usr/share/man/man1/faultbook-walk.1.gz usr/share/bash-completion/completions/faultbook; do
            [ -s "$root/$page" ] || { echo "$page is missing" >&2; exit 1; }
        done
        chroot "$root" apt-get remove --yes faultbook >"$here/apt" 2>&1
        [ ! -e "$root/usr/bin/faultbook" ] || { echo "it is still there after its removal" >&2; exit 1; }
        ;;
    *) echo "$file: neither .tar.gz nor .deb" >&2; exit 2 ;;
    esac
done

#!/usr/bin/env bash
# Tries the files of a release where nothing of this machine is: installs, makes a first plan and a first walk with two commands.
#
# usage: packaging/try.sh FILE…      files of target/dist
#        x86_64….tar.gz    in a root with nothing else in it
#        aarch64….tar.gz   the same, under qemu (Debian's qemu-user-static)
#        .zip              under wine (Debian's wine64 and gcc-mingw-w64-x86-64), in a profile made for it
#        .deb              in a fresh Debian, with apt; removed again after it
#
# Needs root, and for a .deb mmdebstrap; FAULTBOOK_ROOT may name a tar of a Debian root (`mmdebstrap --variant=apt bookworm root.tar`), which saves fetching one.
set -euo pipefail
here=$(mktemp -d)
trap 'rm -rf "$here"' EXIT
root=$here/root

# The two commands, and what must come of them: what was tried, the folder of the sheet, the sheet as the program names it, then how the program is started.
first_job() {
    local what=$1 folder=$2 sheet=$3
    local program=("${@:4}")
    "${program[@]}" plan --complaint "no power uphill, whistles" --code P0299 >"$here/plan"
    grep -q '^Do next' "$here/plan"
    # a car, the customer's words, then the end of what is typed: the sheet must hold the answers
    printf '2.2 diesel van 2016, filter\nno power uphill, whistles\n' | "${program[@]}" walk "$sheet" >"$here/walk" 2>&1
    grep -q 'no power uphill' "$folder/${sheet##*/}"
    "${program[@]}" --version --json >"$here/version"
    grep -q '"digest": "[0-9a-f]\{64\}"' "$here/version"
    echo "installed, planned, walked: $what, $("${program[@]}" --version)"
}

for file in "$@"; do
    name=${file##*/}
    rm -rf "$here/"* && mkdir -p "$root/usr/bin" "$root/root"
    inside=(env -i "$(command -v chroot)" "$root")
    case $name in
    *.tar.gz)
        # no shell, no libraries, no Rust: the program is all there is
        tar -xzf "$file" -C "$here"
        cp "$here"/faultbook-*/faultbook "$root/usr/bin/"
        if [[ $name == *aarch64* ]]; then
            cp "$(command -v qemu-aarch64-static)" "$root/qemu"
            inside+=(/qemu)
        fi
        first_job "$name" "$root/root" /root/first.toml "${inside[@]}" /usr/bin/faultbook
        ;;
    *.zip)
        python3 -m zipfile -e "$file" "$here"
        wine=$(PATH=$PATH:/usr/lib/wine command -v wine64)
        cd "$here"/faultbook-*/
        # wine before 9 has no such library; every Windows that the program is for has
        printf '%s\n' '#include <windows.h>' 'BOOLEAN NTAPI SystemFunction036(PVOID, ULONG);' \
            '__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE to, SIZE_T bytes) { return SystemFunction036(to, bytes); }' >random.c
        x86_64-w64-mingw32-gcc -shared -o bcryptprimitives.dll random.c -ladvapi32
        first_job "$name" "$PWD" first.toml env -i HOME="$here" WINEPREFIX="$here/wine" WINEDEBUG=-all "$wine" "$PWD/faultbook.exe"
        cd - >/dev/null
        ;;
    *.deb)
        rm -rf "$root" && mkdir "$root"    # it must be empty
        if [ -n "${FAULTBOOK_ROOT:-}" ]; then tar -xf "$FAULTBOOK_ROOT" -C "$root"; else mmdebstrap --variant=apt bookworm "$root"; fi
        if chroot "$root" sh -c 'command -v cargo || command -v rustc'; then echo "there is a toolchain in the root" >&2; exit 1; fi
        cp "$file" "$root/tmp/faultbook.deb"
        chroot "$root" apt-get install --yes --no-install-recommends /tmp/faultbook.deb >"$here/apt" 2>&1 || { cat "$here/apt" >&2; exit 1; }
        first_job "$name" "$root/root" /root/first.toml "${inside[@]}" /usr/bin/faultbook
        for page in usr/share/man/man1/faultbook-walk.1.gz usr/share/bash-completion/completions/faultbook; do
            [ -s "$root/$page" ] || { echo "$page is missing" >&2; exit 1; }
        done
        chroot "$root" apt-get remove --yes faultbook >"$here/apt" 2>&1
        [ ! -e "$root/usr/bin/faultbook" ] || { echo "it is still there after its removal" >&2; exit 1; }
        ;;
    *) echo "$file: neither .tar.gz, .zip nor .deb" >&2; exit 2 ;;
    esac
done

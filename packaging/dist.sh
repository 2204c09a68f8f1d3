#!/usr/bin/env bash
# All files of a release, into target/dist, with their sums; meant to be the same bytes each time from the same sources, compiler and linker (`twice` compares).
#
# usage: packaging/dist.sh           everything
#        packaging/dist.sh PART…     only these: linux, arm, windows, deb (of linux), bill, crate
#        packaging/dist.sh twice     builds the Linux program a second time, from a copy in another folder, and compares
#
# Needs Rust, Python 3, git; `cargo install --locked cargo-deb cargo-cyclonedx`; for Windows Debian's gcc-mingw-w64-x86-64; and what compiler.sh says.
# Slow (three release builds): run by hand before a release. packaging/try.sh then tries the files.
set -euo pipefail
cd "$(dirname "$0")/.."
source packaging/compiler.sh

version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -1)
SOURCE_DATE_EPOCH=$(git log -1 --format=%ct)    # every date in every file: that of the commit
export SOURCE_DATE_EPOCH CARGO_TERM_COLOR=never LC_ALL=C TZ=UTC
dist=$PWD/target/dist stage=$PWD/target/stage cross=$PWD/target/cross
linux=x86_64-unknown-linux-musl arm=aarch64-unknown-linux-musl windows=x86_64-pc-windows-gnu
mkdir -p "$dist"

say() { printf '\n== %s\n' "$1"; }

# What goes beside a program: made by the one for this machine.
beside() {
    [ -x "$cross/$linux/release/faultbook" ] || build "$linux" "$cross"
    local program=$cross/$linux/release/faultbook
    rm -rf "$stage" && mkdir -p "$stage/completions"
    "$program" provide man "$stage/man" 2>/dev/null
    "$program" provide completions bash >"$stage/completions/faultbook.bash"
    "$program" provide completions zsh >"$stage/completions/_faultbook"
    "$program" provide completions fish >"$stage/completions/faultbook.fish"
    # in the form that Debian's tools read: one entry, the version that is built
    {
        printf 'faultbook (%s-1) unstable; urgency=medium\n\n  * See /usr/share/doc/faultbook/CHANGELOG.md.\n\n' "$version"
        printf ' -- The keepers of Faultbook <faultbook@example.org>  %s\n' "$(date -u -d "@$SOURCE_DATE_EPOCH" '+%a, %d %b %Y %H:%M:%S +0000')"
    } >"$stage/changelog"
}

# A folder with the program, its pages and its papers, packed without this machine's clock, owner or order of files.
pack() {
    local target=$1 program=$2 name=faultbook-$version-$1
    beside
    rm -rf "target/pack" && mkdir -p "target/pack/$name"
    cp -r "$program" "$stage/man" "$stage/completions" README.md CHANGELOG.md SECURITY.md LICENSE-MIT LICENSE-APACHE "target/pack/$name/"
    case $target in
    *windows*) python3 packaging/zip.py "target/pack" "$dist/$name.zip" "$SOURCE_DATE_EPOCH" ;;
    *) tar -C target/pack --sort=name --mtime="@$SOURCE_DATE_EPOCH" --owner=0 --group=0 --numeric-owner --mode=u=rwX,go=rX -c "$name" | gzip -n9 >"$dist/$name.tar.gz" ;;
    esac
}

linux() { say "Linux, x86-64" && build $linux "$cross" && pack $linux "$cross/$linux/release/faultbook"; }
arm() { say "Linux, 64-bit ARM" && build $arm "$cross" && pack $arm "$cross/$arm/release/faultbook"; }
windows() { say "Windows, x86-64" && build $windows "$cross" && pack $windows "$cross/$windows/release/faultbook.exe"; }

deb() {
    say "Debian package"
    beside
    CARGO_TARGET_DIR="$cross" cargo deb --no-build --no-strip --target $linux --output "$dist/faultbook_$version-1_amd64.deb"
}

bill() {
    say "bill of materials"
    cargo cyclonedx --format json --spec-version 1.5 --override-filename "faultbook-$version.cdx" --quiet
    sed "s|file://$PWD|file:///faultbook|g" "faultbook-$version.cdx.json" >"$dist/faultbook-$version.cdx.json"    # no path of this machine
    rm "faultbook-$version.cdx.json"
}

crate() {
    say "crate"
    cargo package --locked --no-verify
    cp "target/package/faultbook-$version.crate" "$dist/"
    [ "$(stat -c %s "$dist/faultbook-$version.crate")" -lt $((2 * 1024 * 1024)) ] || { echo "the crate is 2 MiB or more" >&2; exit 1; }
}

twice() {
    say "a second time, elsewhere"
    local copy
    copy=$(mktemp -d)
    git archive HEAD | tar -x -C "$copy"
    mkdir -p "$copy/target" && ln -s "$tools" "$copy/target/tools"
    (cd "$copy" && build $linux "$copy/target/again")
    sha256sum "$cross/$linux/release/faultbook" "$copy/target/again/$linux/release/faultbook"
    cmp "$cross/$linux/release/faultbook" "$copy/target/again/$linux/release/faultbook" && echo "the same"
    rm -rf "$copy"
}

for part in "${@:-all}"; do
    case $part in
    linux | arm | windows | deb | bill | crate | twice) "$part" ;;
    all) linux; deb; arm; windows; bill; crate ;;
    *) sed -n 's/^# \?//p' "$0" | head -8 >&2; exit 2 ;;
    esac
done
(cd "$dist" && rm -f SHA256SUMS && sha256sum -- * >SHA256SUMS && cat SHA256SUMS)

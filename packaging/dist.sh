#!/usr/bin/env bash
# All files of a release, into target/dist, with their sums; meant to be the same bytes each time from the same sources, compiler and linker (`twice` compares).
#
# usage: packaging/dist.sh           everything
#        packaging/dist.sh PART…     only these: linux, arm, windows, deb (of linux), bill, crate
#        packaging/dist.sh twice     builds the Linux program a second time, from a copy in another folder, and compares
#
# Needs Rust with rustup, Python 3.11, git, dpkg-deb; Debian's gcc-aarch64-linux-gnu for 64-bit ARM and gcc-mingw-w64-x86-64 for Windows.
# The standard library of a target is added by rustup where it is missing, the writer of the bill by pip, into target/tools.
# Slow (three release builds): run by hand before a release. packaging/try.sh then tries the files.
set -euo pipefail
cd "$(dirname "$0")/.."

version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -1)
SOURCE_DATE_EPOCH=$(git log -1 --format=%ct)    # every date in every file: that of the commit
export SOURCE_DATE_EPOCH CARGO_TERM_COLOR=never LC_ALL=C TZ=UTC
dist=$PWD/target/dist stage=$PWD/target/stage cross=$PWD/target/cross tools=$PWD/target/tools
linux=x86_64-unknown-linux-musl arm=aarch64-unknown-linux-musl windows=x86_64-pc-windows-gnu
keepers="The keepers of Faultbook <faultbook@example.org>"
mkdir -p "$dist"

say() { printf '\n== %s\n' "$1"; }

# The program for a target, into FOLDER/TARGET/release.
build() {
    local target=$1 folder=$2 gcc=cc flags name=${1//-/_}
    case $target in
    aarch64-*) gcc=aarch64-linux-gnu-gcc ;;
    *-windows-*) gcc=x86_64-w64-mingw32-gcc ;;
    esac
    [ -d "$(rustc --print sysroot)/lib/rustlib/$target/lib" ] || rustup target add "$target"
    # neither paths of this machine nor the time of linking: they would make it another program on the next
    flags="--remap-path-prefix=$PWD=. --remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}=cargo -C strip=symbols"
    [[ $target != *-windows-* ]] || flags+=" -C link-arg=-Wl,--no-insert-timestamp"
    env "CARGO_TARGET_${name^^}_LINKER=$gcc" "CC_$name=$gcc" RUSTFLAGS="$flags" CARGO_TARGET_DIR="$folder" \
        nice cargo build --release --locked --bin faultbook --target "$target"
}

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
        printf 'faultbook (%s-1) unstable; urgency=medium\n\n  * See changelog.gz beside this file.\n\n' "$version"
        printf ' -- %s  %s\n' "$keepers" "$(date -u -d "@$SOURCE_DATE_EPOCH" '+%a, %d %b %Y %H:%M:%S +0000')"
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
    local root=target/pack/debian doc=usr/share/doc/faultbook page
    rm -rf "$root"
    put() { install -D -m "${3:-644}" "$1" "$root/$2"; }
    squeezed() { install -d "$root/${2%/*}" && gzip -n9 -c "$1" >"$root/$2"; }
    put "$cross/$linux/release/faultbook" usr/bin/faultbook 755
    for page in "$stage"/man/*; do squeezed "$page" "usr/share/man/man1/${page##*/}.gz"; done
    put "$stage/completions/faultbook.bash" usr/share/bash-completion/completions/faultbook
    put "$stage/completions/_faultbook" usr/share/zsh/vendor-completions/_faultbook
    put "$stage/completions/faultbook.fish" usr/share/fish/vendor_completions.d/faultbook.fish
    for page in README.md SECURITY.md; do put "$page" "$doc/$page"; done
    squeezed CHANGELOG.md "$doc/changelog.gz"
    squeezed "$stage/changelog" "$doc/changelog.Debian.gz"
    { printf 'MIT or Apache-2.0, at your choice (/usr/share/common-licenses/Apache-2.0).\n\n' && cat LICENSE-MIT; } >"$root/$doc/copyright"
    mkdir "$root/DEBIAN"
    cat >"$root/DEBIAN/control" <<END
Package: faultbook
Version: $version-1
Architecture: amd64
Maintainer: $keepers
Installed-Size: $(du -sk --apparent-size "$root/usr" | cut -f1)
Section: utils
Priority: optional
Description: from a complaint to a proven repair
 A rule language for diagnosing cars and light vans, exact weighing of evidence,
 and a plan that orders checks and repairs by what they cost and what they
 settle. A book of rules is in the program; nothing else is needed.
END
    (cd "$root" && find usr -type f -print0 | sort -z | xargs -0 md5sum >DEBIAN/md5sums)
    chmod -R u=rwX,go=rX "$root"
    dpkg-deb --root-owner-group -Zxz --build "$root" "$dist/faultbook_$version-1_amd64.deb"
}

bill() {
    say "bill of materials"
    [ -x "$tools/bin/python" ] || python3 -m venv "$tools"
    "$tools/bin/pip" install --quiet --requirement packaging/requirements.txt
    "$tools/bin/python" packaging/bill.py "$dist/faultbook-$version.cdx.json" "$SOURCE_DATE_EPOCH"
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

#!/usr/bin/env bash
# Sourced by dist.sh: `build TARGET FOLDER` compiles the program for a target into FOLDER/TARGET/release.
# The machine's own compiler is used where it has the target's standard library (`rustup target add TARGET`). Where it has not, and none can be
# added, the compiler and the source of its library come from Debian's packages (rustc-web, rust-web-src), unpacked below target/tools and
# installed nowhere, and the library is built with the program. Linking for Linux is done by zig (`pip install cargo-zigbuild ziglang`, the
# versions of packaging/requirements.txt), for Windows by Debian's gcc-mingw-w64-x86-64.

tools=$PWD/target/tools
debian=1.96.0+dfsg1-1~deb12u2

own_library() { [ -d "$(rustc --print sysroot)/lib/rustlib/$1/lib" ]; }

unpacked() {
    [ -x "$tools/rustc" ] && return
    mkdir -p "$tools/debs" "$tools/debian"
    (cd "$tools/debs" && apt-get download "rustc-web=$debian" "libstd-rust-web-1.96=$debian" "libstd-rust-web-dev=$debian" "rust-web-src=$debian" libllvm22)
    for deb in "$tools"/debs/*.deb; do dpkg -x "$deb" "$tools/debian"; done
    printf '#!/bin/sh\nLD_LIBRARY_PATH=%s/debian/usr/lib/x86_64-linux-gnu exec %s/debian/usr/bin/rustc "$@"\n' "$tools" "$tools" >"$tools/rustc"
    chmod +x "$tools/rustc"
}

linker() {
    [ -x "$tools/python/bin/cargo-zigbuild" ] || {
        python3 -m venv "$tools/python"
        "$tools/python/bin/pip" install --quiet --requirement packaging/requirements.txt
    }
}

build() {
    local target=$1 folder=$2 how=(cargo build) flags library=()
    # paths of this machine would make the program another one on the next
    flags="--remap-path-prefix=$PWD=. --remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}=cargo --remap-path-prefix=$tools/debian=rust"
    if own_library "$target"; then
        unset RUSTC RUSTC_BOOTSTRAP
    else
        unpacked
        export RUSTC="$tools/rustc" RUSTC_BOOTSTRAP=1
        library=(-Z build-std=std,panic_unwind)
        flags="$flags -C link-self-contained=no"
    fi
    case $target in
    *-linux-*)
        linker
        how=("$tools/python/bin/cargo-zigbuild" zigbuild)
        ;;
    *-windows-*) export CARGO_TARGET_X86_64_PC_WINDOWS_GNU_LINKER=x86_64-w64-mingw32-gcc ;;
    esac
    PATH="$tools/python/bin:$PATH" RUSTFLAGS="$flags" CARGO_TARGET_DIR="$folder" nice "${how[@]}" --release --locked "${library[@]}" --bin faultbook --target "$target"
}
